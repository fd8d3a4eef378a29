"""Text from the job is data wherever it is shown: on the page, in cells, pictures and file names, on the terminal."""

import csv
import io
import zipfile
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import openpyxl
import pypdf
import pytest

from cli.main import run
from cli.reports.screen.plan import open_console
from nesting.shelf.text import read_shelf, shelf_text
from tests.shelf.shelves import held, shelf

pytestmark = pytest.mark.usefixtures("plain_terminal")

# One for each text column, so that each is seen wherever that column is shown.
HOSTILE = {
    "piece": "<script>alert(1)</script>",
    "second": '=HYPERLINK("http://one.invalid")',
    "third": "../../../escaped",
    "group": '"><img src=http://two.invalid onerror=alert(2)>',
    "board": "@SUM(A1) & <b>sage</b>",
    "under": "+1 {{ 7 * 7 }} [red]rust[/red]",
    "backing": "-1 </style><style>@import url(//three.invalid)</style>",
    "shop": "=1+1 <a href=javascript:alert(3)>nook</a>",
    "label": "<svg/onload=alert(4)>",
    "currency": "<i>",
    "notes": "=cmd|'/c calc'!A1 <iframe src=//four.invalid>",
}


@pytest.fixture
def report(tmp_path: Path) -> Path:
    """Plan a job whose every text is hostile and return the folder of its report."""
    job = tmp_path / "job"
    job.mkdir()
    h = HOSTILE
    sides = ("inside width", "inside height", "picture width", "picture height")
    tables = {
        "pieces": [
            ["piece", "group", *sides, "boards", "under boards", "backing", "notes"],
            [h["piece"], h["group"], "17", "23", "11", "13", h["board"], h["under"], h["backing"], h["notes"]],
            [h["second"], h["group"], "5", "7", "", "", h["board"], "", "", ""],
            [h["third"], "", "7", "11", "", "", h["board"], "", "", h["notes"]],
        ],
        "offers": [
            ["shop", "board", "sheet width", "sheet height", "price"],
            *([h["shop"], h[board], "31", "41", "7.30"] for board in ("board", "under", "backing")),
        ],
        "shelf": [["label", "board", "width", "height"], [h["label"], h["board"], "7", "11"]],
        "boards": [["board", "notes"], [h["board"], h["notes"]]],
        "bench": [["name", "value"], ["currency", h["currency"]]],
    }
    for name, rows in tables.items():
        with (job / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    assert run(["plan", str(job), "--seconds", "2", "--out", str(tmp_path / "report")]) == 0
    return tmp_path / "report"


class Page(HTMLParser):
    """Keeps the elements and the words of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words += data


def test_the_page_holds_every_name_as_words_and_asks_for_nothing(report: Path) -> None:
    text = (report / "plan.html").read_text(encoding="utf-8")
    page = Page(text)
    tags = [tag for tag, _ in page.elements]
    assert tags.count("script") == 1
    assert tags.count("style") == 1
    assert not {"img", "iframe", "object", "embed", "link", "base", "form", "audio", "video"} & set(tags)
    for _, attributes in page.elements:
        assert not any(name.startswith("on") or name in {"src", "action", "srcset"} for name in attributes)
        assert (attributes.get("href") or "#").startswith("#")
    plain = "".join(page.words.replace("\N{NO-BREAK SPACE}", " ").split())
    for column in ("piece", "second", "third", "board", "under", "backing", "shop", "label"):
        assert "".join(HOSTILE[column].split()) in plain, column
    policy = next(
        given["content"] for tag, given in page.elements if given.get("http-equiv") == "Content-Security-Policy"
    )
    assert policy is not None
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules.pop("default-src") == "'none'"
    assert rules.pop("base-uri") == rules.pop("form-action") == "'none'"
    assert {name: rule.startswith("'sha256-") and " " not in rule for name, rule in rules.items()} == {
        "style-src": True,
        "script-src": True,
    }


def test_no_cell_of_the_workbook_is_a_formula_or_a_link(report: Path) -> None:
    cells = [
        cell
        for sheet in openpyxl.load_workbook(report / "plan.xlsx").worksheets
        for row in sheet.iter_rows()
        for cell in row
    ]
    assert any(str(cell.value).startswith("=HYPERLINK") for cell in cells)
    assert not [cell.value for cell in cells if cell.data_type == "f" or cell.hyperlink]
    starts = [cell for cell in cells if str(cell.value).startswith(("=", "+", "-", "@"))]
    assert all(cell.data_type == "s" and cell.number_format == "@" for cell in starts)
    with zipfile.ZipFile(report / "plan.xlsx") as packed:
        for name in packed.namelist():
            assert b"<f>" not in packed.read(name)
            assert "externalLink" not in name


def test_pictures_and_paper_hold_words_alone(report: Path) -> None:
    pictures = sorted(report.glob("*.svg"))
    assert pictures
    for picture in pictures:
        for element in ET.parse(picture).iter():  # noqa: S314 - our own file
            assert element.tag.rpartition("}")[2] not in {
                "script",
                "image",
                "a",
                "use",
                "foreignObject",
                "style",
                "b",
                "i",
            }
            assert not any(name.startswith("on") or name.endswith("href") for name in element.attrib)
    for page in pypdf.PdfReader(report / "plan.pdf").pages:
        for annotation in page.get("/Annots") or ():
            assert "/URI" not in annotation.get_object().get("/A", {})
    data = (report / "plan.pdf").read_bytes()
    assert not [word for word in (b"/JavaScript", b"/Launch", b"/URI") if word in data]


def test_no_name_of_the_job_becomes_a_name_of_a_file(report: Path) -> None:
    names = {path.name for path in report.iterdir()}
    assert names >= {"plan.html", "plan.pdf", "plan.xlsx", "plan.json"}
    assert all(name.startswith(("plan.", "sheet-S")) for name in names)
    assert {path.name for path in report.parent.iterdir()} == {"job", "report"}


def test_the_screen_shows_names_as_they_are_written(report: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert run(["plan", str(report.parent / "job"), "--seconds", "2"]) == 0
    said = "".join(capsys.readouterr().out.split())
    for column in ("piece", "board", "under", "shop"):
        assert "".join(HOSTILE[column].split()) in said, column


STEERING = (
    "\x1b[2J",
    "\x1b]0;title\x07",
    "\x9b31m",
    "\N{RIGHT-TO-LEFT OVERRIDE}egas",
    "\N{FIRST STRONG ISOLATE}x",
    "a\x08b",
    "a\rb",
)


@pytest.mark.parametrize("text", STEERING, ids=ascii)
def test_the_terminal_is_given_no_code_that_stands_in_a_text(text: str) -> None:
    file = io.StringIO()
    console = open_console(file)
    console.print(text)
    console.print(f"seen {text} here", style="bold")
    assert not set(file.getvalue()) & set("\x1b\x07\x9b\x08\r\N{RIGHT-TO-LEFT OVERRIDE}\N{FIRST STRONG ISOLATE}")
    assert "seen" in file.getvalue()


COLUMNS = [
    *(("pieces", heading) for heading in ("piece", "group", "boards", "under boards", "backing")),
    *(("offers", heading) for heading in ("shop", "board")),
]


@pytest.mark.parametrize(("table", "heading"), COLUMNS)
@pytest.mark.parametrize("text", ["\x1b[2Jfern", "\x9b2J", "\N{RIGHT-TO-LEFT OVERRIDE}egas"], ids=ascii)
def test_a_name_that_would_steer_a_terminal_is_a_fault(
    table: str, heading: str, text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = {
        "pieces": {"piece": "fern", "inside width": "11", "inside height": "17", "boards": "sage"},
        "offers": {"shop": "nook", "board": "sage", "sheet width": "31", "sheet height": "41", "price": "7"},
    }
    rows[table][heading] = text
    for name, row in rows.items():
        (tmp_path / f"{name}.csv").write_text(f"{','.join(row)}\n{','.join(row.values())}\n", encoding="utf-8")
    assert run(["check", str(tmp_path)]) == 2
    said = capsys.readouterr().err
    assert (
        f"- {table}, row 2, {heading}: {text!r} has a character that cannot be printed (U+{ord(text[0]):04X})" in said
    )
    assert not set(said) & set(text[0])


def test_a_path_that_would_steer_a_terminal_is_shown_without_its_code(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(tmp_path / "\x1b[2Jwall")]) == 2
    (tmp_path / "\x1b[2Jplan.json").write_text("{}")
    assert run(["done", str(tmp_path / "\x1b[2Jplan.json")]) == 2
    assert "\x1b" not in capsys.readouterr().err


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\N{FULLWIDTH EQUALS SIGN}1", "'=1", "''-1", "'quoted'", "a=b"]
)
def test_no_cell_of_the_shelf_file_starts_a_formula_and_what_is_read_back_is_the_same(text: str) -> None:
    one = shelf(held(text, board=text, origin=text, notes=text))
    data = shelf_text(one)
    for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))):
        assert not [cell for cell in row if cell.startswith(("=", "+", "-", "@", "\t", "\N{FULLWIDTH EQUALS SIGN}"))]
    assert read_shelf(data, "shelf.csv") == one


def test_a_label_that_could_not_be_read_again_is_never_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "shelf.csv"
    assert run(["shelf", "add", "sage", "5", "7", "--shelf", str(path)]) == 0
    before = path.read_bytes()
    assert run(["shelf", "add", "sage", "5", "7", "--label", "\x1b[2J", "--shelf", str(path)]) == 2
    assert "has a character that cannot be printed (U+001B)" in capsys.readouterr().err
    assert path.read_bytes() == before

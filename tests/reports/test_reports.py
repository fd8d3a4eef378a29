"""Reports, held against the answers kept in golden/."""

import io
import json
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from cli.reports.files.folder import replace_file, write_report
from cli.reports.screen.plan import open_console, print_plan, wrapped
from cli.reports.screen.sizes import print_sizes
from cli.reports.sentences import carry_words
from nesting.drawing import Drawing, Rectangle, Text, draw_sheet
from nesting.drawing.svg import write_svg
from nesting.model.plan import FromFallout, Line, Plan, Purchase
from nesting.names import NO_BREAK
from nesting.plan_file.write import plan_to_dict, write_json
from tests.goldens import golden, matches
from tests.handmade import bench, job, plan, size

pytestmark = pytest.mark.usefixtures("plain_terminal")


def printed(made: Plan, columns: int, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("COLUMNS", str(columns))
    file = io.StringIO()
    print_plan(made, open_console(file))
    return file.getvalue()


def as_json(made: Plan) -> str:
    file = io.StringIO()
    write_json(made, file)
    return file.getvalue()


def as_svg(drawing: Drawing) -> str:
    file = io.StringIO()
    write_svg(drawing, file)
    return file.getvalue()


@pytest.mark.parametrize("columns", [60, 80])
def test_the_screen_is_as_kept(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    text = printed(plan(), columns, monkeypatch)
    assert matches(text, golden(f"terminal-{columns}.txt"))
    assert max(map(len, text.splitlines())) <= columns
    assert not [line for line in text.splitlines() if line.endswith(" ")]


def test_the_plan_file_is_as_kept() -> None:
    assert matches(as_json(plan()), golden("plan.json"))


@pytest.mark.parametrize("number", [0, 1, 2])
def test_the_pictures_are_as_kept(number: int) -> None:
    made = plan()
    drawing = draw_sheet(made, made.sheets[number])
    assert matches(as_svg(drawing), golden(f"sheet-{drawing.name}.svg"))


@pytest.mark.parametrize("columns", [60, 80])
def test_the_table_of_sizes_is_as_kept(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    file = io.StringIO()
    made = plan()
    print_sizes(made.job, [placed.mat for placed in made.mats], open_console(file))
    assert matches(file.getvalue(), golden(f"sizes-{columns}.txt"))


def test_the_first_line_says_what_to_carry_to_the_till(monkeypatch: pytest.MonkeyPatch) -> None:
    first = printed(plan(), 120, monkeypatch).splitlines()[0]
    assert first == "Buy 1 sheet at North store: $8.10."


def test_what_a_coupon_buys_is_told_from_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    offers = tuple(replace(offer, at_most=1 if offer.number == 2 else None) for offer in plan().job.offers)
    lines = (*plan().purchase.lines, Line("North store", "slate", 2, size("32", "40"), 1, 340))
    made = plan(job=job(offers=offers), purchase=Purchase(lines, {}, {}, 765))
    text = printed(made, 80, monkeypatch)
    assert "1 slate, 32 × 40                 $4.25" in text
    assert "1 slate, 32 × 40, limited offer  $3.40" in text


def test_a_sign_stays_beside_its_number() -> None:
    assert wrapped("It costs 2.20 € less, 40 % off.", 14) == "It costs\n2.20 € less,\n40 % off."
    assert wrapped("a sheet of 32 × 40 and more", 15) == "a sheet of 32 ×\n40 and more"
    assert wrapped("two of 3 (the rest)", 10) == "two of 3\n(the rest)"


def test_two_shops_are_both_named(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = (*plan().purchase.lines, Line("Quay shop", "slate", 2, size("32", "40"), 2, 700))
    made = plan(purchase=Purchase(lines, {"North store": 350}, {"North store": 35}, 1000))
    text = printed(made, 200, monkeypatch)
    assert text.startswith("Buy 3 sheets at 2 shops: $22.10.\n")
    assert carry_words(made).replace(NO_BREAK, " ") == (
        "Buy 3 sheets at 2 shops: $22.10. North store: 1 slate 32 × 40; Quay shop: 2 slate 32 × 40 (inches)."
    )
    assert "2 slate, 32 × 40 at $7.00" in text
    assert (
        "Not proven: a longer search may find up to $12.10 less than $22.10, and nothing costs less than $10.00."
        in text
    )
    assert "Proven" not in text
    stopped = plan(purchase=replace(made.purchase, lower_bound=0))
    assert "Not proven: a longer search may find less than $22.10; it was not long enough to say how much less." in (
        printed(stopped, 200, monkeypatch)
    )


def test_a_wall_from_the_shelf_needs_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    made = plan(purchase=Purchase((), {}, {}, 0), sheets=plan().sheets[1:])
    text = printed(made, 80, monkeypatch)
    assert text.startswith("Buy nothing: what is on the shelf is enough.")
    assert "Shopping list" not in text
    assert "Proven" not in text  # that nothing costs nothing needs no proof
    assert "Could it cost less?" not in text


def test_dearer_boards_than_the_quotes_are_said_to_be(monkeypatch: pytest.MonkeyPatch) -> None:
    made = plan(summary=replace(plan().summary, saved=-120, mats_to_pay_cutter=None, first_choice=3))
    text = printed(made, 80, monkeypatch)
    assert "The boards cost $1.20 more than the shops' quotes for the same mats." in text
    assert "3 of 5 get their first-choice board." in text
    assert "cutter" not in text
    paid = printed(plan(summary=replace(plan().summary, mats_to_pay_cutter=0)), 80, monkeypatch)
    assert "With this wall the cutter has paid for itself." in paid


def test_names_with_brackets_are_printed_as_they_stand(monkeypatch: pytest.MonkeyPatch) -> None:
    made = plan()
    named = tuple(replace(cost, group="[red]hall[/red] :wave:") for cost in made.pieces)
    assert "[red]hall[/red] :wave:" in printed(plan(pieces=named), 80, monkeypatch)


def test_no_colour_where_it_is_not_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "\x1b" not in printed(plan(), 80, monkeypatch)


def test_money_is_text_with_two_decimals_and_lengths_are_whole() -> None:
    made = plan_to_dict(plan())
    text = json.dumps([made["purchase"], made["pieces"]])
    assert not re.findall(r"\d+\.\d+(?!\d*\")", re.sub(r'"\d+\.\d\d"', '""', text))
    for part in ("sheets", "mats", "leftover", "bench"):
        assert not re.search(r"\d\.\d", json.dumps(made[part]))


def test_the_plan_file_holds_every_key_of_its_contract() -> None:
    made = plan_to_dict(plan())
    assert {"format", "version", "ticks_per_mm", "job", "bench", "purchase", "sheets", "mats"} <= made.keys()
    assert {"leftover", "pieces", "summary"} <= made.keys()
    assert made["job"] == {"path": "stairs", "pieces": 5, "blanks": 6, "when": "now"}
    assert made["summary"]["waste_percent"] == 11.9
    cost = made["pieces"][3]["cost"]
    assert sum(Decimal(cost[name]) for name in ("board", "frame", "other")) == Decimal(cost["total"])


def test_exact_settings_between_ticks_stand_at_the_nearer_one() -> None:
    made = plan(job=job(bench=bench(allowance=Fraction(4001, 3), longest_cut=Fraction(1301, 2))))
    assert plan_to_dict(made)["bench"]["allowance"] == 1334
    assert plan_to_dict(made)["bench"]["longest_cut"] == 651


def test_any_letter_survives_the_plan_file() -> None:
    made = plan(job=job(path="Stiege \u00fc \udcff"))
    text = as_json(made)
    assert text.isascii()
    assert json.loads(text)["job"]["path"] == "Stiege \u00fc \udcff"


def test_svg_escapes_words_and_drops_what_no_xml_may_hold() -> None:
    drawing = Drawing(
        "S1", 'a <b> & "c"', 30, 20, (Text(1, 2, "<&>\x0b\ud800 \u00bd", 9, '#0"'), Rectangle(1, 2, 3, 4))
    )
    root = ET.fromstring(as_svg(drawing))  # noqa: S314 - our own text
    assert [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")] == ["<&>\ufffd\ufffd \u00bd"]
    assert root.get("viewBox") == "0 0 30 20"


def test_fractions_in_svg_are_set_apart_and_read_as_they_stand() -> None:
    drawing = Drawing("S1", "x", 30, 20, (Text(1, 2, "10 1/2 × 3/4 on 11/14/2025", 100, "#000000"),))
    (text,) = ET.fromstring(as_svg(drawing)).iter("{http://www.w3.org/2000/svg}text")  # noqa: S314 - our own text
    assert "".join(text.itertext()) == "10 1/2 × 3/4 on 11/14/2025"
    spans = [(span.text, span.get("dy"), span.get("font-size")) for span in text]
    assert spans[:4] == [("1", "-30", "70"), ("/", "30", None), ("2", "9", "70"), (" × ", "-9", None)]
    assert sum(size is not None for _, _, size in spans) == 4  # the date is left alone


def test_the_folder_holds_the_plan_and_a_picture_of_every_sheet(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("kept")
    (tmp_path / "sheet-S9.svg").write_text("older")
    said = write_report(plan(), tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "mine.txt",
        "plan.html",
        "plan.json",
        "plan.pdf",
        "plan.xlsx",
        "sheet-S1.svg",
        "sheet-S2.svg",
        "sheet-S3.svg",
        "sheet-S9.svg",
    ]
    assert (tmp_path / "sheet-S9.svg").read_text() == "older"
    assert "Of another plan, left as they are: sheet-S9.svg." in said


def test_a_file_is_replaced_whole_or_not_at_all(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    path.write_text("before")

    def half(file: io.TextIOBase) -> None:
        file.write("half")
        raise OSError("disk full")

    with pytest.raises(OSError, match="disk full"):
        replace_file(path, half)
    assert path.read_text() == "before"
    assert list(tmp_path.iterdir()) == [path]


def test_every_source_has_its_words(monkeypatch: pytest.MonkeyPatch) -> None:
    made = plan()
    text = printed(made, 100, monkeypatch)
    assert "1 from the shelf, box lid: S2" in text
    assert "S3  Ford map gives Token" in text
    assert any(isinstance(sheet.source, FromFallout) for sheet in made.sheets)

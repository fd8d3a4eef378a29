"""`windowfall pair`: what it prints and what it writes."""

from datetime import date
from pathlib import Path

import openpyxl
import pytest

from cli.main import run
from nesting.reading.job import read_job

pytestmark = pytest.mark.usefixtures("plain_terminal")


@pytest.fixture
def attic(tmp_path: Path) -> Path:
    """Two frames and three pictures, of which one is larger than both."""
    folder = tmp_path / "attic"
    folder.mkdir()
    (folder / "frames.csv").write_text("frame,inside width,inside height\noak,11,14\nash,20,16\n")
    (folder / "pictures.csv").write_text(
        "picture,picture width,picture height,boards\nFern,8,10,moss\nHeron,11,14,moss\nMap,40,30,moss\n"
    )
    (folder / "offers.csv").write_text("shop,board,sheet width,sheet height,price\nQuay shop,moss,32,40,9.80\n")
    return folder


ANSWER = """\
Which picture goes into which frame.
Sizes in inches, width × height.

Fern: oak
  Shows 7 1/2 × 9 1/2. Borders: sides 1 11/16, top 2 3/16, bottom 2 3/16. Board
  about $1.16.
  5.7 points: even 2.0, border 2.5, board 1.2.
  Runner-up: ash, turned; all together would count 23.2 points more.

Heron: ash, turned
  Shows 10 1/2 × 13 1/2. Borders: sides 2 11/16, top 3 3/16, bottom 3 3/16.
  Board about $2.42.
  7.0 points: even 2.0, border 2.5, board 2.5.
  Runner-up: oak; all together would count 23.2 points more.

Left over
  - Without a frame: Map. No frame will do; the nearest, ash, is so small that
    53 % of a side would be hidden.
"""


def test_the_answer_names_the_frame_the_borders_the_points_and_the_runner_up(
    attic: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["pair", str(attic)]) == 0
    captured = capsys.readouterr()
    assert captured.out.startswith(ANSWER)
    assert not captured.err
    for word in ("even: 1 for each 1/4", "border: 2 for each 1/4", "crop: 1 for each", "board: 1 for each tenth"):
        assert word in captured.out
    assert sorted(path.name for path in attic.iterdir()) == ["frames.csv", "offers.csv", "pictures.csv"]


def test_a_csv_file_is_written_once(attic: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = attic / "pieces.csv"
    assert run(["pair", str(attic), "--out", str(out)]) == 0
    assert "2 rows of the table pieces" in capsys.readouterr().out
    job = read_job(attic)
    assert [piece.name for piece in job.pieces] == ["Fern", "Heron"]
    before = out.read_bytes()
    assert run(["pair", str(attic), "--out", str(out)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert out.read_bytes() == before


def test_a_workbook_holds_the_whole_job_as_text(attic: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = attic / "wall.xlsx"
    assert run(["pair", str(attic), "--out", str(out)]) == 0
    assert f"Then: windowfall check {out}" in capsys.readouterr().out
    job = read_job(out)
    assert [(piece.name, piece.notes) for piece in job.pieces] == [
        ("Fern", "frame: oak"),
        ("Heron", "frame: ash, turned"),
    ]
    assert [offer.price for offer in job.offers] == [980]
    book = openpyxl.load_workbook(out)
    assert book.sheetnames == ["pieces", "offers"]
    assert {cell.number_format for row in book["pieces"].iter_rows() for cell in row} == {"@"}
    assert run(["check", str(out)]) == 0


def test_a_job_that_lacks_boards_is_told_so(attic: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (attic / "pictures.csv").write_text("picture,picture width,picture height\nFern,8,10\n")
    assert run(["pair", str(attic), "--out", str(attic / "wall.csv")]) == 0
    assert "Write a board for each row that has none. Put it into the folder" in capsys.readouterr().out


def test_weights_change_what_counts(attic: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["pair", str(attic), "--weigh", "Even=0", "--weigh", "board=3"]) == 0
    out = capsys.readouterr().out
    assert "6.1 points: border 2.5, board 3.6." in out
    assert "even: 0 for each" in out


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--weigh", "corp=3"], "'corp' counts nothing. Did you mean crop? Then write that."),
        (["--weigh", "crop"], "'crop' has no whole number from 0 to 1000. Write it like crop=3."),
        (["--weigh", "crop=1.5"], "'crop=1.5' has no whole number from 0 to 1000."),
        (["--out", "wall.pdf"], "wall.pdf is neither a .csv nor an .xlsx: name the file so"),
        (["--out", "no/such/wall.csv"], "there is no folder no/such: make it first"),
    ],
)
def test_a_wrong_command_line_says_what_to_write(
    attic: Path, options: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["pair", str(attic), *options]) == 2
    assert said in " ".join(capsys.readouterr().err.split())


def test_faults_are_2_and_no_pair_at_all_is_1(attic: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (attic / "frames.csv").write_text("frame,inside width,inside height\noak,3,2\n")
    assert run(["pair", str(attic)]) == 1
    assert capsys.readouterr().err.startswith("There is no plan, because:\n- Fern, Heron and Map: no frame takes it")
    (attic / "frames.csv").write_text("frame,inside width,inside height\noak,three,2\n")
    assert run(["pair", str(attic)]) == 2
    assert "frames, row 2, inside width: 'three' is" in capsys.readouterr().err


def test_cropping_trimming_copies_and_spare_frames_are_told(attic: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (attic / "frames.csv").write_text("frame,quantity,inside width,inside height,turn\noak,3,9,13,no\n")
    (attic / "pictures.csv").write_text(
        "picture,quantity,picture width,picture height,boards,across,gap\nFern,1,9,11,moss,,\nTwins,1,3,7,,2,1/2\n"
    )
    assert run(["pair", str(attic)]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "Cropped: 1 1/8 of the width is hidden that was to be seen." in out
    assert "The picture is 1/8 wider than the mat: it must be cut down or folded to go into the frame." in out
    assert "Shows 2 windows of 2 1/2 × 6 1/2." in out
    assert "- Without a picture: the frame oak, 1 of 3, inside size 9 × 13." in out


def test_a_runner_up_may_cost_another_picture_its_frame_or_not_be_there(
    attic: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (attic / "pictures.csv").write_text("picture,picture width,picture height,priority\nFern,8,10,1\nHall,18,13,2\n")
    assert run(["pair", str(attic)]) == 0
    out = capsys.readouterr().out
    assert "Runner-up: ash, turned, which would leave another picture without a frame." in out
    assert "Runner-up: none; otherwise it would be left without a frame." in out


@pytest.mark.parametrize("columns", [60, 80])
def test_nothing_is_wider_than_the_window(
    attic: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    assert run(["pair", str(attic)]) == 0
    assert max(map(len, capsys.readouterr().out.splitlines())) <= columns


def test_a_workbook_is_read_and_a_fraction_that_became_a_date_is_named_with_its_cell(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in {
        "frames": [["frame", "inside width", "inside height"], ["oak", 11.25, "14 1/4"]],
        "pictures": [["picture", "picture width", "picture height", "overlap"], ["Fern", 8, 10, "1/4"]],
    }.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    path = tmp_path / "attic.xlsx"
    book.save(path)
    assert run(["pair", str(path), "--out", str(tmp_path / "pieces.csv")]) == 0
    assert "Fern: oak" in capsys.readouterr().out
    assert "Fern,11.25 in,14 1/4 in,8 in,10 in,1/4 in" in (tmp_path / "pieces.csv").read_text(encoding="utf-8-sig")
    book["pictures"]["D2"] = date(2026, 4, 1)
    book.save(path)
    assert run(["pair", str(path)]) == 2
    assert "- pictures, row 2, overlap, cell D2: '2026-04-01' is a date" in capsys.readouterr().err


def test_boards_without_a_price_are_named_where_others_have_one(
    attic: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (attic / "pictures.csv").write_text("picture,picture width,picture height,boards\nFern,8,10,slate\nReed,5,7,moss\n")
    assert run(["pair", str(attic)]) == 0
    assert "No price is known for slate, which counts nothing." in capsys.readouterr().out
    (attic / "offers.csv").unlink()
    assert run(["pair", str(attic)]) == 0
    out = capsys.readouterr().out
    assert "board: nothing, as there is no table offers with prices." in out
    assert "No price is known" not in out

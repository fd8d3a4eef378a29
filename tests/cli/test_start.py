"""`windowfall start`: what it writes, what it says, and what it leaves alone."""

from pathlib import Path

import pytest

from cli.main import run
from nesting.model.job import Unit
from nesting.reading.columns import BENCH, TABLES
from nesting.reading.job import read_job
from nesting.sizing import warnings

pytestmark = pytest.mark.usefixtures("plain_terminal")
LIST = "name,frame width,frame height,picture width,picture height,quantity\nFern,11 1/4,15,8,11,2\nMoss,19,17,A5,,\n"


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize("path", ["wall.xlsx", "wall", "new/wall.xlsx", "my wall.v2"])
def test_a_workbook_that_can_be_checked_and_planned_as_it_stands(path, capsys):
    assert run(["start", path]) == 0
    place = Path(path if path.endswith(".xlsx") else f"{path}.xlsx")
    name = f'"{place}"' if " " in path else place
    assert capsys.readouterr().out == (
        f"Written: {place}, a job to fill in. "
        "Open it in a spreadsheet program: its first sheet says what to do.\n"
        f"Then: windowfall check {name}\n"
    )
    assert run(["check", str(place)]) == 0
    said = capsys.readouterr().out
    assert "3 pieces" in said
    assert "No mistakes found" in said
    assert run(["plan", str(place), "--seconds", "1"]) == 0


@pytest.mark.parametrize("unit", list(Unit))
def test_a_folder_of_the_same_tables(here, unit, capsys):
    assert run(["start", "wall", "--folder", "--unit", unit.upper()]) == 0
    assert capsys.readouterr().out == (
        f"Written: wall, a job to fill in. {Path('wall/begin here.txt')} says what to do.\n"
        "Then: windowfall check wall\n"
    )
    files = {path.name for path in (here / "wall").iterdir()}
    assert files == {"begin here.txt", "to measure.html", *(f"{table.name}.csv" for table in TABLES)}
    job = read_job("wall")
    assert job.bench.unit is unit
    assert (job.warnings, warnings(job)) == ((), ())
    assert run(["start", "book", "--unit", unit]) == 0
    book = read_job("book.xlsx")
    assert (job.pieces, job.offers, job.shops, job.shelf) == (book.pieces, book.offers, book.shops, book.shelf)
    assert (job.boards, job.bench) == (book.boards, book.bench)


def test_the_text_of_the_folder_has_eight_lines_and_every_heading(here):
    assert run(["start", "wall", "--folder"]) == 0
    text = (here / "wall" / "begin here.txt").read_text(encoding="utf-8")
    assert [line[:2] for line in text.split("WHAT")[0].split("\n")[2:-2]] == [f"{n}." for n in range(1, 9)]
    for table in TABLES:
        assert f"\n{table.name}.csv: {table.meaning}\n" in text
        for column in table.columns:
            assert f"\n  {column.heading}: {column.meaning}" in text
    bench = (here / "wall" / "bench.csv").read_text(encoding="utf-8-sig")
    assert all(f"\n{setting.heading}," in bench for setting in BENCH)


@pytest.mark.parametrize("options", [[], ["--folder"]])
def test_what_is_there_is_never_overwritten(here, options, capsys):
    place = here / ("wall" if options else "wall.xlsx")
    place.mkdir() if options else place.write_text("mine")
    for path in ["wall"] if options else ["wall", "wall.xlsx"]:
        assert run(["start", path, *options]) == 2
        captured = capsys.readouterr()
        assert (
            f"{place.name} is there already and was left as it is: name another, or move it away first" in captured.err
        )
        assert not captured.out
    assert place.is_dir() if options else place.read_text() == "mine"
    assert [path.name for path in here.iterdir()] == [place.name]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["wall.csv"], "a workbook ends in .xlsx: name it wall.xlsx, or ask for a --folder"),
        (["wall.ODS"], "a workbook ends in .xlsx: name it wall.xlsx, or ask for a --folder"),
        (["wall.xlsx", "--folder"], "named like a workbook: leave out .xlsx or --folder"),
        (["."], "is a folder: name a workbook in it, such as wall.xlsx"),
        (["wall", "--unit", "feet"], "'feet' is not one of 'in', 'mm', 'cm'"),
        (["wall", "--from", "nowhere.csv"], "'nowhere.csv' does not exist"),
        ([], "Missing argument 'PATH'"),
    ],
)
def test_a_wrong_command_line_writes_nothing(here, arguments, said, capsys):
    assert run(["start", *arguments]) == 2
    assert said in " ".join(capsys.readouterr().err.split())
    assert not list(here.iterdir())


@pytest.mark.parametrize("options", [[], ["--folder"]])
def test_a_plain_list_fills_the_pieces(here, options, capsys):
    (here / "frames.csv").write_text(LIST)
    assert run(["start", "wall", "--from", "frames.csv", *options]) == 0
    assert (
        "The frames and pictures of frames.csv stand in its table pieces. "
        "Write under boards which board each is to have.\n"
    ) in capsys.readouterr().out
    place = "wall" if options else "wall.xlsx"
    assert run(["check", place]) == 2
    assert "rows 2 and 3" in capsys.readouterr().err
    if options:
        assert "<td>Fern, 2 of 2</td>" in (here / "wall" / "to measure.html").read_text(encoding="utf-8")


def test_a_plain_list_with_boards_is_a_job(here, capsys):
    (here / "frames.csv").write_text("title,board,inside width,inside height\nFern,example grey,11,17\n")
    assert run(["start", "wall.xlsx", "--from", "frames.csv"]) == 0
    assert "Write under boards" not in capsys.readouterr().out
    (piece,) = read_job("wall.xlsx").pieces
    assert (piece.name, piece.boards) == ("Fern", ("example grey",))


def test_a_plain_list_with_faults_writes_nothing_and_names_them_all(here, capsys):
    (here / "frames.csv").write_text(f"{LIST}Reed,eleven,15,,,\nFern,11,3/8/2026,,,none\n")
    assert run(["start", "wall.xlsx", "--from", "frames.csv"]) == 2
    said = capsys.readouterr().err.splitlines()
    assert said[0] == "Please fix these first:"
    assert [line.partition(": ")[0] for line in said[1:]] == [
        "- frames.csv, row 4, frame width",
        "- frames.csv, row 5, name",
        "- frames.csv, row 5, frame height",
        "- frames.csv, row 5, quantity",
    ]
    assert not Path("wall.xlsx").exists()


@pytest.mark.parametrize("options", [[], ["--folder"]])
def test_a_disk_that_fails_leaves_nothing_half_written(here, options, monkeypatch, capsys):
    def refuse(*_):
        raise OSError(28, "No space left on device", "wall")

    monkeypatch.setattr("cli.blank_job.folder.write_measuring_page", refuse)
    monkeypatch.setattr("cli.blank_job.workbook.write_blank_workbook", refuse)
    assert run(["start", "wall", *options]) == 2
    assert capsys.readouterr().err == "A file could not be read or written: No space left on device: wall\n"
    assert not list(here.iterdir())


def test_what_comes_to_stand_there_meanwhile_is_left_alone(here, monkeypatch, capsys):
    def write(_job, place, _data):
        place.write_text("theirs")

    monkeypatch.setattr("cli.blank_job.workbook.write_blank_workbook", write)
    assert run(["start", "wall"]) == 2
    assert "File exists" in capsys.readouterr().err
    assert (here / "wall.xlsx").read_text() == "theirs"

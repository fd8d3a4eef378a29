"""How large a job may be, said at once, and what a plan does without: room on the disk, a home to write to, a shelf."""

import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import pytest

from cli.main import run
from nesting.money import DEAREST
from nesting.reading import limits
from tests.builders import make_board, make_offer, make_piece, make_shelf

ROOT = Path(__file__).parents[2]
PROGRAM = [sys.executable, "-c", "from cli.main import main; main()"]
PIECES = "piece,quantity,inside width,inside height,picture width,picture height,boards\n"
OFFERS = "shop,board,sheet width,sheet height,price\nnook,any,31,41,7.40\n"


def said(*, pieces=(), offers=(), shelf=(), boards=()) -> list[str]:
    return [str(fault) for fault in limits.beyond(pieces, offers, shelf, boards)]


def test_as_much_as_may_be_is_no_fault_and_one_more_is() -> None:
    many = make_piece("fern", (113, 71), (53, 31), quantity=2499, under_boards=("sage",), row=7)
    two, three = (make_piece("moss", (113, 71), quantity=count, row=9) for count in (2, 3))
    assert said(pieces=[many, two]) == []
    (fault,) = said(pieces=[many, three])
    assert fault.startswith("pieces: asks for 5001 blanks, more than the 5000 ")
    assert fault.endswith(". Check the quantity in row 7, or plan the job in parts.")


def test_every_layer_and_every_window_counts() -> None:
    layers = make_piece("fern", (113, 71), (53, 31), quantity=1667, under_boards=("sage",), backing=("oat",))
    assert said(pieces=[layers])[0].startswith("pieces: asks for 5001 blanks")
    windows = make_piece("fern", (113, 71), (53, 31), quantity=667, across=5, down=3, row=4)
    (fault,) = said(pieces=[windows])
    assert fault.startswith("pieces: asks for 10005 windows, more than the 10000 of a plan. Check across, down and ")


def test_offers_shelf_and_boards_have_their_limits() -> None:
    offers = [make_offer(number, "nook", "sage", 740) for number in range(1001)]
    assert said(offers=offers[1:]) == []
    assert said(offers=offers)[0].startswith("offers: has 1001 offers, more than the 1000")
    boards = [make_board(f"board {number}") for number in range(200)]
    prices = [make_offer(number, "nook", None, 740) for number in range(101)]
    assert said(offers=prices[1:], boards=boards) == []
    assert said(offers=prices, boards=boards)[0].startswith("offers: make 20200 prices, any counted for each board")
    shelf = [make_shelf("R1", "sage", (11, 17), quantity=4999), make_shelf("R2", "sage", (11, 17), quantity=2)]
    assert said(shelf=shelf[:1]) == []
    assert said(shelf=shelf)[0].startswith("shelf: holds 5001 pieces, more than the 5000")
    boards = [make_board(f"board {number}") for number in range(201)]
    assert said(boards=boards[1:]) == []
    assert said(boards=boards)[0].startswith("boards: are 201 by name, more than the 200")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_more_rows_than_a_table_has_are_not_read(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [PIECES.strip().split(","), *(["fern", "1", "11", "17", "5", "7", "sage"] for _ in range(limits.MOST_ROWS))]
    if kind == "csv":
        (tmp_path / "pieces.csv").write_text("\n".join(map(",".join, rows)))
        (tmp_path / "offers.csv").write_text(OFFERS)
        path, given = tmp_path, "pieces.csv"
    else:
        book = openpyxl.Workbook(write_only=True)
        for name, table in (("pieces", rows), ("offers", [row.split(",") for row in OFFERS.split()])):
            sheet = book.create_sheet(name)
            for row in table:
                sheet.append(row)
        path, given = tmp_path / "job.xlsx", "pieces"
        book.save(path)
    assert run(["check", str(path)]) == 2
    assert f"- pieces: {given!r} has 10001 rows, more than the 10000 that are read. Keep" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["check", "plan"])
def test_a_job_far_too_large_is_refused_at_once(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = "".join(f"fern {number},999999,11,17,5,7,sage\n" for number in range(2000))
    (tmp_path / "pieces.csv").write_text(PIECES + rows)
    (tmp_path / "offers.csv").write_text(OFFERS)
    began = time.perf_counter()
    assert run([command, str(tmp_path)]) == 2
    assert time.perf_counter() - began < 5
    assert "asks for 1999998000 blanks" in capsys.readouterr().err


def test_the_readme_states_the_limits() -> None:
    page = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    stated = re.search(r"A job may ask for (.*?)\. Beyond", page)
    assert stated is not None
    assert [int(number.replace(",", "")) for number in re.findall(r"[0-9][0-9,]*", stated[1])] == [
        limits.MOST_MATS,
        limits.MOST_WINDOWS,
        limits.MOST_OFFERS,
        limits.MOST_PRICES,
        limits.MOST_BOARDS,
        limits.MOST_HELD,
        limits.LARGEST_CSV // 1_000_000,
        limits.LARGEST_WORKBOOK // 1_000_000,
        limits.MOST_ROWS,
        limits.LONGEST_NAME,
        DEAREST,
    ]


@pytest.fixture
def installation(tmp_path: Path) -> Path:
    """A copy of the program in which nothing compiled can be kept."""
    for part in ("nesting", "cli", "data"):
        shutil.copytree(ROOT / part, tmp_path / part, ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "nesting" / "packing" / "__pycache__").write_text("no folder")
    return tmp_path


def without_home(installation: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the program of an installation for a user whose home is nowhere."""
    gone = {"XDG_CACHE_HOME", "XDG_DATA_HOME", "WINDOWFALL_SHELF", "LOCALAPPDATA"}
    environment = {name: value for name, value in os.environ.items() if name not in gone}
    return subprocess.run(
        [*PROGRAM, *arguments],
        cwd=installation,
        env=environment | {"HOME": "/proc/nowhere", "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def test_a_home_that_cannot_be_written_to_is_no_fault_nor_is_a_shelf_that_is_not_there(installation: Path) -> None:
    for arguments in (("check", "data/demo"), ("shelf",), ("demo", "--seconds", "0.001", "--shelf")):
        done = without_home(installation, *arguments)
        assert (done.returncode, done.stderr) == (0, ""), arguments
    done = without_home(installation, "shelf", "add", "sage", "5", "7")
    assert done.returncode == 2
    assert done.stderr.startswith("A file could not be read or written: ")


@pytest.mark.slow
def test_an_installation_that_cannot_be_written_to_still_compiles_and_plans(installation: Path) -> None:
    done = without_home(installation, "demo", "--seconds", "3")
    assert done.returncode == 0
    assert done.stdout.startswith("Buy 7 sheets at")
    assert done.stderr.startswith("preparing")


@pytest.mark.slow
def test_two_thousand_pieces_and_three_hundred_offers_stay_within_500_mb(tmp_path: Path) -> None:
    colours = ("fog", "sage", "ivory", "rust", "ink", "oat")
    frames = ((5, 7, 4, 6), (8, 10, 5, 7), (11, 14, 8, 10), (12, 16, 9, 12), (16, 20, 11, 14), (18, 24, 12, 18))
    rows = [
        f"order {number},{1 + number % 7},{','.join(map(str, frames[number % 6]))},{colours[number * 5 % 6]}\n"
        for number in range(500)
    ]
    offers = [
        f"shop {number % 11},{colours[number % 6] if number % 3 else 'any'},{16 + number % 17},{20 + number % 21},"
        f"{1 + number % 7}.{10 + number % 89}\n"
        for number in range(299)
    ]
    (tmp_path / "pieces.csv").write_text(PIECES + "".join(rows))
    (tmp_path / "offers.csv").write_text(OFFERS + "".join(offers))
    plan = [sys.executable, "-c", "from cli.main import main; main()", "plan", str(tmp_path)]
    command = [*plan, "--seconds", "20", "--out", str(tmp_path / "out")]
    # asked from a small process: what is measured is never below the size of the process that asks
    asking = (
        "import sys; from tests.benchmarks.child import run_child; "
        "ended = run_child(sys.argv[1:], 300); print(ended.exit_code, ended.memory)"
    )
    code, mebibytes = map(int, subprocess.check_output([sys.executable, "-c", asking, *command], cwd=ROOT).split())
    assert code == 0
    assert (tmp_path / "out" / "plan.json").exists()
    assert mebibytes < 488

"""At a sale, on the command line: compare, till, and the options of plan that say what may be bought."""

import json
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest

from cli.main import run
from nesting.errors import CannotBeCutError
from nesting.model.job import When
from nesting.money import format_money
from nesting.reading.job import read_job
from nesting.scenarios.compare import Case, Figure, compare

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.usefixtures("plain_terminal")

PIECES = """piece,quantity,inside width,inside height,picture width,picture height,boards,when,priority,quote
Fern,2,11 1/8,14 1/8,7 1/2,10 1/2,moss,,2,21
Map,1,30 1/8,38 1/8,13,31,moss or oat,,1,60
Reed,3,15 1/8,19 1/8,11,15,oat,,3,25
Owl,2,15 1/8,19 1/8,11,15,oat,later,,25
"""
OFFERS = """shop,board,sheet width,sheet height,price,discount,at most
Quay Papers,any,32,40,8.00,,
Quay Papers,any,32,40,8.00,50%,1
Mill Lane Art,oat,32,40,7.00,25%,
Mill Lane Art,moss,32,40,9.00,25%,
Corner Shop,moss,32,40,1.00,,
"""
SHOPS = "shop,delivery,tax\nQuay Papers,,5\nMill Lane Art,1.50,\n"


@pytest.fixture
def wall(tmp_path: Path) -> str:
    """A job of three shops, of which one does not do, with pieces for later."""
    folder = tmp_path / "wall"
    folder.mkdir()
    for name, text in (("pieces", PIECES), ("offers", OFFERS), ("shops", SHOPS)):
        (folder / f"{name}.csv").write_text(text)
    return str(folder)


def answered(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> tuple[str, str]:
    assert run([*arguments]) == code
    captured = capsys.readouterr()
    return captured.out, " ".join(captured.err.split())


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("compare", "--discounts", "0,x"), "--discounts: '0,x' is not a percentage. Write per cents from 0 to 100"),
        (("compare", "--discounts", "25,120"), "--discounts: '25,120' is more than 100 per cent"),
        (("compare", "--discounts", ""), "--discounts: '' is not a percentage"),
        (
            ("compare", "--sale-at", "Quai Papers"),
            "--sale-at: 'Quai Papers' is no shop that sells anything. Did you mean",
        ),
        (("compare", "--seconds", "0"), "'--seconds'"),
        (
            ("plan", "--shop", "mil lane art"),
            "--shop: 'mil lane art' is no shop that sells anything. Did you mean Mill",
        ),
        (("plan", "--shop", "Xyz"), "There are: Quay Papers, Mill Lane Art, Corner Shop."),
        (("plan", "--left", "moss"), "--left: 'moss' is not a board and a count. Write the board, =,"),
        (("plan", "--left", "moss=few"), "--left: 'moss=few' is not a board and a count."),
        (("plan", "--left", "moss=-1"), "--left: 'moss=-1' is not a board and a count."),
        (("plan", "--left", "mos=1"), "--left: 'mos' is no board of this job. Did you mean moss? Then write that."),
        (("plan", "--left", "Key Papers:moss=1"), "--left: 'Key Papers' is no shop that sells anything. Did you mean"),
        (
            ("plan", "--budget", "much"),
            "--budget: 'much' is not a sum of money. Write a sum such as 12.50, with or without its currency",
        ),
        (("plan", "--budget", "-4"), "--budget: '-4' must be 0 or more"),
        (("plan", "--sheets", "-1"), "'--sheets': -1 is not in the range 0 or more."),
        (("plan", "--sheets", "two"), "'--sheets': 'two' is not a valid whole number."),
        (("till", "--frame", "8y10"), "--frame: '8y10' is not a length. Write a width and a height, as 8x10"),
        (("till", "--frame", "0x10"), "--frame: '0x10' must be more than 0."),
        (("till", "--frame", "8x10x3"), "--frame: '8x10x3' has more than two lengths."),
        (("till", "--discount", "most"), "--discount: 'most' is not a percentage"),
    ],
)
def test_a_wrong_option_is_2_and_says_what_to_write(
    arguments: tuple[str, ...], said: str, wall: str, capsys: pytest.CaptureFixture[str]
) -> None:
    command, *options = arguments
    out, err = answered(capsys, command, wall, *options, code=2)
    assert said in err
    assert not out


def test_all_that_is_wrong_with_shops_is_said_at_once(wall: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, err = answered(capsys, "plan", wall, "--shop", "Key Papers", "--shop", "Mil Lane", code=2)
    assert "Key Papers" in err
    assert "Mil Lane" in err


def test_a_plan_at_one_shop_is_the_figure_of_the_comparison(wall: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = compare(read_job(wall), (Decimal(0), Decimal(40)), seconds=30)
    for case in found.figures:
        if case.shop is None:
            continue
        options = [wall, "--shop", case.shop.upper(), "--json", "--seconds", "3"]
        options += ["--later"] * (case.when is When.LATER)
        options += [] if case.discount is None else ["--discount", str(case.discount)]
        its = found.figures[case]
        if isinstance(its, CannotBeCutError):
            assert case.shop == "Corner Shop"
            assert "Left out:" in answered(capsys, "plan", *options)[1]
        else:
            bought = json.loads(answered(capsys, "plan", *options)[0])["purchase"]
            assert (bought["total"], bought["proven"]) == (format_money(its.total, ""), its.proven)
            assert {line["shop"] for line in bought["lines"]} == {case.shop}
    assert isinstance(found.figures[Case(None, shop="Quay Papers")], Figure)


def test_compare_says_the_answer_first_and_writes_its_pages(
    wall: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, err = answered(
        capsys, "compare", wall, "--discounts", "0,60", "--sale-at", "mill lane art", "--out", str(tmp_path / "c")
    )
    plan, _ = answered(capsys, "plan", wall)
    assert out.startswith(f"{plan.splitlines()[0]} ")
    assert "Each row replaces Mill Lane Art's own discount" in out
    assert "Corner Shop alone has nothing for Reed." in " ".join(out.split())
    assert "60 % off" in out
    assert "40 % off" not in out
    assert out.endswith(f"Written to {tmp_path / 'c'}: compare.html and compare.pdf.\n")
    assert not err


def test_till_answers_what_may_happen(wall: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "shop"
    sizes = ("--frame", "5x7", "--frame", "9 x 13")
    out, err = answered(capsys, "till", wall, *sizes, "--seconds", "20", "--out", str(folder))
    assert out.endswith(f"\nWritten to {folder}: till.html and till.pdf.\n")
    assert (folder / "till.pdf").read_bytes().startswith(b"%PDF")
    plan, _ = answered(capsys, "plan", wall)
    assert out.startswith(f"{plan.splitlines()[0]} ")
    for heading in ("Could it cost less?", "If a board is sold out or short", "More mats that fit", "One sheet fewer"):
        assert f"\n{heading}" in out
    assert "5 × 7  9 × 13" in out
    assert not err


def test_a_budget_says_what_is_left_out_and_what_that_would_need(wall: str, capsys: pytest.CaptureFixture[str]) -> None:
    # Map comes first and takes a sheet of moss, 1.00, with Fern in its window. Reed takes one of oat at half price with
    # 5 % tax: 4.20 more.
    out, _ = answered(capsys, "plan", wall, "--budget", "$5.19")
    said = " ".join(out.split())
    assert said.startswith("Buy 1 sheet at Corner Shop: $1.00. Left out ")
    assert "Left out Reed, 3 copies: does not fit the $5.19 budget." in said
    assert "To buy for the rest separately: 1 oat 32 × 40 from Quay Papers, $4.20 in all." in said
    assert "Everything together would cost $5.20, $4.20 more than this." in said
    plan_file, err = answered(capsys, "plan", wall, "--budget", "5.19", "--json")
    assert json.loads(plan_file)["purchase"]["total"] == "1.00"
    assert err.startswith("Left out: - Reed, 3 copies: ")
    enough, _ = answered(capsys, "plan", wall, "--budget", "5.20")
    assert enough.startswith("Buy 2 sheets at 2 shops: $5.20.")
    assert "Left out" not in enough


def test_where_nothing_can_be_had_that_is_said_with_what_is_left_out_and_no_more(
    wall: str, capsys: pytest.CaptureFixture[str]
) -> None:
    out, _ = answered(capsys, "plan", wall, "--budget", "0.50")
    assert out.startswith("Nothing can be cut within these limits.\n\nLeft out\n  Fern, 2 copies: ")
    assert out.endswith("  Everything together would cost $5.20.\n")
    assert out.count("\n\n") == 1


def test_so_many_sheets_and_no_more(wall: str, capsys: pytest.CaptureFixture[str]) -> None:
    out, _ = answered(capsys, "plan", wall, "--sheets", "1", "--json")
    assert json.loads(out)["summary"]["sheets_bought"] == 1
    out, _ = answered(capsys, "plan", wall, "--sheets", "1")
    assert "does not fit the limit of 1 sheet." in " ".join(out.split())


def test_a_board_that_is_sold_out_is_bought_elsewhere_or_its_pieces_are_left_out_and_named(
    wall: str, capsys: pytest.CaptureFixture[str]
) -> None:
    bought = json.loads(answered(capsys, "plan", wall, "--left", "Corner Shop:MOSS=0", "--json")[0])["purchase"]
    assert "Corner Shop" not in {line["shop"] for line in bought["lines"]}
    out, err = answered(capsys, "plan", wall, "--left", "oat=0", "--json")
    assert {cost["piece"] for cost in json.loads(out)["pieces"]} == {"Fern", "Map"}
    assert "Reed, 3 copies: no oat for its mat" in " ".join(err.split())


def test_the_boards_liked_best_and_credited_leftovers(wall: str, capsys: pytest.CaptureFixture[str]) -> None:
    made = json.loads(answered(capsys, "plan", wall, "--liked-best", "--json")[0])
    assert {mat["board"] for mat in made["mats"] if mat["piece"] == "Map"} == {"moss"}
    out, _ = answered(capsys, "plan", wall, "--credit-leftovers")
    assert "credited" in out
    assert "Credited: what the boards cost after" in " ".join(out.split())


def test_both_run_as_programs() -> None:
    program = [sys.executable, "-c", "from cli.main import main; main()"]
    for command in ("compare", "till"):
        done = subprocess.run(
            [*program, command, "nowhere"], cwd=ROOT, capture_output=True, encoding="utf-8", check=False
        )
        assert (done.returncode, done.stdout) == (2, "")
        assert "'nowhere' does not exist" in done.stderr

"""Plans, bookings and reservations on one shelf from end to end: nothing is booked, promised or taken twice."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any, cast

import pytest

from cli.main import run
from nesting.plan_file.read import read_plan_file
from nesting.shelf import store
from nesting.shelf.history import History
from nesting.shelf.recutting import Spoiled, to_cut_again
from nesting.shelf.store import history_of, load_shelf
from tests.desk import OFFERS, Desk, job

pytestmark = pytest.mark.usefixtures("plain_terminal")

ROOT = Path(__file__).parents[2]
NARROW = "shop,board,sheet width,sheet height,price\nQuay shop,moss,12,48,9.00\n"
INCH = 16256


def area(desk: Desk) -> int:
    """Return what is on the shelf in square inches."""
    return sum(piece.area for piece in load_shelf(desk.path).pieces) // INCH**2


def told(folder: str) -> dict:
    return json.loads((Path(folder) / "plan.json").read_text())


def sources(folder: str) -> list[str]:
    return [sheet["source"].get("label", sheet["source"]["kind"]) for sheet in told(folder)["sheets"]]


def planned(desk: Desk, wall: str, out: str, *more: str) -> str:
    folder = str(desk.folder / out)
    desk("plan", wall, "--shelf", "--seconds", "1", "--out", folder, *more)
    return folder


def test_one_piece_is_not_booked_for_two_plans(desk: Desk) -> None:
    desk("shelf", "add", "moss", "20", "30")
    first = planned(desk, job(desk.folder / "a", "Fern,16,20,,,moss,\n", offers=OFFERS), "first")
    second = planned(desk, job(desk.folder / "b", "Reed,12,16,,,moss,\n", offers=OFFERS), "second")
    assert sources(first) == sources(second) == ["R1"]
    desk("done", first)
    # 20 x 30 came off, 16 x 20 is the blank; 10 x 20 and 4 x 20 or the like are left.
    assert area(desk) == 20 * 30 - 16 * 20
    before = desk.path.read_bytes()
    said = desk.words("done", second, code=2)
    assert "S1 is cut from R1, which was cut for another plan, " in said
    assert "If this plan is not cut yet, plan the job again" in said
    assert desk.path.read_bytes() == before


def test_a_piece_that_was_measured_anew_is_not_booked_as_planned(desk: Desk) -> None:
    desk("shelf", "add", "moss", "16", "20")
    out = planned(desk, job(desk.folder / "a", "Fern,10,12,,,moss,\n", offers=OFFERS), "out")
    assert sources(out) == ["R1"]
    desk("shelf", "correct", "R1", "--width", "13")
    before = desk.path.read_bytes()
    said = desk.words("done", out, code=2)
    assert "S1 is cut from R1, planned as moss, 16 × 20 in; the shelf has it as moss, 13 × 20 in." in said
    assert desk.path.read_bytes() == before
    desk("shelf", "correct", "R1", "--width", "16")
    desk("done", out)
    # 16 x 20 came off, 10 x 12 is the blank; 16 x 8 and 6 x 12, or 6 x 20 and 10 x 8, are left.
    assert area(desk) == 16 * 20 - 10 * 12


def test_a_piece_taken_by_hand_is_put_back_and_booked(desk: Desk) -> None:
    desk("shelf", "add", "moss", "20", "30")
    out = planned(desk, job(desk.folder / "a", "Fern,16,20,,,moss,\n", offers=OFFERS), "out")
    desk("shelf", "take", "R1")
    desk("shelf", "add", "sage", "9", "30", "--origin", "half of R1")
    before = desk.path.read_bytes()
    said = desk.words("done", out, code=2)
    assert "S1 is cut from R1, which was taken off the shelf by hand (2026-03-31)." in said
    assert "windowfall shelf return R1 puts it back" in said
    assert desk.path.read_bytes() == before
    assert desk("shelf", "return", "r1") == "R1: moss, 20 × 30 in, offcut.\n"
    assert area(desk) == 9 * 30 + 20 * 30
    desk("done", out)
    assert area(desk) == 9 * 30 + 20 * 30 - 16 * 20
    assert load_shelf(desk.path).find("R2") is not None
    assert "was not taken off by hand but cut for plan" in desk.words("shelf", "return", "R1", code=2)
    assert "was not taken off since" in desk.words("shelf", "return", "R2", code=2)
    assert "the log knows no piece labelled 'R99'" in desk.words("shelf", "return", "R99", code=2)


def test_a_part_that_is_taken_is_returned_in_part(desk: Desk) -> None:
    desk("shelf", "add", "moss", "20", "30", "--quantity", "3")
    desk("shelf", "correct", "R1", "--note", "by the door")
    desk("shelf", "take", "R1", "--count", "2")
    assert "R1: 3 of moss" in desk("shelf", "return", "R1")
    before = load_shelf(desk.path).pieces
    assert [(one.quantity, one.notes) for one in before] == [(3, "by the door")]
    desk("shelf", "take", "R1")
    desk("shelf", "return", "R1")
    assert load_shelf(desk.path).pieces == before
    desk("shelf", "take", "R1", "--count", "1")
    desk("shelf", "correct", "R1", "--width", "19")
    # 1 of 20 x 30 would come back as one of 19 x 30.
    assert "what is left of R1 was corrected since" in desk.words("shelf", "return", "R1", code=2)
    assert area(desk) == 2 * 19 * 30


def test_a_plan_printed_again_is_not_booked_twice(desk: Desk) -> None:
    wall = job(desk.folder / "a", "Fern,16,20,11,14,moss,\nReed,12,16,8,11,moss,\nOak,9,12,,,moss,\n", offers=OFFERS)
    first = planned(desk, wall, "first")
    again = planned(desk, wall, "again", "--paper", "a4", "--seed", "7")
    desk("done", first)
    before = desk.path.read_bytes()
    refused = "is booked already, through another plan" if _differs(first, again) else ""
    said = desk.words("done", again, code=2 if refused else 0)
    assert refused or said.startswith("This is booked already")
    assert desk.path.read_bytes() == before
    # The whole wall is cut again, on purpose.
    pieces, held = len(load_shelf(desk.path).pieces), area(desk)
    desk("done", first, "--again")
    assert len(load_shelf(desk.path).pieces) == 2 * pieces
    assert area(desk) == 2 * held
    assert desk("done", first).startswith("This is booked already")
    desk("done", first, "--undo")
    assert desk.path.read_bytes() == before


def _differs(one: str, other: str) -> bool:
    return told(one)["sheets"] != told(other)["sheets"]


def test_another_plan_of_the_same_wall_is_asked_about(desk: Desk) -> None:
    pieces = "Fern,16,20,11,14,moss,\nReed,12,16,8,11,moss,\n"
    wall = job(desk.folder / "a", pieces, offers=OFFERS)
    first, second = planned(desk, wall, "first"), planned(desk, wall, "second", "--no-fallout")
    (Path(wall) / "offers.csv").write_text(OFFERS.replace("32,40", "40,60"))
    third = planned(desk, wall, "third")
    desk("done", first, "--mat", "M1")
    before = desk.path.read_bytes()
    said = desk.words("done", third, code=2)
    assert "the mat M1 of Fern is booked already, through another plan of the same pieces (2026-03-31)." in said
    assert "say so with --again" in said
    assert desk.path.read_bytes() == before
    assert sources(second) == ["bought"]
    # What is not booked yet may be cut by whichever plan.
    desk("done", first, "--mat", "M2")
    assert "M1 of Fern and 1 more are booked already" in desk.words("done", third, code=2)
    held = area(desk)
    desk("done", third, "--again")
    assert area(desk) > held


LEFT = r"S1 offcut 1, plan [0-9a-f]{6}"


def two_spoiled(desk: Desk) -> str:
    """Cut two blanks of 12 x 16 from a sheet of 12 x 48, which leaves one such piece, `LEFT`."""
    wall = job(desk.folder / "wall", "Fern,12,16,,,moss,\nReed,12,16,,,moss,\n", offers=NARROW)
    out = planned(desk, wall, "out")
    desk("done", out)
    (piece,) = load_shelf(desk.path).pieces
    assert (re.fullmatch(LEFT, piece.label) is not None, piece.area // INCH**2) == (True, 12 * 16)
    return out


def from_left(folder: Path) -> bool:
    """Whether a plan cuts one piece, the leftover of the first plan."""
    (source,) = sources(str(folder))
    return re.fullmatch(LEFT, source) is not None


def spoiled(desk: Desk, out: str, mat: str, to: str) -> str:
    return desk.words("done", out, "--spoiled", mat, "--seconds", "1", "--out", str(desk.folder / to))


def test_one_leftover_is_promised_to_one_spoiled_mat(desk: Desk) -> None:
    out = two_spoiled(desk)
    before = desk.path.read_bytes()
    said = spoiled(desk, out, "M1", "a")
    assert "Buy nothing" in said
    assert re.search(rf"Reserved for it until it is booked or dropped: {LEFT}\.$", said)
    listed = desk.words("shelf")
    assert re.search(rf"{LEFT} is reserved by wall, plan [0-9a-f]{{6}}\.", listed)
    said = spoiled(desk, out, "M2", "b")
    assert "Buy 1 sheet at Quay shop: $9.00" in said
    assert "Reserved" not in said
    assert (from_left(desk.folder / "a"), sources(str(desk.folder / "b"))) == (True, ["bought"])
    # Either may be booked first: 16 of 48 come back from the new sheet as two pieces or one.
    desk("done", str(desk.folder / "b"))
    assert area(desk) == 12 * 16 + 12 * 32
    desk("done", str(desk.folder / "a"))
    assert area(desk) == 12 * 32
    assert "reserved" not in desk("shelf")
    for plan, left in (("a", 12 * 48), ("b", 12 * 16)):
        desk("done", str(desk.folder / plan), "--undo")
        assert area(desk) == left
    for mat in ("second", "first"):
        assert desk("done", out, "--undo").startswith("Undone: done of"), mat
    assert desk.path.read_bytes() == before


@pytest.mark.parametrize("order", ["ab", "ba"])
def test_two_spoiled_mats_are_undone_in_either_order(order: str, desk: Desk) -> None:
    walls = {}
    desk("shelf", "add", "moss", "12", "16")
    for name in "ab":
        wall = job(desk.folder / name, f"Fern {name},12,16,,,moss,\n", offers=NARROW.replace("48", "18"))
        walls[name] = str(desk.folder / f"out {name}")
        desk("plan", wall, "--seconds", "1", "--out", walls[name])
        desk("done", walls[name])
    before = area(desk)
    for name in "ab":
        spoiled(desk, walls[name], "M1", f"again {name}")
        desk("done", str(desk.folder / f"again {name}"))
    assert area(desk) == before - 12 * 16
    said = [sources(str(desk.folder / f"again {name}")) for name in "ab"]
    assert said == [["R1"], ["bought"]]
    # What mends a plan is undone before the plan: it is named where it is not.
    assert "its spoiled mats were cut again and that is booked" in desk.words("done", walls["a"], "--undo", code=2)
    left = {"a": 12 * 16, "b": 0}
    for name in order:
        held = area(desk)
        desk("done", str(desk.folder / f"again {name}"), "--undo")
        assert area(desk) == held + left[name]
    for name in order:
        desk("done", walls[name], "--undo")
        assert area(desk) == before
    assert load_shelf(desk.path).find("R1") is not None
    assert "reserved" not in desk("shelf")


CROWD = """
import sys
from cli.main import run
sys.exit(run(["done", sys.argv[1], "--spoiled", sys.argv[2], "--seconds", "1", "--out", sys.argv[3]]))
"""


def test_of_two_programs_at_once_one_gets_the_leftover(desk: Desk) -> None:
    out = two_spoiled(desk)
    crowd = [
        subprocess.Popen(
            [sys.executable, "-c", CROWD, out, mat, str(desk.folder / mat)],
            env=os.environ | {"PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        for mat in ("M1", "M2")
    ]
    for one in crowd:
        _, said = one.communicate()
        assert one.returncode == 0, said
    assert sorted(from_left(desk.folder / mat) for mat in ("M1", "M2")) == [False, True]
    kept = history_of(desk.path).reservations(load_shelf(desk.path).change)
    assert sorted(len(one.takes) for one in kept) == [0, 1]
    # Each mat is undone by itself, and what is kept for the other one stays.
    for left in (1, 0):
        desk("done", out, "--undo")
        assert len(history_of(desk.path).reservations(load_shelf(desk.path).change)) == left
    assert area(desk) == 12 * 16


def test_what_must_be_cut_again_is_told_while_another_program_changes_the_shelf(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = two_spoiled(desk)
    desk("done", out, "--spoiled", "M1")
    real, before = store.read_history, []

    def read_history(folder: Path) -> History:
        told = real(folder)
        if not before:
            before.append(told)
            desk("shelf", "add", "moss", "5", "6")  # just after the log was read
        return told

    monkeypatch.setattr(store, "read_history", read_history)
    read = read_plan_file(Path(out))
    spoiled = Spoiled(read, cast("Any", None), ("M1",), cast("Any", None), desk.path)
    assert [placed.mat.id for placed in to_cut_again(spoiled)] == ["M1"]
    assert load_shelf(desk.path).change not in before[0].changes


def test_what_is_taken_to_the_bench_is_reserved_until_it_is_booked_or_dropped(desk: Desk) -> None:
    desk("shelf", "add", "moss", "20", "30")
    first_wall = job(desk.folder / "a", "Fern,16,20,,,moss,\n", offers=OFFERS)
    second_wall = job(desk.folder / "b", "Reed,12,16,,,moss,\n", offers=OFFERS)
    first, old = planned(desk, first_wall, "first"), planned(desk, second_wall, "old")
    before = desk.path.read_bytes()
    assert desk("shelf", "reserve", first) == "Reserved until it is booked or dropped: R1.\n"
    assert desk("shelf", "reserve", first).startswith("There is nothing to reserve")
    said = desk.words("shelf", "take", "R1")
    assert re.search(r"It was reserved by a, plan [0-9a-f]{6}: windowfall shelf return R1 puts it back\.", said)
    desk("shelf", "undo")
    second = planned(desk, second_wall, "second")
    assert sources(second) == ["bought"]
    assert "nothing to reserve" in desk("shelf", "reserve", second)
    for command in (("done", old), ("shelf", "reserve", old)):
        said = desk.words(*command, code=2)
        assert re.search(r"S1 is cut from R1, which is reserved by a, plan [0-9a-f]{6}\. Book that plan or", said)
        assert "--reserved-too takes it all the same" in said
    third = planned(desk, second_wall, "third", "--reserved-too")
    assert sources(third) == ["R1"]
    short = re.search(r"plan ([0-9a-f]{6})\.", desk.words("shelf"))[1]
    assert "nothing is reserved for that plan; reserved are" in desk.words("shelf", "drop", "ffffff", code=2)
    assert desk("shelf", "drop", short) == "Nothing is reserved for it any longer.\n"
    assert "nothing is reserved for that plan; nothing is" in desk.words("shelf", "drop", first, code=2)
    desk("shelf", "undo")
    assert "reserved" in desk("shelf")
    desk("shelf", "undo")
    assert desk.path.read_bytes() == before
    desk("shelf", "reserve", first)
    desk("done", third, "--reserved-too")
    assert "S1 is cut from R1, which was cut for another plan" in desk.words("done", first, code=2)


def test_a_plan_that_is_cut_in_part_keeps_what_the_rest_takes(desk: Desk) -> None:
    desk("shelf", "add", "moss", "12", "16")
    desk("shelf", "add", "moss", "12", "16")
    wall = job(desk.folder / "a", "Fern,12,16,,,moss,\nReed,12,16,,,moss,\n", offers=OFFERS)
    out = planned(desk, wall, "out")
    other = job(desk.folder / "b", "Oak,12,16,,,moss,\n", offers=OFFERS)
    desk("done", out, "--sheet", "S1")
    assert sources(planned(desk, other, "second")) == ["bought"]
    desk("done", out)
    assert "reserved" not in desk("shelf")
    assert load_shelf(desk.path).pieces == ()


def test_a_limited_offer_serves_a_wall_once_however_often_a_mat_is_spoiled(desk: Desk) -> None:
    offers = (
        "shop,board,sheet width,sheet height,price,discount,at most\n"
        "Quay shop,moss,12,16,8.00,,\nQuay shop,moss,12,16,8.00,50,1\n"
    )
    out = str(desk.folder / "out")
    desk("plan", job(desk.folder / "a", "Fern,12,16,,,moss,\n", offers=offers), "--seconds", "1", "--out", out)
    assert told(out)["purchase"]["total"] == "4.00"
    for number in range(3):
        spoiled(desk, out, "M1", f"again {number}")
        out = str(desk.folder / f"again {number}")
        assert told(out)["purchase"]["total"] == "8.00"


def test_a_limited_offer_that_one_spoiled_mat_takes_is_gone_for_the_next(desk: Desk) -> None:
    offers = (
        "shop,board,sheet width,sheet height,price,discount,at most\n"
        "Quay shop,moss,12,16,8.00,,\nQuay shop,moss,12,16,8.00,50,3\n"
    )
    wall = job(desk.folder / "a", "Fern,12,16,,,moss,\nReed,12,16,,,moss,\n", offers=offers)
    out = planned(desk, wall, "out")
    # 3 at half price: two for the wall, one for the first mat spoiled; the next pays in full.
    for mat, sum_, to in (("M1", "4.00", "a1"), ("M2", "8.00", "a2")):
        spoiled(desk, out, mat, to)
        assert told(str(desk.folder / to))["purchase"]["total"] == sum_
    # The first of them is not cut after all: what it would have bought can be bought.
    desk("shelf", "drop", str(desk.folder / "a1"), code=0)
    spoiled(desk, out, "M2", "a3")
    assert told(str(desk.folder / "a3"))["purchase"]["total"] == "4.00"


@pytest.mark.parametrize("lowered", [True, False])
def test_the_jobs_own_piece_serves_a_wall_once_whether_or_not_it_is_lowered(lowered: bool, desk: Desk) -> None:
    def table(count: int) -> str:
        return f"label,board,width,height,quantity\nlid,moss,12,16,{count}\n"

    wall = job(desk.folder / "a", "Fern,12,16,,,moss,\n", offers=NARROW, shelf=table(2))
    out = str(desk.folder / "out")
    desk("plan", wall, "--seconds", "1", "--out", out)
    assert sources(out) == ["lid"]
    # Two lids: the wall takes one, the mat spoiled first the other, the next buys.
    for left, source, to in ((1, "lid", "again"), (0, "bought", "and again")):
        if lowered:
            (Path(wall) / "shelf.csv").write_text(table(left) if left else "label,board,width,height,quantity\n")
        spoiled(desk, out, "M1", to)
        out = str(desk.folder / to)
        assert sources(out) == [source]


def test_planning_the_same_spoiled_mat_again_frees_what_the_plan_before_took(desk: Desk) -> None:
    out = two_spoiled(desk)
    spoiled(desk, out, "M1", "a")
    spoiled(desk, out, "M1", "a")
    assert from_left(desk.folder / "a")
    assert desk("shelf").count("is reserved by") == 1
    assert "Nothing is reserved: --out DIR" in desk.words("done", out, "--spoiled", "M1", "--seconds", "1")


def test_a_plan_that_cannot_be_written_keeps_nothing(desk: Desk) -> None:
    out = two_spoiled(desk)
    (desk.folder / "a" / "plan.pdf").mkdir(parents=True)
    desk.capsys.readouterr()
    assert run(["done", out, "--spoiled", "M1", "--seconds", "1", "--out", str(desk.folder / "a")]) == 2
    desk.capsys.readouterr()
    assert "reserved" not in desk("shelf")

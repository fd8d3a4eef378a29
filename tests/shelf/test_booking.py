"""A plan that was cut, booked: what comes off, what goes on, in parts, again, and with a mat spoiled.

The plan made by hand: S1 is bought, with M1, M2, M3 and M6; S2 is the shelf piece "box lid", with M5; S3 is the fallout
of M3, with M4. Of the offcuts two are scrap; the fallouts of M1 and M2 are left.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from nesting.geometry import Size
from nesting.job import ShelfKind
from nesting.plan_file import PlanFile, Spare, read_plan_file
from nesting.shelf.booking import SPARE, Booking, Cut, again, book
from nesting.shelf.held import Move, Shelf, ShelfChangeError
from nesting.shelf.history import Change, History
from tests.handmade import plan, size
from tests.shelf.shelves import DAY, held, shelf, write_plan

LID = held("box lid", "grey card", size("17", "7"))
S1 = [("S1 offcut 1", size("9 3/4", "14")), ("S1 offcut 4", size("11 3/4", "22 7/8"))]
S2 = [("S2 offcut 1", size("7", "12"))]
S3 = [("S3 offcut 1", size("11 3/4", "7")), ("S3 offcut 2", size("16 3/4", "5 3/4"))]
FALLOUTS = [("M1 fallout", size("6 3/4", "9 3/4")), ("M2 fallout", size("6 3/4", "9 3/4"))]


@pytest.fixture
def read(tmp_path: Path) -> PlanFile:
    return replace(read_plan_file(write_plan(plan(), tmp_path)), in_file=frozenset({"box lid"}))


def log(read: PlanFile, *units: str) -> tuple[Shelf, History]:
    """Return a shelf with one change behind it, which booked these parts of a plan."""
    change = Change(1, 0, "", "done", None, "", (), read.identity, units)
    return shelf(LID, change=1), History({1: change})


def placed(booking: Booking) -> list[tuple[str, Size]]:
    return [(name, piece.size) for name, piece in booking.placed]


def test_a_whole_plan_is_booked_with_all_that_it_leaves(read: PlanFile) -> None:
    booking = book(read, Cut(), shelf(LID), History({}), DAY)
    assert placed(booking) == [*S1, *S2, *S3, *FALLOUTS]
    assert [piece.kind for _, piece in booking.placed] == [ShelfKind.OFFCUT] * 5 + [ShelfKind.FALLOUT] * 2
    assert [piece.label for piece in booking.shelf.pieces] == [f"R{number}" for number in range(1, 8)]
    assert [piece.board for piece in booking.shelf.pieces] == ["slate"] * 2 + ["grey card"] + ["slate"] * 4
    assert booking.shelf.pieces[1].origin == f"stairs: S1 offcut 4, plan {read.identity[:6]}"
    assert booking.moves[:2] == (
        Move(None, "slate", size("32", "40"), -1),
        Move("box lid", "grey card", size("17", "7"), -1),
    )
    assert set(booking.units) == {"S1", "S2", "S3", "M1", "M2", "M3", "M4", "M5", "M6"}
    assert booking.remarks == ()


def test_what_is_booked_is_not_booked_again(read: PlanFile) -> None:
    first = book(read, Cut(), shelf(LID), History({}), DAY)
    there, history = log(read, *first.units)
    again = book(read, Cut(), there, history, DAY)
    assert (again.shelf, again.moves, again.units) == (there, (), ())


def test_parts_bring_what_must_have_been_cut_before_them(read: PlanFile) -> None:
    for cut, units, left in (
        (Cut(sheets=("S2",)), {"S2", "M5"}, S2),
        (Cut(mats=("M1",)), {"S1", "M1"}, [*S1, FALLOUTS[0]]),
        (Cut(mats=("M4",)), {"S1", "M3", "S3", "M4"}, [*S1, *S3]),
        (Cut(sheets=("S3",)), {"S1", "M3", "S3", "M4"}, [*S1, *S3]),
        (Cut(sheets=("S1",)), {"S1", "M1", "M2", "M3", "M6"}, [*S1, *FALLOUTS]),
    ):
        booking = book(read, cut, shelf(LID), History({}), DAY)
        assert set(booking.units) == units
        assert placed(booking) == left


def test_parts_add_up_to_the_whole(read: PlanFile) -> None:
    there, history = log(read, "S1", "M1")
    rest = book(read, Cut(), there, history, DAY)
    assert placed(rest) == [*S2, *S3, FALLOUTS[1]]
    assert [move.label for move in rest.moves if move.count < 0] == ["box lid"]


def test_spare_sheets_go_on_once_the_whole_plan_is_booked(read: PlanFile) -> None:
    spare = replace(read, spares=(Spare(1, "slate", size("32", "40"), 3),))
    booking = book(spare, Cut(), shelf(LID), History({}), DAY)
    assert SPARE in booking.units
    assert booking.placed[-1][0] == "uncut slate of offer 1"
    last = booking.shelf.pieces[-1]
    assert (last.quantity, last.kind, last.size) == (3, ShelfKind.SHEET, size("32", "40"))
    assert SPARE not in book(spare, Cut(sheets=("S1", "S2", "S3")), shelf(LID), History({}), DAY).units


def test_pieces_of_the_jobs_own_table_are_left_to_the_user(read: PlanFile) -> None:
    booking = book(replace(read, in_file=frozenset()), Cut(), shelf(LID), History({}), DAY)
    assert booking.remarks == ("'box lid' (S2) is in the job's own shelf table: cross it out there.",)
    assert LID in booking.shelf.pieces


def test_a_shelf_that_was_changed_by_hand_meanwhile_is_followed(read: PlanFile) -> None:
    gone = book(read, Cut(), shelf(), History({}), DAY)
    assert gone.remarks == ("box lid (S2) was off the shelf already.",)
    other = book(read, Cut(), shelf(replace(LID, size=Size(3, 5), quantity=2)), History({}), DAY)
    assert other.remarks == ("box lid (S2) has another size on the shelf than in the plan; it is taken off.",)
    assert other.shelf.pieces[0] == replace(LID, size=Size(3, 5), used=DAY)


def test_what_the_plan_has_not_is_told(read: PlanFile) -> None:
    with pytest.raises(ShelfChangeError, match="the plan has no sheet S9: it has S1 to S3"):
        book(read, Cut(sheets=("S9",)), shelf(LID), History({}), DAY)
    with pytest.raises(ShelfChangeError, match="the plan has no mat M9: it has M1 to M6"):
        book(read, Cut(spoiled=("M9",)), shelf(LID), History({}), DAY)


def test_nothing_is_booked_while_the_log_is_not_whole(read: PlanFile) -> None:
    with pytest.raises(ShelfChangeError, match="part of its log is missing"):
        book(read, Cut(), shelf(LID, change=4), History({}), DAY)


def test_a_spoiled_mat_leaves_its_strips_and_its_fallouts(read: PlanFile) -> None:
    # M3: 24 x 20 with borders 3 1/2, 3 1/2, 3, 4; the bevel takes 1/8 of each, and less than 4 x 5 is scrap.
    narrow = replace(read, keep_at_least=size("3", "5"))
    booking = book(narrow, Cut(spoiled=("M3",)), shelf(LID), History({}), DAY)
    assert placed(booking) == [
        *S1,
        ("M3 fallout, for S3", size("16 3/4", "12 3/4")),
        ("M3 left border", size("3 3/8", "20")),
        ("M3 right border", size("3 3/8", "20")),
        ("M3 bottom border", size("17 1/4", "3 7/8")),
    ]
    whole = sum(piece.area for name, piece in booking.placed if name.startswith("M3"))
    assert whole < size("24", "20").area
    told = book(read, Cut(spoiled=("M1",)), shelf(LID), History({}), DAY)
    assert told.remarks == ("No strip of M1 is large enough to keep; if one is, put it on with shelf add.",)


def test_what_was_to_come_out_of_a_spoiled_mat_is_cut_again_too(read: PlanFile) -> None:
    booking = book(read, Cut(spoiled=("M3",)), shelf(LID), History({}), DAY)
    there, history = log(read, *booking.units)
    booked = history.booked(1, read.identity)
    assert [one.mat.id for one in again(read, ("M3",), booked)] == ["M3", "M4"]
    assert [one.mat.id for one in again(read, ("M1",), booked)] == []
    rest = book(read, Cut(), there, history, DAY)
    assert placed(rest) == [*S2, *FALLOUTS]
    repeated = book(read, Cut(spoiled=("M3",)), there, history, DAY)
    assert (repeated.units, repeated.shelf) == ((), there)


def test_a_mat_spoiled_after_its_window_was_booked_loses_only_itself(read: PlanFile) -> None:
    there, history = log(read, "S1", "M1", "M2", "M3", "M6")
    booking = book(replace(read, keep_at_least=size("3", "5")), Cut(spoiled=("M3",)), there, history, DAY)
    assert [name for name, _ in booking.placed] == ["M3 left border", "M3 right border", "M3 bottom border"]
    assert [one.mat.id for one in again(read, ("M3",), frozenset(booking.units))] == ["M3"]


def test_a_mat_spoiled_after_its_fallout_was_cut_keeps_what_came_out_of_it(read: PlanFile) -> None:
    booking = book(read, Cut(sheets=("S3",), spoiled=("M3",)), shelf(LID), History({}), DAY)
    assert placed(booking) == [*S1, *S3]
    assert [one.mat.id for one in again(read, ("M3",), frozenset(booking.units))] == ["M3"]


def test_what_another_plan_will_leave_must_be_there_first(read: PlanFile) -> None:
    label = f"S1 offcut 4, plan {read.identity[:6]}"
    sheets = tuple(
        replace(sheet, source=replace(sheet.source, label=label), board="slate") if sheet.id == "S2" else sheet
        for sheet in read.sheets
    )
    other = replace(read, identity="0" * 16, sheets=sheets, in_file=frozenset({label}))
    with pytest.raises(ShelfChangeError, match=f"S2 is cut from {label}, which is not on the shelf yet"):
        book(other, Cut(sheets=("S2",)), shelf(LID), History({}), DAY)
    first = book(read, Cut(sheets=("S1",)), shelf(LID), History({}), DAY)
    _, history = log(read, *first.units)
    there = replace(first.shelf, change=1)
    assert book(other, Cut(sheets=("S2",)), there, history, DAY).moves[0].label == "R2"
    gone = replace(there, pieces=())
    assert book(other, Cut(sheets=("S2",)), gone, history, DAY).remarks == (f"{label} (S2) was off the shelf already.",)

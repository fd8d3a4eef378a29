"""A plan that was cut, booked: what comes off, what goes on, in parts, again, and with a mat spoiled.

The plan made by hand: S1 is bought, with M1, M2, M3 and M6; S2 is the shelf piece "box lid", with M5; S3 is the fallout
of M3, with M4. Of the offcuts two are scrap; the fallouts of M1 and M2 are left.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from nesting.geometry import Size
from nesting.model.job import ShelfKind
from nesting.plan_file.read import PlanFile, Spare, read_plan_file
from nesting.shelf.booking import SPARE, Booking, Cut, again, book, booked_of
from nesting.shelf.held import Move, Shelf, ShelfChangeError
from nesting.shelf.history import Change, History
from nesting.shelf.text import read_shelf, shelf_text
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
    keys = tuple(" again for ".join(read.keys.get(part, part) for part in unit.split(" again for ")) for unit in units)
    change = Change(1, 0, "", "done", None, "", (), read.identity, keys)
    return shelf(LID, change=1), History({1: change})


def booked(read: PlanFile, booking: Booking, number: int = 1, *before: Change) -> tuple[Shelf, History]:
    """Return the shelf and its log once a booking is made."""
    change = Change(
        number=number,
        parent=number - 1,
        at="2026-03-31T17:43:00+00:00",
        command="done",
        before=None,
        after="",
        moves=booking.moves,
        plan=read.identity,
        booked=booking.keys,
        time=booking.time,
        reserved=booking.reserved,
    )
    return replace(booking.shelf, change=number), History({one.number: one for one in (*before, change)})


def placed(booking: Booking) -> list[tuple[str, Size]]:
    return [(name, piece.size) for name, piece in booking.placed]


def test_a_whole_plan_is_booked_with_all_that_it_leaves(read: PlanFile) -> None:
    booking = book(read, Cut(), shelf(LID), History({}), DAY)
    assert placed(booking) == [*S1, *S2, *S3, *FALLOUTS]
    assert [piece.kind for _, piece in booking.placed] == [ShelfKind.OFFCUT] * 5 + [ShelfKind.FALLOUT] * 2
    assert [piece.label for piece in booking.shelf.pieces] == [
        f"{name}, plan {read.identity[:6]}" for name, _ in (*S1, *S2, *S3, *FALLOUTS)
    ]
    assert [piece.board for piece in booking.shelf.pieces] == ["slate"] * 2 + ["grey card"] + ["slate"] * 4
    assert booking.shelf.pieces[1].origin == f"stairs: S1 offcut 4, plan {read.identity[:6]}"
    assert booking.moves[:2] == (
        Move(None, "slate", size("32", "40"), -1),
        Move("box lid", "grey card", size("17", "7"), -1),
    )
    assert set(booking.units) == {"S1", "S2", "S3", "M1", "M2", "M3", "M4", "M5", "M6"}
    assert booking.remarks == ()


def test_a_booking_that_was_undone_gives_the_same_labels_again(read: PlanFile) -> None:
    first = book(read, Cut(), shelf(LID), History({}), DAY)
    undone = History({1: Change(1, 0, "", "done", None, "", first.moves, read.identity, first.units)})
    second = book(read, Cut(), shelf(LID), undone, DAY)
    assert [piece.label for _, piece in second.placed] == [piece.label for _, piece in first.placed]


def test_where_a_plan_cut_alike_has_the_label_already_the_next_free_one_is_given(read: PlanFile) -> None:
    first = book(read, Cut(sheets=("S2",)), shelf(LID), History({}), DAY)
    there = replace(first.shelf, pieces=(*first.shelf.pieces, LID))
    later = replace(read, identity=f"{read.mark}{'0' * 10}")
    assert [piece.label for _, piece in book(later, Cut(sheets=("S2",)), there, History({}), DAY).placed] == ["R1"]


def test_where_a_leftover_comes_from_fits_into_a_cell_however_long_the_path_of_the_job_is(read: PlanFile) -> None:
    booking = book(replace(read, job="=" * 300), Cut(sheets=("S2",)), shelf(LID), History({}), DAY)
    # A cell may have 200 characters, and one that begins like a formula gets an apostrophe before it, so 199 are free.
    # ": S2 offcut 1, plan " and six signs are 26 of them; 173 are left for the job.
    assert booking.shelf.pieces[0].origin == f"{'=' * 173}: S2 offcut 1, plan {read.identity[:6]}"
    assert read_shelf(shelf_text(booking.shelf), "shelf.csv").pieces == booking.shelf.pieces


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
        (Cut(divided=("S1",)), {"S1"}, S1),
        (Cut(divided=("S3",)), {"S1", "M3", "S3"}, [*S1, *S3]),
        (Cut(mats=("M1",), divided=("S1", "S2")), {"S1", "M1", "S2"}, [*S1, *S2, FALLOUTS[0]]),
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


def test_a_booking_whose_source_is_gone_or_another_piece_books_nothing(read: PlanFile) -> None:
    gone = "S2 is cut from box lid, which is not on the shelf. If its row was deleted by hand, write it in again; if it"
    with pytest.raises(ShelfChangeError, match=gone):
        book(read, Cut(), shelf(), History({}), DAY)
    for other, said in (
        (replace(LID, size=Size(3, 5)), "planned as grey card, 7 × 17 in; the shelf has it as grey card, "),
        (replace(LID, board="slate"), "the shelf has it as slate, 17 × 7 in. If it is the same piece, write it as"),
    ):
        with pytest.raises(ShelfChangeError, match=said):
            book(read, Cut(), shelf(other), History({}), DAY)
    turned = shelf(replace(LID, size=size("7", "17"), board="Grey  Card"))
    assert book(read, Cut(), turned, History({}), DAY).moves[1].label == "box lid"


def test_no_piece_is_taken_because_its_origin_ends_with_the_label(read: PlanFile) -> None:
    half = held("R2", "grey card", size("17", "7"), origin="half of box lid")
    with pytest.raises(ShelfChangeError, match="S2 is cut from box lid, which is not on the shelf"):
        book(read, Cut(), shelf(half), History({}), DAY)


def test_a_piece_taken_by_hand_or_cut_for_another_plan_is_told_apart(read: PlanFile) -> None:
    took = Move("box lid", "grey card", size("17", "7"), -1)
    hand = Change(1, 0, "2026-03-30T09:00:00+00:00", "take", None, "", (took,))
    with pytest.raises(ShelfChangeError, match=r'by hand \(2026-03-30\).*windowfall shelf return "box lid" puts it'):
        book(read, Cut(), shelf(change=1), History({1: hand}), DAY)
    other = replace(hand, command="done", plan="abcdef0123456789", booked=("k",))
    with pytest.raises(ShelfChangeError, match="was cut for another plan, abcdef, booked on 2026-03-30"):
        book(read, Cut(), shelf(change=1), History({1: other}), DAY)


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


def test_of_a_mat_that_was_spoiled_before_its_window_was_cut_nothing_goes_on(read: PlanFile) -> None:
    narrow = replace(read, keep_at_least=size("3", "5"))
    kept, bare = (
        book(narrow, Cut(spoiled=("M3",), scrap=scrap), shelf(LID), History({}), DAY) for scrap in (False, True)
    )
    assert placed(bare) == S1
    assert bare.units == kept.units  # it is cut again all the same, and what was to come out of it


def test_what_was_to_come_out_of_a_spoiled_mat_is_cut_again_too(read: PlanFile) -> None:
    booking = book(read, Cut(spoiled=("M3",)), shelf(LID), History({}), DAY)
    there, history = log(read, *booking.units)
    done = booked_of(read, history, 1)
    assert [one.mat.id for one in again(read, ("M3",), done)] == ["M3", "M4"]
    assert [one.mat.id for one in again(read, ("M1",), done)] == []
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
        replace(sheet, source=replace(sheet.source, label=label), board="slate", size=S1[1][1])
        if sheet.id == "S2"
        else sheet
        for sheet in read.sheets
    )
    other = replace(read, identity="0" * 16, sheets=sheets, in_file=frozenset({label}))
    with pytest.raises(ShelfChangeError, match=f"S2 is cut from {label}, which is not on the shelf yet"):
        book(other, Cut(sheets=("S2",)), shelf(LID), History({}), DAY)
    there, history = booked(read, book(read, Cut(sheets=("S1",)), shelf(LID), History({}), DAY))
    assert book(other, Cut(sheets=("S2",)), there, history, DAY).moves[0].label == label
    # A log written before leftovers were named in it: where the piece came from says which it is.
    older = replace(history.changes[1], moves=tuple(replace(move, left=None) for move in history.changes[1].moves))
    assert book(other, Cut(sheets=("S2",)), there, History({1: older}), DAY).moves[0].label == label
    with pytest.raises(ShelfChangeError, match=f"S2 is cut from {label}, which is not on the shelf. If its row"):
        book(other, Cut(sheets=("S2",)), replace(there, pieces=()), history, DAY)


def test_the_same_mats_are_booked_through_one_plan_unless_they_were_cut_twice(read: PlanFile) -> None:
    # Another plan of the wall: all is asked alike, but M2 lies turned.
    other = replace(read, identity="0" * 16, earlier="1" * 16, in_file=frozenset())
    there, history = booked(read, book(read, Cut(sheets=("S1",)), shelf(LID), History({}), DAY))
    with pytest.raises(ShelfChangeError, match=r"the mat M1 of .* and 3 more are booked already, through another plan"):
        book(other, Cut(), there, history, DAY)
    assert set(book(other, Cut(sheets=("S2",)), there, history, DAY).units) == {"S2", "M5"}
    second = book(other, Cut(), there, history, DAY, once_more=True)
    assert placed(second) == [*S1, *S2, *S3, *FALLOUTS]
    spoiled, log_of_it = booked(read, book(read, Cut(spoiled=("M3",)), shelf(LID), History({}), DAY))
    # M3 was spoiled, and M4 was to come out of it: both may be cut through another plan.
    assert {"M3", "M4"} <= set(book(other, Cut(mats=("M4",)), spoiled, log_of_it, DAY).units)


def test_a_plan_that_was_cut_twice_is_booked_twice(read: PlanFile) -> None:
    two = shelf(replace(LID, quantity=2))
    there, history = booked(read, book(read, Cut(), two, History({}), DAY))
    assert book(read, Cut(), there, history, DAY).units == ()
    second = book(read, Cut(sheets=("S2",)), there, history, DAY, once_more=True)
    assert (second.units, placed(second), second.time) == (("S2", "M5"), S2, 2)
    there, history = booked(read, second, 2, history.changes[1])
    # Of the second time, too, only what is said to be cut again is booked, and nothing is kept for the rest of it.
    assert second.reserved is None
    assert book(read, Cut(), there, history, DAY).units == ()
    rest = book(read, Cut(sheets=("S1", "S3")), there, history, DAY, once_more=True)
    assert (placed(rest), rest.time) == ([*S1, *S3, *FALLOUTS], 2)
    assert len(rest.shelf.pieces) == 14


def test_what_was_cut_once_is_booked_after_a_part_that_was_cut_twice(read: PlanFile) -> None:
    there, history = booked(read, book(read, Cut(sheets=("S1",)), shelf(LID), History({}), DAY))
    second = book(read, Cut(mats=("M1",)), there, history, DAY, once_more=True)
    assert (second.units, second.time) == (("S1", "M1"), 2)
    assert second.reserved is not None
    assert second.reserved.takes == ((read.keys["S2"], "box lid"),)
    there, history = booked(read, second, 2, history.changes[1])
    # S1 with M1, M2, M3 and M6 is booked, part of it twice; S2, S3 and their mats are not.
    rest = book(read, Cut(), there, history, DAY)
    assert rest.units == ("S2", "S3", "M4", "M5")
    assert placed(rest) == [*S2, *S3]


def test_a_mat_that_was_spoiled_and_cut_through_another_plan_is_not_booked_through_a_third(read: PlanFile) -> None:
    spoiled, history = booked(read, book(read, Cut(spoiled=("M1",)), shelf(LID), History({}), DAY))
    other = replace(read, identity="0" * 16, earlier="1" * 16)
    there, history = booked(other, book(other, Cut(mats=("M1",)), spoiled, history, DAY), 2, history.changes[1])
    third = replace(read, identity="2" * 16, earlier="3" * 16)
    # Of the two M1 that were cut one is good.
    with pytest.raises(ShelfChangeError, match=r"the mat M1 of .* is booked already, through another plan"):
        book(third, Cut(mats=("M1",)), there, history, DAY)


def test_what_an_older_program_booked_is_booked(read: PlanFile) -> None:
    change = Change(1, 0, "", "done", None, "", (), read.earlier, ("S1", "M1", "M2", "M3", "M6"))
    rest = book(read, Cut(), shelf(LID, change=1), History({1: change}), DAY)
    assert rest.units == ("S2", "S3", "M4", "M5")

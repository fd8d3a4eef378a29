"""An earlier booking taken back while what came after it stays, and what stands in its way."""

from dataclasses import replace

import pytest

from nesting.geometry import Size
from nesting.shelf.held import HeldPiece, Move, Shelf, ShelfChangeError
from nesting.shelf.history import Change, History, Reservation
from nesting.shelf.undoing import take_back
from tests.shelf.shelves import SIZE, held, shelf

HALF = Size(SIZE.w, SIZE.h // 2)
WAS = shelf(held("R1", quantity=2))
BOOKING = Change(
    number=1,
    parent=0,
    at="2026-03-31",
    command="done",
    before=None,
    after="",
    moves=(Move("R1", "slate", SIZE, -1), Move("R2", "slate", HALF, 1)),
    plan="abc",
    booked=("k", "k again for k"),
)
AFTER = (held("R1"), held("R2", size=HALF))


def later(number: int, *moves: Move, **changed: object) -> Change:
    return Change(number, number - 1, "2026-04-01", "take", None, "", moves, **changed)


def taken_back(*pieces: HeldPiece, changes: tuple[Change, ...] = ()) -> Shelf:
    log = History({one.number: one for one in (BOOKING, *changes)})
    return take_back(["abc"], shelf(*pieces, change=1 + len(changes)), log, lambda _: WAS).shelf


def test_what_it_put_there_goes_and_what_it_took_comes_back() -> None:
    other = held("R3")
    assert taken_back(*AFTER, other, changes=(later(2, Move("R3", "slate", SIZE, 1)),)).pieces == (
        replace(AFTER[0], quantity=2),
        other,
    )
    # The last of R1 was taken meanwhile: the one that comes back lies there alone.
    gone = later(2, Move("R1", "slate", SIZE, -1))
    assert taken_back(AFTER[1], changes=(gone,)).pieces == (replace(WAS.pieces[0], quantity=1),)


@pytest.mark.parametrize(
    ("pieces", "change", "said"),
    [
        (AFTER[:1], later(2, Move("R2", "slate", HALF, -1)), "R2, .* has been used since: take, 2026-04-01"),
        ((AFTER[0], replace(AFTER[1], size=SIZE)), later(2), "R2, .* was corrected since"),
        ((AFTER[0], replace(AFTER[1], board="oat")), later(2), "R2, .* was corrected since"),
        ((replace(AFTER[0], size=HALF), AFTER[1]), later(2), "what is left of R1 was corrected since"),
        (
            AFTER,
            later(2, reserved=Reservation("d" * 16, "hall", (("k", "R2"),))),
            "R2, .* reserved by hall, plan dddddd",
        ),
    ],
)
def test_what_was_used_corrected_or_reserved_since_stands_in_the_way(
    pieces: tuple[HeldPiece, ...], change: Change, said: str
) -> None:
    with pytest.raises(ShelfChangeError, match=said):
        taken_back(*pieces, changes=(change,))


def test_a_plan_that_mends_it_is_undone_first_or_freed_with_it() -> None:
    kept = Reservation("d" * 16, "hall", (("k", "R2"),), mends="abc", mats=("k",), first="abc")
    free = later(2, reserved=kept)
    assert taken_back(*AFTER, changes=(free,)).pieces == (replace(AFTER[0], quantity=2),)
    cut = later(3, Move("R1", "slate", SIZE, -1), plan="d" * 16, booked=("k",))
    with pytest.raises(ShelfChangeError, match="its spoiled mats were cut again and that is booked, plan dddddd"):
        taken_back(*AFTER, changes=(free, cut))


def test_what_is_kept_for_a_mat_that_stays_spoiled_is_kept() -> None:
    first = Reservation("d" * 16, "hall", (("s", "R1"),), mends="abc", mats=("j",), first="abc")
    second = Reservation("e" * 16, "hall", (("s", "R3"),), mends="abc", mats=("k",), first="abc")
    log = History({1: BOOKING, 2: later(2, reserved=first), 3: later(3, reserved=second)})
    undone = take_back(["abc"], shelf(*AFTER, change=3), log, lambda _: WAS)
    assert undone.dropped == (second.plan,)


def test_a_booking_is_taken_back_once() -> None:
    log = History({1: BOOKING, 2: Change(2, 1, "", "undo", None, "", (), undoes=1)})
    with pytest.raises(ShelfChangeError, match="this plan is not booked"):
        take_back(["abc"], shelf(held("R1", quantity=2), change=2), log, lambda _: WAS)
    assert log.booked(2, "abc") == frozenset()
    assert log.booked(1, "abc") == {"k", "k again for k"}

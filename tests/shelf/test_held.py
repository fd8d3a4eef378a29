"""What the shelf holds, and every way in which it can change."""

from datetime import date

import pytest

from nesting.geometry import Size
from nesting.shelf.held import Move, ShelfChangeError, label_number, put_on, take_off
from tests.shelf.shelves import DAY, draft, held, shelf

LATER = date(2026, 5, 2)


def test_labels_are_given_out_in_turn_and_never_again() -> None:
    before = shelf(held("R2"), held("behind the press"), next_number=3)
    after, new = put_on(before, [draft(), draft(label="R9"), draft()], LATER, frozenset({"r5"}))
    assert [piece.label for piece in new] == ["R6", "R9", "R10"]
    assert after.next_number == 11
    gone, _ = take_off(after, "R10", None, LATER)
    assert put_on(gone, [draft()], LATER)[1][0].label == "R11"


def test_a_label_that_is_or_was_on_a_piece_is_refused() -> None:
    for known, label in ((frozenset(), "BEHIND  the Press"), (frozenset({"box lid"}), "Box lid")):
        with pytest.raises(ShelfChangeError, match="is or was on another piece: choose one that was never used"):
            put_on(shelf(held("behind the press")), [draft(label=label)], DAY, known)


def test_a_board_keeps_the_spelling_that_it_has_on_the_shelf() -> None:
    assert put_on(shelf(held("R1", "Deep Slate")), [draft("deep  slate")], DAY)[1][0].board == "Deep Slate"


def test_taking_some_leaves_the_others_and_says_when() -> None:
    before = shelf(held("R1", quantity=3), held("R2"))
    after, move = take_off(before, "r1", 2, LATER)
    assert after.pieces == (held("R1", quantity=1, used=LATER), held("R2"))
    assert move == Move("R1", "slate", Size(7 * 16256, 17 * 16256), -2)
    assert take_off(after, "R1", None, LATER)[0].pieces == (held("R2"),)


def test_what_is_not_there_cannot_be_taken() -> None:
    with pytest.raises(ShelfChangeError, match="nothing on the shelf is labelled 'R9'"):
        take_off(shelf(held("R1")), "R9", None, DAY)
    with pytest.raises(ShelfChangeError, match="4 of R1 cannot be taken: there are 3 on the shelf"):
        take_off(shelf(held("R1", quantity=3)), "R1", 4, DAY)
    with pytest.raises(ShelfChangeError, match="2 of R1 cannot be taken: there is 1 on the shelf"):
        take_off(shelf(held("R1")), "R1", 2, DAY)


def test_only_labels_of_the_shelf_have_numbers() -> None:
    assert [label_number(label) for label in ("R7", " r70 ", "R07", "R", "R7a", "7")] == [7, 70, 0, 0, 0, 0]


def test_idle_days_count_from_the_last_that_was_put_or_taken() -> None:
    assert held("R1").idle_days(LATER) == 32
    assert held("R1", used=date(2026, 4, 30)).idle_days(LATER) == 2
    assert held("R1", put=None).idle_days(LATER) is None


def test_area_counts_every_piece() -> None:
    assert held("R1", size=Size(3, 5), quantity=7).area == 105

"""What has lain long, and what to throw away first."""

from datetime import date

from nesting.geometry import Size
from nesting.shelf.ageing import piles, throw_first
from tests.shelf.shelves import held, shelf


def test_piles_are_by_board_with_the_largest_first() -> None:
    small, large, other = held("R1", size=Size(3, 5), quantity=2), held("R2", "SLATE", Size(7, 11)), held("R3", "oat")
    found = piles(shelf(small, large, other))
    assert [(pile.board, pile.pieces) for pile in found] == [("oat", (other,)), ("slate", (large, small))]
    assert (found[1].count, found[1].area) == (3, 107)


def test_slivers_that_nobody_touched_go_first() -> None:
    today = date(2027, 4, 1)
    sliver = held("R1", size=Size(2, 97), put=date(2026, 4, 1))
    block = held("R2", size=Size(11, 13), put=date(2026, 3, 31))
    used = held("R3", size=Size(3, 5), put=date(2026, 3, 31), used=date(2026, 4, 2))
    unknown = held("R4", size=Size(3, 5), put=None)
    assert throw_first(shelf(block, used, unknown, sliver), today) == (sliver, block)
    assert throw_first(shelf(block, used, sliver), today, idle=366) == (block,)

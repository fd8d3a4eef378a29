"""Shares at the edge of what the checker lets pass, and walls whose costs are shared the less usual way."""

from dataclasses import replace

import pytest

from nesting.check.costs import cost_faults
from nesting.costing import cost_pieces, summarise
from nesting.geometry import Size
from nesting.model.plan import Line, Purchase
from tests.planting import with_cost, with_summary
from tests.sound import PURCHASE, nested_by_hand, sound_plan


def planned(purchase, *, keep=True):
    """Cost the wall made by hand as if it had been bought in another way."""
    nested = replace(nested_by_hand(), purchase=purchase)
    if not keep:
        nested = replace(nested, leftover=tuple(replace(left, keep=False) for left in nested.leftover))
    pieces, credit = cost_pieces(nested)
    return replace(
        sound_plan(),
        leftover=nested.leftover,
        purchase=purchase,
        pieces=pieces,
        summary=summarise(nested, pieces, credit),
    )


def moved(plan, giver, taker, cents, *, share="board"):
    """Move some cents of a share from one copy to another, so that the sum stays."""
    for place, change in ((giver, -cents), (taker, cents)):
        plan = with_cost(plan, place, **{share: getattr(plan.pieces[place], share) + change})
    return plan


def test_a_share_that_is_a_whole_cent_off_is_named():
    # Map is cut from a fallout and bears exactly nothing in the credited way.
    assert next(cost_faults(moved(sound_plan(), 3, 2, 1, share="credited"))) == (
        "Map copy 1: credited share is 1 cents instead of about 0.00"
    )


@pytest.mark.parametrize("cents", [1, -1, 7, -7])
def test_a_credit_that_is_a_whole_cent_off_is_named(cents):
    # Just what is cut is bought, and nothing is kept: the leftovers are worth exactly nothing.
    purchase = replace(PURCHASE, lines=tuple(replace(line, count=1) for line in PURCHASE.lines))
    plan = planned(purchase, keep=False)
    assert list(cost_faults(plan)) == []
    plan = with_summary(with_cost(plan, 3, credited=plan.pieces[3].credited - cents), credit=cents)
    assert f"costs: the credit is {cents} cents instead of about 0.00" in list(cost_faults(plan))


def test_fees_of_goods_that_cost_nothing_follow_the_count():
    # Alder's 500 go one third to sage and two thirds to ivory, that only Moss takes.
    lines = tuple(replace(line, unit_price=0) if line.shop == "Alder" else line for line in PURCHASE.lines)
    plan = planned(Purchase(lines, {"Alder": 500, "Birch": 300}, {"Alder": 0, "Birch": 61}, 0))
    assert list(cost_faults(plan)) == []
    # 166.67 over sage blanks of 7373, 7373, 1325 is 76.46, 76.46, 13.74; Moss bears 333.33 + 1581.
    # Rounded down 76 + 76 + 13 + 1914 = 2079 of 2081: the cents left go to Map and to the first Fern.
    assert [cost.board for cost in plan.pieces] == [77, 76, 14, 1914]
    assert any(line.startswith("Moss copy 1: board share") for line in cost_faults(moved(plan, 3, 0, 2)))


def test_a_shop_without_fee_and_tax_need_not_be_listed_for_its_goods_to_be_shared():
    # Ivory's 1948 + 699 x 1948/2392 and oat's 1220 make 3737.25 for Moss, rounded down, so that a cent more would show.
    plan = planned(replace(PURCHASE, delivery={"Alder": 500}, tax={"Alder": 199}))
    assert plan.pieces[3].board == 3737
    assert list(cost_faults(plan)) == []


def test_sheets_of_one_board_from_two_shops_are_paid_for_together():
    lines = (
        *PURCHASE.lines,
        Line("Cedar", "ivory", 4, Size(127, 109), 1, 883),
        Line("Cedar", "sage", 5, Size(223, 167), 2, 401),
    )
    plan = planned(replace(PURCHASE, lines=lines))
    assert list(cost_faults(plan)) == []
    assert any(line.startswith("Fern copy 1: board share") for line in cost_faults(moved(plan, 0, 3, 2)))


def test_what_is_paid_for_a_board_that_no_blank_took_is_shared_over_all():
    lines = (*PURCHASE.lines, Line("Birch", "slate", 6, Size(131, 113), 1, 977))
    plan = planned(replace(PURCHASE, lines=lines))
    assert list(cost_faults(plan)) == []
    assert any(line.startswith("Map copy 1: board share") for line in cost_faults(moved(plan, 2, 3, 2)))

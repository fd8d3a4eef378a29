"""Summaries of walls where nothing is quoted, saved or paid for, and of leftovers that are just large enough."""

import pytest

from nesting.check.summary import summary_faults
from nesting.geometry import Size
from nesting.model.plan import Line, Waste
from tests.builders import exact
from tests.planting import with_bench, with_cost, with_purchase, with_summary
from tests.sound import sound_plan


def faults(plan):
    return list(summary_faults(plan))


def quoted(less):
    """Quote each copy at what its board costs less some cents."""
    plan = sound_plan()
    for place, cost in enumerate(plan.pieces):
        plan = with_cost(plan, place, quote=cost.board - less)
    return plan


def test_without_a_cutter_to_pay_for_no_mats_are_counted():
    plan = with_bench(sound_plan(), cutter_cost=None)
    assert faults(with_summary(plan, mats_to_pay_cutter=None)) == []
    assert faults(plan) == ["summary: mats to pay for the cutter is 12 instead of None"]


def test_where_nothing_is_quoted_nothing_is_said_to_be_saved():
    plan = sound_plan()
    for place in range(len(plan.pieces)):
        plan = with_cost(plan, place, quote=None)
    assert faults(with_summary(plan, saved=None, mats_to_pay_cutter=None)) == []
    assert faults(with_summary(plan, saved=0, mats_to_pay_cutter=0)) == [
        "summary: saved is 0 instead of None",
        "summary: mats to pay for the cutter is 0 instead of None",
    ]


@pytest.mark.parametrize("less", [0, 3])
def test_no_number_of_mats_pays_where_quotes_are_no_dearer(less):
    plan = with_summary(quoted(less), saved=-4 * less, mats_to_pay_cutter=None)
    assert faults(plan) == []
    assert faults(with_summary(plan, mats_to_pay_cutter=0)) == [
        "summary: mats to pay for the cutter is 0 instead of None"
    ]


@pytest.mark.parametrize(
    # 1877 is saved on three mats, 625.67 each: a cutter of as much is paid for, the next mat pays up to 2502.67.
    ("cost", "further"),
    [(1000, 0), (1877, 0), (1878, 1), (2502, 1), (2503, 2)],
)
def test_mats_are_counted_until_the_cutter_is_paid_for(cost, further):
    plan = with_summary(with_bench(sound_plan(), cutter_cost=cost), mats_to_pay_cutter=further)
    assert faults(plan) == []


def test_a_board_bought_in_two_lines_is_counted_together():
    plan = sound_plan()
    plan = with_purchase(plan, lines=(*plan.purchase.lines, Line("Cedar", "sage", 5, Size(127, 109), 2, 401)))
    counted = with_summary(plan, sheets_bought=7, sheets_by_board={"sage": 3, "ivory": 2, "oat": 2}, sheets_uncut=4)
    assert faults(counted) == []


def test_what_is_just_large_enough_is_kept_either_way_round():
    # 101 x 86, 73 x 58 and 67 x 76 hold 58 x 73: 8686 + 4234 + 5092.
    old = sound_plan().summary.waste
    waste = Waste(in_mats=old.in_mats, kept=18012, scrap=old.kept + old.scrap - 18012)
    for least in (exact(58, 73), exact(73, 58)):
        assert faults(with_summary(with_bench(sound_plan(), keep_at_least=least), waste=waste)) == []


@pytest.mark.parametrize(("cost", "further"), [(9000, 8999), (1, 0), (0, 0)])
def test_a_single_cent_saved_pays_for_a_cutter_in_the_end(cost, further):
    plan = with_bench(quoted(0), cutter_cost=cost)
    first, *others = range(len(plan.pieces))
    plan = with_cost(plan, first, quote=plan.pieces[first].board + 1)
    for place in others:
        plan = with_cost(plan, place, quote=None)
    assert faults(with_summary(plan, saved=1, mats_to_pay_cutter=further)) == []

"""Whole plans of random small jobs against the least that any purchase costs.

Five hundred jobs, and two that are named after them, which once got no plan; 16, 279 and 436 once got plans that left
more sheets uncut than there was room for. Most are planned for the cost alone. A more useful shelf takes nine tenths of
the time and may change nothing in the cost: one job in ten is planned with it, and every one among the slow tests.
"""

from random import Random

import pytest

from nesting.errors import CannotBeCutError
from nesting.geometry import Size
from nesting.plan import make_plan
from tests.every_purchase import least_cost, least_cost_if_any, spaces
from tests.packing.brute import most_value
from tests.small_jobs import scarce_job, small_job

SEEDS = (*range(500), 564, 728)


def assert_cheapest(seed, *, refined):
    job = small_job(seed)
    purchase = make_plan(job, refined=refined).purchase
    assert (purchase.total, purchase.lower_bound, purchase.proven) == (least_cost(job),) * 2 + (True,)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_purchase_costs_less_than_the_plan(seed):
    assert_cheapest(seed, refined=seed % 10 == 0)


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_no_purchase_costs_less_than_the_plan_with_the_more_useful_shelf(seed):
    assert_cheapest(seed, refined=True)


@pytest.mark.parametrize("seed", [1003, 1012, 1070, 1085, 1086])
def test_a_plan_is_there_from_the_first_round_though_packs_may_not_be_left_uncut(seed):
    assert make_plan(small_job(seed), rounds=1, refined=False).purchase.total >= least_cost(small_job(seed))


def hold_scarce(seed):
    """Hold the plan of a scarce job, or that there is none, against every purchase; return whether there is one."""
    job, options = scarce_job(seed)
    least = least_cost_if_any(job, options)
    if least is None:
        with pytest.raises(CannotBeCutError) as refused:
            make_plan(job, options, refined=False)
        assert refused.value.proven, seed
        return False
    purchase = make_plan(job, options, refined=False).purchase
    assert (purchase.total, purchase.lower_bound) == (least, least), seed
    return True


def test_where_boards_are_scarce_there_is_a_plan_whenever_a_purchase_gives_one_and_it_costs_the_least():
    planned = [hold_scarce(seed) for seed in range(120)]
    assert 30 < sum(planned) < 90


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(120, 1120))
def test_many_more_scarce_jobs_are_right(seed):
    hold_scarce(seed)


def test_the_small_jobs_try_every_rule():
    jobs = [small_job(seed) for seed in range(500)]
    offers = [offer for job in jobs for offer in job.offers[:-1]]
    assert {sum(p.quantity * (2 if p.under_boards else 1) for p in job.pieces) for job in jobs} == {1, 2, 3, 4, 5}
    assert {len(job.boards) for job in jobs} == {1, 2, 3}
    assert {len(job.offers) for job in jobs} == {1, 2, 3, 4}
    for tried in (
        sum(offer.pack_of > 1 for offer in offers),
        sum(offer.at_most is not None for offer in offers),
        sum(offer.at_least is not None for offer in offers),
        sum(offer.board is None for offer in offers),
        sum(offer.discount > 0 for offer in offers),
        sum(bool(job.shelf) for job in jobs),
        sum(job.bench.room_for_sheets is not None for job in jobs),
        sum(len(piece.boards) > 1 for job in jobs for piece in job.pieces),
        sum(shop.delivery > 0 and shop.free_over is not None for job in jobs for shop in job.shops),
        sum(shop.tax > 0 for job in jobs for shop in job.shops),
    ):
        assert tried > 100


@pytest.mark.parametrize("seed", range(4))
def test_the_smallest_spaces_are_those_found_by_trying_every_cut(seed):
    # Three blanks lie in a space if all of their area can be cut from it; without a kerf, as the other way has none.
    chance = Random(seed)  # noqa: S311 - draws blanks, not secrets
    blanks = tuple(sorted((chance.randint(2, 5), chance.randint(2, 5)) for _ in range(3)))
    turn, area = chance.random() < 0.5, sum(w * h for w, h in blanks)
    kinds, values = [Size(*blank) for blank in blanks], [w * h for w, h in blanks]
    smallest = spaces(blanks, 0, turn=turn)
    for width in range(2, 10):
        for height in range(2, 10):
            fits = any(w <= width and h <= height for w, h in smallest)
            assert fits == (most_value((width, height), kinds, values, turn=turn, copies=(1, 1, 1)) == area)

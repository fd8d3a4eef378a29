"""What one solve found serves the next, where that one can be cut from it."""

from dataclasses import replace
from math import inf
from random import Random

import pytest

from nesting.geometry import Size
from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Lot
from nesting.packing.master import NoGood
from nesting.packing.pools import MOST_SOLUTIONS, Pools
from nesting.packing.solution import covers
from nesting.packing.solve import solve
from nesting.packing.stop import Stop
from nesting.plan import Progress
from nesting.scenarios.session import until_near
from tests.packing.posed import held, instance, lots, offer

WANTED = lots((13, 7, 3), (5, 4, 6))
DEAR = instance(WANTED, [offer(30, 20, 90), offer(15, 20, 60)])


def solved(problem):
    pools = Pools(problem)
    return solve(problem, Stop(20.0), pools=pools).solution, pools


def adopted(problem, solutions):
    incumbent = Incumbent(problem, lambda: 0.0, None, first=False)
    incumbent.adopt(solutions)
    return incumbent.solution


def test_a_solve_leaves_its_solution_and_leaves_it_once():
    found, pools = solved(DEAR)
    assert pools.solutions == (found,)
    solve(DEAR, Stop(20.0), pools=pools)
    assert len(pools.solutions) == 1


def test_only_so_many_solutions_are_kept_the_newest_of_them():
    found, pools = solved(DEAR)
    for number in range(1, MOST_SOLUTIONS + 1):
        pools.remember(replace(found, boards=(number, 0)))
    assert len(pools.solutions) == MOST_SOLUTIONS
    assert pools.solutions[-1].boards == (MOST_SOLUTIONS, 0)
    assert found not in pools.solutions


def test_at_other_prices_the_same_sheets_are_bought_anew():
    found, _ = solved(DEAR)
    cheap = replace(DEAR, offers=tuple(replace(its, price=its.price // 3) for its in DEAR.offers))
    again = adopted(cheap, [found])
    assert again.sheets == found.sheets
    assert again.cost == found.cost // 3


def test_of_many_solutions_the_cheapest_is_adopted():
    found, _ = solved(DEAR)
    small = replace(DEAR, offers=DEAR.offers[1:])  # the large sheet is gone
    worse, _ = solved(small)
    assert worse.cost > found.cost
    assert adopted(DEAR, [worse, found]).cost == adopted(DEAR, [found, worse]).cost == found.cost


def test_sheets_that_are_not_sold_any_more_are_no_solution():
    found, _ = solved(DEAR)
    assert adopted(replace(DEAR, offers=DEAR.offers[1:]), [found]) is None


def test_a_solution_of_more_pieces_covers_fewer_and_not_the_other_way_round():
    found, _ = solved(DEAR)
    fewer = replace(DEAR, lots=(WANTED[0], Lot(Size(5, 4), (3, 4), (0,), ())))
    less, _ = solved(fewer)
    assert covers(fewer, found.boards, found.sheets)
    assert not covers(DEAR, less.boards, less.sheets)


@pytest.mark.parametrize("boards", [(0,), (0, 1), (None, 0)], ids=["other lots", "other board", "left out"])
def test_an_assignment_that_is_none_of_the_instance_is_refused(boards):
    found, _ = solved(DEAR)
    assert not covers(DEAR, boards, found.sheets)


SHEET = offer(13, 11, 100)
THREE = instance(lots((7, 5, 3), (2, 2, 1)), [SHEET])
NOT_ENOUGH = NoGood(0, frozenset({0}), frozenset({0, 1}), {Size(13, 11): 1})


def with_fallouts(problem, *sizes):
    first, *others = problem.lots
    return replace(problem, lots=(replace(first, fallouts=sizes), *others))


@pytest.mark.parametrize(
    "other",
    [
        replace(THREE, offers=(offer(13, 11, 50), offer(30, 20, 90))),
        instance(lots((7, 5, 4), (2, 2, 1)), [SHEET]),
        replace(THREE, held=(held(6, 6), held(4, 20))),  # nothing of 7 x 5 can be cut from these
        with_fallouts(THREE, Size(6, 4), Size(6, 4), Size(6, 4)),
        replace(THREE, turn=(True, True), held=(held(9, 9, board=1),)),
    ],
)
def test_what_is_proven_not_to_be_enough_is_not_enough_for_as_much_or_from_as_little(other):
    pools = Pools(THREE)
    pools.add_no_good(THREE, NOT_ENOUGH)
    assert pools.no_goods(other) == [NOT_ENOUGH]


@pytest.mark.parametrize(
    "other",
    [
        instance(lots((7, 5, 2), (2, 2, 1)), [SHEET]),
        instance(lots((2, 2, 1), (7, 5, 3)), [SHEET]),  # it names lots, and these are others
        replace(THREE, held=(held(5, 7),)),
        with_fallouts(instance(lots((9, 9, 3), (7, 5, 1)), [SHEET]), Size(7, 5)),
        instance((), [SHEET]),
    ],
)
def test_it_may_be_enough_for_less_or_from_more(other):
    pools = Pools(THREE)
    pools.add_no_good(THREE, NOT_ENOUGH)
    assert pools.no_goods(other) == []


def test_less_stock_than_was_proven_not_to_be_enough_is_not_enough_either():
    more = replace(THREE, held=(held(7, 5),))
    pools = Pools(more)
    pools.add_no_good(more, NOT_ENOUGH)
    assert pools.no_goods(THREE) == [NOT_ENOUGH]


def drawn(draw):
    wanted = [(draw.randint(3, 12), draw.randint(3, 9), draw.randint(1, 3)) for _ in range(4)]
    offers = [offer(20, 14, draw.randint(60, 120)), offer(14, 10, draw.randint(30, 60))]
    return instance(lots(*wanted), offers, held=(held(9, 8),))


@pytest.mark.parametrize("seed", range(8))
def test_what_earlier_solves_have_proven_never_changes_what_a_solve_proves(seed):
    draw = Random(seed)  # noqa: S311 - draws problems, not secrets
    problem = drawn(draw)
    less = replace(problem, held=())
    dear = replace(problem, offers=tuple(replace(its, price=draw.randint(30, 120)) for its in problem.offers))
    fewer = replace(problem, lots=problem.lots[1:])
    pools = Pools(problem)
    for its in (problem, less, dear, fewer, replace(dear, held=()), problem):
        found, alone = solve(its, Stop(20.0), pools=pools), solve(its, Stop(20.0))
        assert (found.solution.cost, found.bound) == (alone.solution.cost, alone.solution.cost)


def test_a_limit_that_is_lowered_in_a_part_stays_lowered():
    stop = Stop(100.0)
    with stop.part(0.5):
        assert stop.seconds < 51
    assert stop.seconds == 100
    with stop.part(0.5):
        stop.seconds = 0.0
    assert stop()


@pytest.mark.parametrize(("total", "bound", "ends"), [(None, 0, False), (1000, 989, False), (1000, 990, True)])
def test_a_question_beside_the_plan_ends_at_one_per_cent(total, bound, ends):
    assert until_near(Progress(3.0, total, bound)) == (3.0 if ends else inf)

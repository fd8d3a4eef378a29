"""What one solve found serves the next, where that one can be cut from it."""

from dataclasses import replace
from math import inf

import pytest

from nesting.geometry import Size
from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Lot
from nesting.packing.pools import MOST_SOLUTIONS, Pools
from nesting.packing.solution import covers
from nesting.packing.solve import solve
from nesting.packing.stop import Stop
from nesting.plan import Progress
from nesting.scenarios.session import until_near
from tests.packing.posed import instance, lots, offer

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

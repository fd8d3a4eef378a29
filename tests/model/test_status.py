"""How a solve ended, as its result says it."""

import pytest

from nesting.model.status import SolveStatus
from nesting.packing.incumbent import Incumbent
from nesting.packing.solution import Solution
from nesting.packing.solve import Result
from tests.packing.posed import instance, lots, offer

PROVEN, LIMIT, INTERRUPTED = SolveStatus.PROVEN_OPTIMAL, SolveStatus.LIMIT_REACHED, SolveStatus.INTERRUPTED


def ended(cost, *, bound=200, infeasible=False):
    """Return an incumbent of this cost, None for no solution, with a bound of 2.00."""
    incumbent = Incumbent(instance(lots((7, 5, 2)), [offer(13, 11, 100)]), lambda: 0.0, None, first=False)
    incumbent.raise_bound(bound)
    if cost is not None:
        incumbent.replace(Solution((0,), (), {}, cost))
    if infeasible:
        incumbent.mark_infeasible()
    return incumbent


@pytest.mark.parametrize(
    ("cost", "interrupted", "status"),
    [
        (200, False, PROVEN),
        (200, True, PROVEN),  # what is proven stays proven
        (300, False, LIMIT),
        (300, True, INTERRUPTED),
        (None, False, SolveStatus.NOT_FOUND),
        (None, True, INTERRUPTED),
    ],
)
def test_a_result_says_how_the_solve_ended(cost, interrupted, status):
    assert Result.of(ended(cost), interrupted=interrupted).status is status


@pytest.mark.parametrize("interrupted", [False, True])
def test_that_there_is_no_solution_is_said_before_anything_else(interrupted):
    assert Result.of(ended(None, infeasible=True), interrupted=interrupted).status is SolveStatus.INFEASIBLE


@pytest.mark.parametrize(("cost", "status"), [(200, PROVEN), (300, INTERRUPTED)])
def test_an_interrupt_afterwards_leaves_a_proof_as_it_is(cost, status):
    assert Result.of(ended(cost), interrupted=False).interrupted().status is status

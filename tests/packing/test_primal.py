"""The parts of the solver by themselves: what they try again and what they leave alone."""

from dataclasses import replace
from unittest.mock import patch

import pytest

from nesting.geometry import Size
from nesting.packing import primal
from nesting.packing.board_lp import BoardLP
from nesting.packing.bounding import Bounding
from nesting.packing.engine import interpreted
from nesting.packing.master import MasterProblem
from nesting.packing.objective import Cost, SoftConstraint, Violations
from nesting.packing.pools import Pools
from nesting.packing.primal import PrimalSearch
from nesting.packing.solve import begin
from nesting.packing.stop import Stop
from tests.packing.posed import held, instance, lots, offer, wrong_with


class Parts:
    """The solver's parts on a problem, with nothing begun."""

    def __init__(self, problem):
        self.problem = problem
        pools = Pools(problem)
        pools.use_engine(interpreted())
        self.state = begin(problem, Stop(60.0), 0, None, pools, first=False)
        self.bounding = Bounding(self.state)
        self.primal = PrimalSearch()


def with_used(answer, size, count):
    """Return the answer with so many sheets of board 0 in use and bought."""
    return replace(answer, used={(0, size): count}, counts={(0, 0): count}, boards=(0,) * len(answer.boards))


@pytest.mark.parametrize("good", [0, 1])
def test_a_purchase_that_cannot_be_cut_from_even_with_more_gives_way_to_the_next(good):
    # Nothing is sold. The piece held of one board takes both items, that of the other none.
    sizes = [(13, 11), (3, 2)] if good == 0 else [(3, 2), (13, 11)]
    problem = instance(
        lots((7, 5, 2), boards=(0, 1)),
        (),
        turn=(True, True),
        held=tuple(held(*s, board=b) for b, s in enumerate(sizes)),
    )
    parts = Parts(problem)
    parts.primal.improve(parts.state, None)
    assert parts.state.incumbent.solution is not None
    assert parts.state.incumbent.solution.boards == (good,)
    assert wrong_with(problem, parts.state.incumbent.solution) == []


def test_what_was_refuted_in_vain_is_tried_again_only_with_more_work_or_other_kernels():
    parts = Parts(instance(lots((7, 5, 2)), [offer(13, 11, 100)]))
    answer = MasterProblem(parts.problem).solve(1.0)
    solve, asked = BoardLP.solve, []

    def counted(self, *args, **options):
        asked.append(options["work"])
        return solve(self, *args, **options)

    two = with_used(answer, Size(13, 11), 2)
    with patch.object(BoardLP, "solve", counted):
        for _ in range(2):
            assert not parts.bounding.separate(parts.state, two)
        assert len(asked) == 1
        parts.bounding.raise_state_limit()
        assert not parts.bounding.separate(parts.state, two)
        assert len(asked) == 2
        assert asked[1] > asked[0]
        parts.bounding.prove_by_area(parts.state)
        assert not parts.bounding.separate(parts.state, two)
        assert len(asked) == 3


def test_sheets_that_a_decision_found_are_not_forgotten():
    problem = instance(lots((7, 5, 2), (4, 3, 1)), [offer(13, 11, 100)])
    parts = Parts(problem)
    parts.bounding.prove_by_area(parts.state)
    answer = with_used(MasterProblem(problem).solve(1.0), Size(13, 11), 1)
    asked = []

    def counted(*args):
        asked.append(args)
        return solve_subproblem(*args)

    solve_subproblem = primal.solve_subproblem
    with patch("nesting.packing.primal.solve_subproblem", counted):
        first, again = (parts.primal._solve_subproblem(parts.state, answer, 0) for _ in range(2))
    assert first
    assert first == again
    assert len(asked) == 1


def test_half_of_what_is_open_is_asked_for_until_that_fails_but_never_of_the_cost():
    search, liked = PrimalSearch(), Violations((), None)
    assert [search._step(liked, gap) for gap in (1, 2, 9)] == [1, 1, 5]
    assert search._step(Cost(), 9) == 1
    answer = MasterProblem(instance(lots((7, 5, 2)), [offer(13, 11, 100)])).solve(1.0)
    search._note_failure(answer, 0)
    assert search._step(liked, 9) == 1


def test_a_bound_is_not_raised_by_what_only_half_of_what_is_open_forbids():
    # Three pieces like board 0 best, which is dearer and has room for one: two must go without, and none at first does.
    problem = instance(
        lots((7, 5, 1), (7, 5, 1), (7, 5, 1), boards=(0, 1)),
        [offer(7, 5, 150, boards=(0,), at_most=1), offer(7, 5, 100, boards=(1,))],
        turn=(True, True),
    )
    parts = Parts(problem)
    parts.bounding.prove_by_area(parts.state)
    incumbent = parts.state.incumbent
    while not incumbent.settled:
        parts.primal.improve(parts.state, parts.bounding)
    assert incumbent.value == 300
    liked = Violations(tuple(SoftConstraint((lot,)) for lot in range(3)), 1)
    incumbent.pursue(liked, [])
    assert incumbent.value == 3
    assert parts.primal._step(liked, 3) == 2
    bounds = []
    parts.primal.begin_objective()
    while not incumbent.settled:
        parts.primal.improve(parts.state, parts.bounding)
        bounds.append(incumbent.bound)
    assert incumbent.value == 2
    assert set(bounds) <= {0, 2}

"""What is proven of an objective is not handed on to a round in which it does not hold, nor is a timeout a proof."""

from fractions import Fraction

import pytest

from nesting.geometry import Size
from nesting.model.status import SolveStatus
from nesting.packing.instance import Copy, Held, Instance, Lot, Priced, Till
from nesting.packing.objective import Cost, LowerBound, SoftConstraint, Violations
from nesting.packing.solve import solve, solve_selection
from nesting.packing.stages import Stages
from nesting.packing.stop import Stop

SHEET, ITEM = Size(100, 100), Size(40, 45)
TILL = Till(0, None, Fraction(0))


def lot(number, *boards):
    return Lot(ITEM, (number,), boards, (Size(-1, -1),))


def instance(lots, offers, **changes):
    facts = {"kerf": 0, "longest": None, "turn": (False, False), "held": (), "tills": (TILL,), "room": None}
    return Instance(lots=lots, offers=offers, **facts | changes)


@pytest.fixture
def level_cut_short(monkeypatch):
    """Let the share of the first level run out at once, as under heavy load."""
    minimise, turns = Stages.minimise, []

    def cut_short(self, state):
        turns.append(state)
        if len(turns) > 1:
            minimise(self, state)

    monkeypatch.setattr(Stages, "minimise", cut_short)


def test_a_bound_holds_under_limits_that_allow_no_more():
    level, other = Violations((SoftConstraint((0,), 1),)), Violations((SoftConstraint((1,), 1),))
    bound = LowerBound(500, ((level, 2), (other, 0)))
    assert bound.under(((level, 2), (other, 0))) == 500
    assert bound.under(((level, 1), (other, 0))) == 500
    assert bound.under(((level, 1), (other, 1))) == 0
    assert bound.under(((level, 2),)) == 0
    assert LowerBound(500).under(((Cost(), 1),)) == 500


@pytest.mark.usefixtures("level_cut_short")
def test_a_preference_is_proven_anew_once_more_is_cut():
    """Two copies fit; while none is cut, none can have its first board, and that was taken for the best there is."""
    offers = tuple(Priced(SHEET, (board,), 500, 0, None, 1, 1) for board in (0, 1))
    both = instance((lot(0, 0, 1), lot(1, 0, 1)), offers, optional=(Copy((0,)), Copy((1,))))
    found = solve_selection(both, ((1, 1),), Stop(6.0, 3000))
    assert found.solution.boards == (0, 0)
    assert [(it.count, it.most) for it in found.preference] == [(2, 2)]


@pytest.mark.usefixtures("level_cut_short")
def test_a_cost_is_bounded_anew_once_the_first_level_is_better():
    """The budget does for one of two copies: first the dear one was cut, but the first level wants the cheap one."""
    offers = (Priced(SHEET, (0,), 300, 0, None, 1, 1), Priced(SHEET, (1,), 500, 0, None, 1, 1))
    one = instance((lot(0, 0), lot(1, 1)), offers, budget=600, optional=(Copy((0,)), Copy((1,))))
    found = solve_selection(one, ((1, 0), (0, 1)), Stop(6.0, 3000))
    assert (found.solution.boards, found.solution.cost, found.bound) == ((0, None), 300, 300)


def test_a_free_sheet_as_long_as_the_longest_cut_is_cut_from_with_a_saw():
    """A side of 100 is cut by cuts of 100, whatever the saw takes between the parts."""
    held = (Held(0, SHEET, 1),)
    sawn = instance(tuple(lot(n, 0) for n in range(3)), (), held=held, kerf=2, longest=100, turn=(False,))
    assert solve(sawn, Stop(4.0, 400)).status is SolveStatus.PROVEN_OPTIMAL

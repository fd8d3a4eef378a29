"""What is cut where not everything can be, by hand: exact, and said to be."""

from dataclasses import replace
from unittest.mock import patch

import pytest

from nesting.geometry import Size
from nesting.model.status import Count, SolveStatus
from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Copy, Lot, Short
from nesting.packing.objective import Cost, Violations
from nesting.packing.solve import levels_by_priority, solve, solve_selection
from nesting.packing.stages import Stages
from nesting.packing.stop import Stop
from tests.packing.posed import held, instance, lots, offer, wrong_with

BIG = Size(41, 31)
TWO_BOARDS = {"turn": (True, True)}


def optional(wanted, offers, **changes):
    """Return a problem in which each lot is a copy of its own that may be left out."""
    return instance(wanted, offers, optional=tuple(Copy((n,)) for n in range(len(wanted))), **changes)


def selected(problem, levels=None):
    """Return which lots are cut and the cost, of a solution that breaks no rule and is proven at every level."""
    levels = levels or [(1,) * len(problem.optional)]
    result = solve_selection(problem, levels, Stop(60.0))
    assert result.solution is not None
    cut = {number for number, board in enumerate(result.solution.boards) if board is not None}
    alone = replace(
        problem, lots=tuple(lot for number, lot in enumerate(problem.lots) if number in cut), optional=(), budget=None
    )
    boards = tuple(board for board in result.solution.boards if board is not None)
    assert wrong_with(alone, replace(result.solution, boards=boards)) == []
    assert [its for its in (*result.selection, *result.preference) if not its.proven] == []
    assert result.bound == result.solution.cost
    for level, weights in zip(result.selection, levels, strict=True):
        copies = zip(problem.optional, weights, strict=True)
        assert level.count == sum(weight for copy, weight in copies if copy.lots[0] in cut)
    return cut, result.solution.cost


def test_most_copies_come_before_the_first_in_the_table():
    # A sheet of either board is 20.00. Of board 0 it gives one piece, of board 1 three: 11 + 12 < 32 by 40 and so on.
    blanks = ((5, 7), (11, 14), (12, 16), (12, 18))
    wanted = tuple(Lot(Size(*blank), (n,), (min(n, 1),), ()) for n, blank in enumerate(blanks))
    problem = optional(wanted, [offer(32, 40, 2000, boards=(0, 1))], budget=2000, **TWO_BOARDS)
    assert selected(problem) == ({1, 2, 3}, 2000)
    assert selected(replace(problem, budget=3999)) == ({1, 2, 3}, 2000)
    assert selected(replace(problem, budget=4000)) == ({0, 1, 2, 3}, 4000)
    assert selected(replace(problem, budget=1999)) == (set(), 0)


@pytest.mark.parametrize("limit", [{"budget": 2500}, {"most": 2}])
def test_a_minimum_is_met_by_two_of_three(limit):
    # Each takes a sheet at 10.00, of which two at least are bought and none may lie uncut: two for 20.00.
    problem = optional(lots(*[(37, 29, 1)] * 3), [offer(*BIG, 1000, at_least=2)], room=0, **limit)
    cut, cost = selected(problem)
    assert (len(cut), cost) == (2, 2000)


def test_a_pack_is_filled_by_two_copies_of_three():
    # Sold in twos, none may lie uncut: two of the three copies, the first ones.
    copies = (Copy((0,)), Copy((1,), 0), Copy((2,), 1))
    problem = instance(lots(*[(37, 29, 1)] * 3), [offer(*BIG, 1000, pack=2)], room=0, optional=copies)
    assert selected(problem) == ({0, 1}, 2000)


def test_two_for_less_come_before_one_for_more():
    # 5 x 7 takes a sheet of board 0 at 15.00; both of 16 x 20 go on one of board 1 at 10.00, and 25.00 is too much.
    wanted = (Lot(Size(5, 7), (0,), (0,), ()), *(Lot(Size(16, 20), (n,), (1,), ()) for n in (1, 2)))
    offers = [offer(32, 40, 1500), offer(32, 40, 1000, boards=(1,))]
    assert selected(optional(wanted, offers, budget=2000, **TWO_BOARDS)) == ({1, 2}, 1000)


def test_the_cheaper_choice_of_as_many():
    # One sheet may be bought: 37 x 29 needs the one at 7.00, 13 x 11 has room on that at 2.00.
    problem = optional(lots((37, 29, 1), (13, 11, 1)), [offer(*BIG, 700), offer(17, 13, 200)], most=1)
    assert selected(problem) == ({1}, 200)


def test_priorities_come_one_after_the_other():
    # The two sheets of 37 x 29 are one of priority 1 and one of none; three of 17 x 13 go on one sheet.
    problem = optional(lots((37, 29, 1), *[(17, 13, 1)] * 3), [offer(*BIG, 700)], budget=700)
    assert selected(problem) == ({1, 2, 3}, 700)
    assert selected(problem, levels_by_priority([1, None, 2, 2])) == ({0}, 700)
    assert levels_by_priority([None, 2, 1, 2]) == ((0, 0, 1, 0), (0, 1, 0, 1), (1, 0, 0, 0))


def test_weights_choose_among_as_many():
    # Two of three go on the one sheet; the dearest two by weight are the first and the last.
    problem = optional(lots(*[(20, 31, 1)] * 3), [offer(*BIG, 700)], most=1)
    assert selected(problem, [(1, 1, 1), (900, 400, 1200)]) == ({0, 2}, 700)


def test_what_drops_out_of_a_copy_is_there_only_if_it_is_cut():
    # The small one fits the fallout of the large one, which is a sheet at 1.00. With 0.90 neither can be cut, with 1.00
    # both; where the fallout is too small only one.
    wanted = (Lot(Size(31, 23), (0,), (0,), (Size(19, 11),)), Lot(Size(13, 7), (1,), (0,), ()))
    problem = optional(wanted, [offer(31, 23, 100)], budget=90)
    assert selected(problem) == (set(), 0)
    assert selected(replace(problem, budget=100)) == ({0, 1}, 100)
    small = (replace(wanted[0], fallouts=(Size(11, 7),)), wanted[1])
    cut, cost = selected(replace(problem, lots=small, budget=100))
    assert (len(cut), cost) == (1, 100)


def test_from_what_is_held_alone():
    problem = optional(lots((13, 7, 1), (11, 7, 1), (23, 7, 1)), (), held=(held(24, 7),))
    assert selected(problem) == ({0, 1}, 0)


def test_a_board_that_is_short_and_one_that_is_sold_out():
    # 37 x 29 takes a sheet: three of board 0, of which two are left; and one that has board 1 too.
    wanted = tuple(Lot(Size(37, 29), (n,), (0, 1) if n == 3 else (0,), ()) for n in range(4))
    problem = optional(wanted, [offer(*BIG, 700, boards=(0, 1))], **TWO_BOARDS)
    short = Short(0, frozenset({0}), 2)
    cut, cost = selected(replace(problem, shorts=(short,)))
    assert (len(cut), 3 in cut, cost) == (3, True, 2100)
    assert selected(replace(problem, shorts=(replace(short, left=0),))) == ({3}, 700)


def test_what_is_not_optional_is_always_cut():
    # Of two sheets one is for the copy that must be cut.
    problem = instance(lots(*[(37, 29, 1)] * 3), [offer(*BIG, 700)], most=2, optional=(Copy((1,)), Copy((2,))))
    cut, cost = selected(problem)
    assert (0 in cut, len(cut), cost) == (True, 2, 1400)
    result = solve_selection(replace(problem, most=0), [(1, 1)], Stop(5.0))
    assert (result.solution, result.selection) == (None, ())


def test_a_level_has_a_weight_for_each_copy():
    with pytest.raises(ValueError, match="zip"):
        solve_selection(optional(lots((7, 5, 1)), ()), [(1, 1)], Stop(1.0))


def test_a_sheet_is_saved_by_leaving_out_as_few_as_possible():
    # 37 x 29 takes a sheet, four of 20 x 15 another; with one sheet the one large goes.
    problem = optional(lots((37, 29, 1), *[(20, 15, 1)] * 4), [offer(*BIG, 700)], shorts=(Short(0, frozenset({0}), 1),))
    assert selected(problem) == ({1, 2, 3, 4}, 700)


# --- boards ------------------------------------------------------------------------------------------------------


def liking(*boards):
    """Return a problem of halves of a sheet that like boards in this order."""
    wanted = tuple(Lot(Size(20, 31), (n,), its, ()) for n, its in enumerate(boards))
    return instance(wanted, [offer(*BIG, 700, boards=(0, 1, 2))], turn=(True,) * 3)


def test_most_first_boards_and_then_most_first_or_second():
    # Two sheets give four halves of two boards. Boards 0 and 1: three have their first board, all of them the first or
    # second; with boards 0 and 2 the last has its first board, but the third only its third.
    problem = liking((0, 1, 2), (0, 1, 2), (1, 0, 2), (2, 1, 0))
    result = solve(problem, Stop(60.0))
    assert result.solution is not None
    assert wrong_with(problem, result.solution) == []
    assert (result.solution.cost, result.preference) == (1400, (Count(3, 3), Count(4, 4)))
    assert result.solution.boards == (0, 0, 1, 1)


def test_nothing_is_said_of_boards_where_nobody_asked():
    assert solve(liking((0, 1), (1, 0)), Stop(5.0), liked=False).preference == ()
    assert solve(liking((0, 1), (1, 0)), Stop(5.0), first=True).preference == ()


def test_an_interrupt_while_the_boards_liked_best_are_sought_leaves_the_cost_proven_and_is_heard(monkeypatch):
    def press(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(Incumbent, "pursue", press)
    result = solve(liking((0, 1), (1, 0)), Stop(5.0))
    assert (result.status, result.stopped) == (SolveStatus.PROVEN_OPTIMAL, True)


def test_what_an_interrupt_kept_from_being_looked_for_is_not_proven():
    # Two halves that like different boards go on one sheet, so one of them has its first board.
    problem = liking((0, 1), (1, 0))
    assert solve(problem, Stop(60.0)).preference == (Count(1, 1),)
    minimise = Stages.minimise

    def interrupted(self, state):
        if not isinstance(state.incumbent.goal.objective, Cost):
            raise KeyboardInterrupt
        minimise(self, state)

    with patch.object(Stages, "minimise", interrupted):
        result = solve(problem, Stop(60.0))
    assert (result.status, result.preference) == (SolveStatus.PROVEN_OPTIMAL, (Count(1, 2),))


def test_a_level_that_its_share_of_the_time_was_not_enough_for_is_taken_up_again():
    problem = optional(lots(*[(20, 31, 1)] * 3), [offer(*BIG, 700)], most=1)  # two of three go on the one sheet
    minimise, turns = Stages.minimise, []

    def late(self, state):
        turns.append(type(state.incumbent.goal.objective))
        if len(turns) > 2:
            minimise(self, state)

    with patch.object(Stages, "minimise", late):
        result = solve_selection(problem, ((1, 1, 1),), Stop(60.0))
    assert turns[:4] == [Violations, Cost, Violations, Cost]
    assert result.selection == (Count(2, 2),)

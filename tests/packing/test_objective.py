"""Objectives, one after the other: what they count by hand, and what the master problem makes of copies left out."""

from dataclasses import replace

import pytest

from nesting.geometry import Size
from nesting.packing.board_preference import preference_objectives
from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Copy, Lot
from nesting.packing.master import MasterProblem, NoGood
from nesting.packing.objective import Cost, Goal, LowerBound, SoftConstraint, Violations
from nesting.packing.pricing import ValidInequality
from nesting.packing.stop import Stop
from tests.packing.posed import instance, lots, offer

BIG = Size(41, 31)
TWO_BOARDS = {"turn": (True, True)}


def left_out(problem, weights=None):
    """Return the objective that counts the copies left out, each by its weight."""
    weights = weights or [1] * len(problem.optional)
    softs = (SoftConstraint(copy.lots, weight) for copy, weight in zip(problem.optional, weights, strict=True))
    return Violations(tuple(softs))


def optional(wanted, offers, **changes):
    """Return a problem in which each lot is a copy of its own that may be left out."""
    return instance(wanted, offers, optional=tuple(Copy((n,)) for n in range(len(wanted))), **changes)


# --- what objectives count ---------------------------------------------------------------------------------------


def test_an_objective_counts_the_weight_of_what_is_violated():
    # of 3 + 5 + 2 the second has its second board and the third is left out: 5 + 2 by first boards, 2 by any board
    problem = instance(lots((7, 5, 1), (11, 5, 1), (13, 5, 1), boards=(1, 0)), (), **TWO_BOARDS)
    softs = tuple(SoftConstraint((n,), weight) for n, weight in enumerate((3, 5, 2)))
    boards = (1, 0, None)
    assert Goal(Violations(softs, 1)).value(problem, boards, 990) == 7
    assert Goal(Violations(softs)).value(problem, boards, 990) == 2
    assert Goal(Cost()).value(problem, boards, 990) == 990
    assert Violations(softs).total == 10


def test_a_piece_has_its_first_boards_only_if_every_layer_does():
    # Two copies of mat and under-mat in one piece, one blank alone: the third objective would be nought for all.
    wanted = (
        Lot(Size(31, 23), (0, 1), (0, 1), (), piece=0),
        Lot(Size(29, 23), (2, 3), (1, 0), (), piece=0),
        Lot(Size(13, 7), (4,), (0, 1), ()),
    )
    problem = instance(wanted, (), **TWO_BOARDS)
    (first,) = preference_objectives(problem)
    assert first == Violations((SoftConstraint((0, 1), 2), SoftConstraint((2,), 1)), 1)
    assert [Goal(first).value(problem, boards, 0) for boards in ((0, 1, 0), (0, 0, 0), (1, 1, 1))] == [0, 2, 3]


def test_a_board_out_of_reach_still_comes_before_those_within_reach():
    # gold is out of reach: sage is the second board, oat the third, and no piece can have its first
    problem = instance((Lot(Size(13, 7), (0,), (1, 0), (), ranks=(1, 2)),), (), **TWO_BOARDS)
    first, second = preference_objectives(problem)
    assert [Goal(its).value(problem, (1,), 0) for its in (first, second)] == [1, 0]
    assert [Goal(its).value(problem, (0,), 0) for its in (first, second)] == [1, 1]


def test_pieces_with_one_board_have_nothing_to_choose():
    assert preference_objectives(instance(lots((7, 5, 1)), ())) == ()


# --- what an instance refuses ------------------------------------------------------------------------------------


def test_a_lot_has_a_rank_for_each_board():
    with pytest.raises(ValueError, match="a rank for each of its boards"):
        Lot(Size(7, 5), (0,), (0, 1), (), ranks=(1,))


@pytest.mark.parametrize(
    ("copies", "wrong"),
    [
        ((Copy((0,)), Copy((0, 1))), "a lot belongs to one copy"),
        ((Copy((0,), after=0), Copy((1,))), "comes after an earlier one"),
        ((Copy((0,)), Copy((1, 2), after=0)), "with as many lots"),
    ],
)
def test_copies_that_make_no_sense_are_refused(copies, wrong):
    with pytest.raises(ValueError, match=wrong):
        instance(lots((7, 5, 1), (7, 5, 1), (7, 5, 1)), (), optional=copies)


# --- the master problem ------------------------------------------------------------------------------------------


def chosen(problem, goal, *, inequalities=(), no_goods=(), need=None):
    """Return the boards of the best master solution and the lower bound of its objective."""
    master = MasterProblem(problem, goal)
    for inequality in inequalities:
        master.add_inequality(inequality)
    for no_good in no_goods:
        master.add_no_good(no_good)
    master.require_sheets(need or {})
    answer = master.solve(5.0)
    return answer.boards, answer.bound


def test_copies_of_a_row_are_cut_in_order_and_on_the_same_boards():
    # 3 sheets of board 0 would do for the second and third copy; they take that board only with the first copy
    three = lots((7, 5, 1), (7, 5, 1), (7, 5, 1), boards=(0, 1))
    problem = instance(three, [offer(*BIG, 100)], optional=(Copy((0,)), Copy((1,), 0), Copy((2,), 1)), **TWO_BOARDS)
    boards, _ = chosen(problem, Goal(left_out(problem)))
    assert boards in {(0, 0, 0), (1, 1, 1)}
    every = frozenset({0, 1, 2})
    not_three = [NoGood(board, every, every, {BIG: 7}) for board in (0, 1)]
    boards, bound = chosen(problem, Goal(left_out(problem)), no_goods=not_three)
    assert bound == 1
    assert boards in {(0, 0, None), (1, 1, None)}


def test_the_layers_of_a_copy_are_cut_together_or_not_at_all():
    # the second copy's under-mat is on its board only if its mat is
    layers = lots((7, 5, 1), (5, 3, 1), (11, 5, 1), (9, 3, 1))
    problem = instance(layers, [offer(*BIG, 100)], optional=(Copy((0, 1)), Copy((2, 3))))
    boards, bound = chosen(problem, Goal(left_out(problem, (3, 5)), ((Violations((SoftConstraint((1,)),)), 0),)))
    assert (boards, bound) == ((0, 0, 0, 0), 0)
    no_mat = NoGood(0, frozenset({2}), frozenset({0, 1, 2, 3}), {BIG: 7})
    assert chosen(replace(problem, budget=0), Goal(left_out(problem)), no_goods=[no_mat]) == ((0, 0, None, None), 1)


def test_what_is_left_out_wants_nothing_and_drops_nothing():
    # By area 31 x 23 wants 713 and drops 19 x 11, worth 209; 13 x 7 wants 91. The small one alone takes a sheet of
    # 19 x 11 for 0.50. Both together want 713 + 91 - 209 = 595, so a sheet of 31 x 23 for 1.00 is enough.
    wanted = (Lot(Size(31, 23), (0,), (0,), (Size(19, 11),)), Lot(Size(13, 7), (1,), (0,), ()))
    problem = optional(wanted, [offer(19, 11, 50), offer(31, 23, 100)])
    by_area = ValidInequality(0, {Size(23, 31): 713, Size(7, 13): 91}, {Size(19, 11): 209, Size(31, 23): 713})
    small = Goal(Cost(), ((Violations((SoftConstraint((1,)),)), 0),))
    boards, bound = chosen(problem, small, inequalities=[by_area])
    assert (boards, bound) == ((None, 0), 50)
    both = Goal(Cost(), ((left_out(problem), 0),))
    assert chosen(problem, both, inequalities=[by_area]) == ((0, 0), 100)


def test_a_no_good_is_kept_by_leaving_out_what_it_needs_or_by_a_lot_that_it_does_not_know():
    # lots 0 and 1 do not go on one sheet; lot 2 may drop a fallout, so with it on the board nothing is known
    problem = optional(lots((23, 29, 1), (23, 31, 1), (29, 31, 1)), [offer(*BIG, 100)], most=1)
    want_two = Goal(Cost(), ((Violations((SoftConstraint((0,)), SoftConstraint((1,)))), 0),))
    two = frozenset({0, 1})
    known = NoGood(0, two, frozenset({0, 1, 2}), {BIG: 1})
    assert MasterProblem(problem, want_two).solve(5.0).cost == 0
    unknown = replace(known, there=two)
    boards, _ = chosen(problem, want_two, no_goods=[unknown], need={(0, BIG): 1})
    assert boards == (0, 0, 0)
    master = MasterProblem(problem, want_two)
    master.add_no_good(known)
    assert master.solve(5.0).infeasible
    boards, bound = chosen(problem, Goal(left_out(problem)), no_goods=[known])
    assert (bound, boards.count(None), boards[2]) == (1, 1, 0)


def test_boards_are_fixed_for_what_is_cut_and_for_what_is_left_out():
    problem = optional(lots((7, 5, 1), (7, 5, 1), boards=(0, 1)), [offer(*BIG, 100)], **TWO_BOARDS)
    master = MasterProblem(problem, Goal(left_out(problem)))
    master.fix_assignment((None, 1))
    answer = master.solve(5.0)
    assert (answer.boards, answer.bound) == ((None, 1), 1)


def test_weights_say_which_copy_goes():
    # No sheet may be bought and one 7 x 5 is held; by the inequality of area 35 there is room for one copy.
    problem = optional(lots((7, 5, 1), (7, 5, 1)), (), held=())
    by_area = ValidInequality(0, {Size(5, 7): 35}, {})
    boards, bound = chosen(problem, Goal(left_out(problem, (9, 4))), inequalities=[by_area])
    assert (boards, bound) == ((None, None), 13)


# --- the incumbent and the time ----------------------------------------------------------------------------------


def test_an_objective_follows_only_once_there_is_a_solution():
    incumbent = Incumbent(instance(lots((7, 5, 1)), [offer(*BIG, 100)]), lambda: 0.0, None, first=False)
    with pytest.raises(ValueError, match="only once there is a solution"):
        incumbent.pursue(Cost(), ())


def test_the_bound_of_another_objective_is_no_bound_of_the_cost():
    told = []
    problem = optional(lots((7, 5, 1), (9, 5, 1)), [offer(*BIG, 100)])
    its = left_out(problem)
    incumbent = Incumbent(problem, lambda: 0.0, lambda *facts: told.append(facts), first=False, objective=its)
    incumbent.buy((None, None), ())
    incumbent.raise_bound(2)
    assert (incumbent.value, incumbent.bound, incumbent.cost_bound, incumbent.settled) == (2, 2, 0, True)
    incumbent.pursue(Cost(), (its,))
    assert (incumbent.goal.limits, incumbent.value, incumbent.bound) == (((its, 2),), 0, 0)
    incumbent.raise_bound(100)
    incumbent.pursue(Violations((), 1), (its, Cost()))
    assert (incumbent.goal.limits, incumbent.cost_bound) == (((its, 2), (Cost(), 0)), 100)
    incumbent.pursue(its, (), LowerBound(1))  # an objective that was left open is taken up again
    assert (incumbent.goal.limits, incumbent.value, incumbent.bound, incumbent.cost_bound) == ((), 2, 1, 100)
    incumbent.pursue(Cost(), (its,), LowerBound(100, ((its, 2),)))
    assert (incumbent.bound, incumbent.cost_bound) == (100, 100)
    assert told == [(0.0, incumbent.solution, 0, False), (0.0, incumbent.solution, 100, False)]


def test_a_part_of_the_time_is_given_and_taken_back():
    stop = Stop(100.0)
    with stop.part(0.25):
        assert 20 < stop.left() <= 25
        with stop.part(0.0):
            assert stop()
    assert 90 < stop.left() <= 100

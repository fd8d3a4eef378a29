"""Whole problems: known answers, rules that bite, and what every answer keeps."""

from dataclasses import replace
from random import Random
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.geometry import Size
from nesting.model.status import SolveStatus
from nesting.packing.engine import compiled
from nesting.packing.instance import Lot
from nesting.packing.pools import Pools
from nesting.packing.solve import begin, solve
from nesting.packing.stages import load_compiled
from nesting.packing.stop import Stop
from tests.packing.posed import answered, held, instance, lots, offer, proven, till, wrong_with
from tests.published.test_fewest_sheets import MV_9, pieces

# --- rules that bite --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kerf", "wide", "cost"), [(0, 26, 1), (1, 26, 2), (1, 27, 1), (2, 27, 2), (3, 29, 1)])
def test_kerf_is_lost_between_two_parts(kerf, wide, cost):
    assert proven(instance(lots((13, 7, 2)), [offer(wide, 7, 1)], kerf=kerf)) == cost


@pytest.mark.parametrize(("turn", "cost"), [(True, 1), (False, 2)])
def test_a_board_that_may_not_turn(turn, cost):
    # 19 x 13 goes twice into 31 x 19 if turned: 13 + 13 = 26. Lying, 19 + 19 and 13 + 13 are both too much.
    assert proven(instance(lots((19, 13, 2)), [offer(31, 19, 1)], turn=(turn,))) == cost


def test_each_board_turns_by_its_own_rule():
    problem = instance(
        (Lot(Size(19, 13), (0, 1), (0,), ()), Lot(Size(19, 13), (2, 3), (1,), ())),
        [offer(31, 19, 1, boards=(0, 1))],
        turn=(True, False),
    )
    assert proven(problem) == 1 + 2


@pytest.mark.parametrize(("longest", "cost"), [(None, 100), (19, 100), (18, 180)])
def test_the_longest_cut(longest, cost):
    # 13 x 19 twice from 31 x 19 for 1.00 takes upright cuts 19 long; whole sheets of 13 x 19 for 0.90 take none.
    assert proven(instance(lots((13, 19, 2)), [offer(31, 19, 100), offer(13, 19, 90)], longest=longest)) == cost


@pytest.mark.parametrize(("count", "cost"), [(8, 140), (9, 280)])
def test_a_sheet_that_no_cut_goes_through_is_known_to_give_nothing(count, cost):
    # 37 x 41 for 0.50 has no side of 31 or less; 31 x 29 for 1.40 holds eight of 13 x 7, two beside each other
    problem = instance(lots((13, 7, count)), [offer(37, 41, 50), offer(31, 29, 140)], longest=31)
    assert proven(problem) == cost


def test_the_longest_cut_is_true_whatever_the_kerf():
    # 13 + 3 + 13 = 29 wide, cut 19 long
    problem = instance(lots((13, 19, 2)), [offer(29, 19, 100), offer(13, 19, 90)], kerf=3, longest=19)
    assert proven(problem) == 100
    assert proven(replace(problem, longest=18)) == 180


def test_what_is_held_is_free():
    problem = instance(lots((13, 7, 3)), [offer(13, 7, 100)], held=(held(7, 13, 2),))
    assert proven(problem) == 100
    assert proven(replace(problem, held=(held(7, 13, 3),))) == 0
    assert proven(replace(problem, turn=(False,))) == 300


def test_fallouts_are_free_to_any_depth():
    # 31 x 23 drops 19 x 11, which the next fills and drops 13 x 5, which the last fills
    chain = (
        Lot(Size(31, 23), (0,), (0,), (Size(19, 11),)),
        Lot(Size(19, 11), (1,), (0,), (Size(13, 5),)),
        Lot(Size(13, 5), (2,), (0,), ()),
    )
    assert proven(instance(chain, [offer(31, 23, 100)])) == 100
    without = tuple(replace(lot, fallouts=()) for lot in chain)
    assert proven(instance(without, [offer(31, 23, 100)])) == 200


def test_there_is_a_fallout_for_each_copy_and_each_window():
    # two copies with two windows each: four of 7 x 5 are free, the fifth takes a sheet
    mats = Lot(Size(31, 23), (0, 1), (0,), (Size(7, 5), Size(7, 5)))
    for count, cost in ((4, 200), (5, 300)):
        small = Lot(Size(7, 5), tuple(range(2, 2 + count)), (0,), ())
        assert proven(instance((mats, small), [offer(31, 23, 100)])) == cost


def test_a_fallout_is_of_the_board_of_its_mat():
    small = Lot(Size(7, 5), (1,), (1,), ())
    for board, cost in ((1, 100), (0, 100 + 100)):
        mat = Lot(Size(31, 23), (0,), (board,), (Size(7, 5),))
        assert proven(instance((mat, small), [offer(31, 23, 100, boards=(0, 1))], turn=(True, True))) == cost


def test_a_dearer_board_is_taken_where_its_fallout_saves_more():
    # On board 0 for 1.00 the small one needs a sheet of board 1 for 0.50; on board 1 for 1.20 it has the fallout.
    either = Lot(Size(31, 23), (0,), (0, 1), (Size(19, 11),))
    small = Lot(Size(19, 11), (1,), (1,), ())
    offers = [offer(31, 23, 100), offer(31, 23, 120, boards=(1,)), offer(19, 11, 50, boards=(1,))]
    assert proven(instance((either, small), offers, turn=(True, True))) == 120


def test_copies_of_a_lot_take_one_board():
    # two held of each board, three wanted: not two of one and one of the other
    three = Lot(Size(13, 7), (0, 1, 2), (0, 1), ())
    offers = [offer(13, 7, 100), offer(13, 7, 110, boards=(1,))]
    problem = instance((three,), offers, held=(held(13, 7, 2, 0), held(13, 7, 2, 1)), turn=(True, True))
    assert proven(problem) == 100


def test_a_larger_sheet_for_less_than_two_small_ones():
    assert proven(instance(lots((13, 7, 2)), [offer(26, 7, 190), offer(13, 7, 100)])) == 190
    assert proven(instance(lots((13, 7, 2)), [offer(26, 7, 210), offer(13, 7, 100)])) == 200


def test_fees_and_taxes_are_in_the_cost():
    # 2 x 1.00 + 8.25 % = 2.165 -> 2.17, and a fee of 0.40
    problem = instance(lots((13, 7, 2)), [offer(13, 7, 100)], tills=(till(fee=40, tax="8.25"),))
    assert proven(problem) == 257


# --- no plan ----------------------------------------------------------------------------------------------------


def test_a_limit_too_small_for_all_items_makes_it_impossible():
    solution = solve(instance(lots((13, 7, 3)), [offer(13, 7, 100, at_most=2)]), Stop(2.0))
    assert solution.solution is None
    assert solution.status is SolveStatus.INFEASIBLE


def test_an_item_too_large_for_everything_has_no_solution():
    assert solve(instance(lots((17, 7, 1)), [offer(13, 7, 100)]), Stop(1.0)).solution is None


# --- laws -------------------------------------------------------------------------------------------------------


def drawn(seed, kinds=9):
    """Draw a problem of two boards, two sheet sizes, a shelf and some fallouts."""
    rng = Random(seed)  # noqa: S311 - no secret
    made, first = [], 0
    for _ in range(kinds):
        w, h, copies = rng.randrange(5, 29), rng.randrange(5, 23), rng.randrange(1, 4)
        fallouts = (Size(w // 2, h // 2),) if rng.random() < 0.5 else ()
        boards = rng.choice([(0,), (1,), (0, 1)])
        made.append(Lot(Size(w, h), tuple(range(first, first + copies)), boards, fallouts))
        first += copies
    both = {"boards": (0, 1)}
    return instance(
        tuple(made),
        [offer(41, 31, 700, **both), offer(23, 29, 400, **both), offer(41, 31, 350, at_most=1, till=1, **both)],
        kerf=1,
        turn=(True, False),
        held=(held(19, 11, 2, 0), held(23, 7, 1, 1)),
        tills=(till(tax="8.25"), till(fee=150, free_over=900)),
    )


@pytest.mark.parametrize("turn", [False, True])
@pytest.mark.parametrize("seed", [3, 7])
def test_the_order_of_lots_changes_nothing_in_a_proven_cost(seed, turn):
    order = list(pieces(MV_9))
    Random(seed).shuffle(order)  # noqa: S311 - no secret
    assert proven(instance(tuple(order), [offer(100, 100, 1)], turn=(turn,))) == 19


@pytest.mark.parametrize("seed", [1, 2, 4])
def test_order_and_offers_shuffled_and_everything_transposed_cost_the_same(seed):
    problem = drawn(seed, 5)
    rng = Random(seed)  # noqa: S311 - no secret
    shuffled = list(problem.lots)
    rng.shuffle(shuffled)
    transposed = replace(
        problem,
        lots=tuple(
            replace(lot, size=lot.size.turned, fallouts=tuple(f.turned for f in lot.fallouts)) for lot in problem.lots
        ),
        offers=tuple(replace(one, size=one.size.turned) for one in problem.offers),
        held=tuple(replace(one, size=one.size.turned) for one in problem.held),
    )
    variants = [problem, replace(problem, lots=tuple(shuffled)), transposed]
    variants.append(replace(problem, offers=problem.offers[1:] + problem.offers[:1]))
    answers = [answered(variant, seconds=10.0) for variant in variants]
    # whatever one proves, the others cannot beat
    assert max(bound for _, bound in answers) <= min(cost for cost, _ in answers)
    assert any(cost == bound for cost, bound in answers)


SIZES = st.builds(Size, st.integers(3, 23), st.integers(3, 19))
OFFERS = st.builds(
    offer,
    st.sampled_from([23, 31]),
    st.sampled_from([19, 29]),
    st.integers(50, 300),
    boards=st.sampled_from([(0,), (0, 1), (1, 0)]),
    till=st.integers(0, 1),
    at_most=st.sampled_from([None, None, 1, 3]),
    at_least=st.sampled_from([1, 1, 2]),
    pack=st.sampled_from([1, 1, 2]),
)
TILLS = st.builds(
    till, st.integers(0, 200), st.one_of(st.none(), st.integers(0, 500)), st.sampled_from(["0", "8.25", "17"])
)


@st.composite
def problems(draw):
    made, first = [], 0
    for size in draw(st.lists(SIZES, min_size=1, max_size=4)):
        copies = draw(st.integers(1, 3))
        fallouts = (Size(size.w - 2, size.h - 1),) if draw(st.booleans()) else ()
        boards = draw(st.sampled_from([(0,), (1,), (0, 1), (1, 0)]))
        made.append(Lot(size, tuple(range(first, first + copies)), boards, fallouts))
        first += copies
    endless = offer(31, 29, 400, boards=(0, 1))  # so that there always is an answer
    return instance(
        tuple(made),
        [*draw(st.lists(OFFERS, max_size=2)), endless],
        kerf=draw(st.integers(0, 2)),
        longest=draw(st.sampled_from([None, 31])),
        turn=draw(st.tuples(st.booleans(), st.booleans())),
        held=tuple(held(*draw(SIZES), board=board) for board in draw(st.lists(st.integers(0, 1), max_size=2))),
        tills=draw(st.tuples(TILLS, TILLS)),
    )


@settings(max_examples=25)
@given(problem=problems(), seed=st.integers(0, 99))
def test_every_answer_breaks_no_rule_and_costs_no_less_than_its_bound(problem, seed):
    answered(problem, seconds=2.0, seed=seed)  # nearly all are proven at once


def test_what_is_told_on_the_way_only_gets_better():
    told = []
    problem = drawn(3)
    solution = solve(problem, Stop(1.0), 0, lambda *state: told.append(state))
    assert wrong_with(problem, solution.solution) == []
    costs = [found.cost for _, found, _, _ in told if found is not None]
    bounds = [bound for _, _, bound, _ in told]
    assert costs == sorted(costs, reverse=True)
    assert bounds == sorted(bounds)
    assert (costs[-1], bounds[-1]) == (solution.solution.cost, solution.bound)


def test_an_interrupt_gives_the_best_so_far():
    def press(_seconds, cost, _bound, _preparing):
        if cost is not None:
            raise KeyboardInterrupt

    problem = drawn(3)
    solution = solve(problem, Stop(30.0), 0, press)
    assert solution.status is SolveStatus.INTERRUPTED
    assert wrong_with(problem, solution.solution) == []


def test_even_without_time_there_is_a_solution():
    problem = drawn(5)
    problem = replace(problem, offers=problem.offers[:2])
    result = solve(problem, Stop(0.0))
    assert wrong_with(problem, result.solution) == []
    assert 0 < result.bound <= result.solution.cost


@pytest.mark.parametrize(
    ("change", "wrong"),
    [
        (lambda solution: replace(solution, cost=solution.cost - 1), "another cost"),
        (lambda solution: replace(solution, sheets=solution.sheets[1:]), "not every item once"),
        (lambda solution: replace(solution, sheets=(*solution.sheets, solution.sheets[-1])), "more than there is"),
        (lambda solution: replace(solution, boards=(7, *solution.boards[1:])), "a board that would not do"),
        (lambda solution: replace(solution, counts={(0, 0): 3}), "an offer is not kept to"),
        (
            lambda solution: replace(solution, sheets=(replace(solution.sheets[0], size=Size(5, 5)),)),
            "ends elsewhere than its part",
        ),
    ],
)
def test_what_these_tests_hold_an_answer_to_can_be_broken(change, wrong):
    problem = instance(lots((13, 7, 4)), [offer(31, 19, 100, at_most=2), offer(29, 19, 90)], room=0)
    solution = solve(problem, Stop(2.0)).solution
    assert wrong_with(problem, solution) == []
    assert wrong in {fault[0] for fault in wrong_with(problem, change(solution))}


def test_items_of_one_size_and_board_may_come_in_any_lots():
    # four of 7 x 13 stand beside each other in 31 x 19, for five there is no room
    one = instance(lots((13, 7, 4)), [offer(31, 19, 100)])
    apart = instance(lots((13, 7, 1), (7, 13, 3)), [offer(31, 19, 100)])
    assert proven(one) == proven(apart) == 100
    assert proven(instance(lots((13, 7, 2), (13, 7, 3)), [offer(31, 19, 100)])) == 200


@pytest.mark.parametrize("seed", [2, 3, 5])
def test_the_same_seed_and_rounds_give_the_same_solution(seed):
    found = [solve(drawn(seed, 6), Stop(60.0, 300), seed) for _ in range(2)]
    assert found[0] == found[1]
    assert wrong_with(drawn(seed, 6), found[0].solution) == []


@pytest.mark.parametrize(
    ("items", "room", "cost"),
    [
        (1, None, 1500),
        (1, 4, 1500),
        (1, 3, 2100),
        (1, 0, 2100),
        (2, 3, 1500),  # one item from each of two sheets: three are left uncut
        (2, 2, 2100),
        (5, 0, 1500),
    ],
)
def test_no_more_sheets_are_left_uncut_than_there_is_room_for(items, room, cost):
    # A pack of five at 3.00 each is 15.00, a single sheet 21.00; every item fits one sheet many times over.
    problem = instance(lots((7, 5, items)), [offer(41, 31, 300, pack=5), offer(41, 31, 2100)], room=room)
    assert proven(problem) == cost


@pytest.mark.parametrize("items", [2, 20])
def test_even_without_time_a_coupon_is_used_no_more_often_than_it_may(items):
    # A coupon for one sheet at 0.90, and sheets without limit at 7.00.
    problem = instance(lots((13, 11, items)), [offer(13, 11, 90, at_most=1), offer(31, 29, 700)])
    assert solve(problem, Stop(0.0)).solution is not None


def test_what_the_longest_cut_forbids_to_cut_at_all_has_no_solution():
    # 11 x 17 from 23 x 17 takes an upright cut 17 long
    assert solve(instance(lots((11, 17, 2)), [offer(23, 17, 100)], longest=16), Stop(1.0)).solution is None


def test_the_time_of_a_first_compiling_is_told_and_not_counted():
    told = []
    instance = drawn(3, 20)
    state = begin(instance, Stop(5.0), 0, lambda *said: told.append(said), Pools(instance), first=False)
    engine = compiled()
    with patch("nesting.packing.prepare.is_ready", lambda: False):
        before = state.stop.spent()
        assert load_compiled(state) is engine
    assert [said[3] for said in told] == [True]
    assert state.stop.spent() - before < 0.05

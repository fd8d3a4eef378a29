"""Purchases by hand, to the cent, and against every purchase of small shops."""

from collections import Counter
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.geometry import Size
from nesting.packing.master import MasterProblem
from nesting.packing.pricing import ValidInequality
from tests.packing.posed import held, instance, lots, obeys, offer, paid, till

BIG, SMALL = Size(41, 31), Size(29, 23)


def purchase(offers, need, **changes):
    """Return the cheapest purchase with at least so many sheets of each board and size, among seven small lots."""
    boards = len(changes.get("turn", (True,)))
    problem = instance(lots(*[(7, 5, 1)] * 7, boards=tuple(range(boards))), offers, **changes)
    model = MasterProblem(problem)
    model.require_sheets(need)
    return model.solve(5.0)


def bought(answer):
    return {key: count for key, count in answer.counts.items() if count}


def test_the_cheapest_offer_of_a_size_is_taken():
    answer = purchase([offer(*BIG, 700), offer(*BIG, 650), offer(*SMALL, 100)], {(0, BIG): 3})
    assert (answer.cost, answer.bound, bought(answer)) == (1950, 1950, {(1, 0): 3})
    assert (answer.used[0, BIG], answer.used[0, SMALL]) == (3, 0)
    assert not answer.infeasible


def test_nothing_needed_costs_nothing_whatever_the_fee():
    answer = purchase([offer(*BIG, 700)], {}, tills=(till(fee=500),))
    assert (answer.cost, bought(answer)) == (0, {})


@pytest.mark.parametrize(
    ("need", "cost", "counts"),
    [
        (3, 2100, {(1, 0): 3}),  # 3 x 7.00 = 21.00 against 5 x 4.90 = 24.50
        (4, 2450, {(0, 0): 5}),  # 4 x 7.00 = 28.00: the pack is cheaper, and one sheet is over
        (6, 3150, {(0, 0): 5, (1, 0): 1}),  # 24.50 + 7.00, two packs are 49.00
    ],
)
def test_a_pack_is_bought_where_it_is_cheaper(need, cost, counts):
    answer = purchase([offer(*BIG, 490, pack=5), offer(*BIG, 700)], {(0, BIG): need})
    assert (answer.cost, bought(answer)) == (cost, counts)


def test_packs_are_of_one_board():
    # One sheet of each board: two packs of two, 4 x 3.00 = 12.00, though two sheets would make one pack.
    boards = {"boards": (0, 1), "pack": 2}
    answer = purchase([offer(*BIG, 300, **boards)], {(0, BIG): 1, (1, BIG): 1}, turn=(True, True))
    assert (answer.cost, bought(answer)) == (1200, {(0, 0): 2, (0, 1): 2})


def test_a_coupon_serves_once():
    answer = purchase([offer(*BIG, 350, at_most=1), offer(*BIG, 700)], {(0, BIG): 3})
    assert (answer.cost, bought(answer)) == (350 + 2 * 700, {(0, 0): 1, (1, 0): 2})


def test_boards_share_the_limit_of_an_offer():
    # Half price for two sheets in all: three sheets of one board and one of the other cost 2 x 3.50 + 2 x 7.00.
    both = {"boards": (0, 1)}
    offers = [offer(*BIG, 350, at_most=2, **both), offer(*BIG, 700, **both)]
    answer = purchase(offers, {(0, BIG): 3, (1, BIG): 1}, turn=(True, True))
    assert answer.cost == 2100
    assert sum(count for (number, _), count in answer.counts.items() if number == 0) == 2


@pytest.mark.parametrize(
    ("need", "cost", "counts"),
    [
        (1, 700, {(1, 0): 1}),  # three at 3.90 are 11.70
        (2, 1170, {(0, 0): 3}),  # against 14.00
        (3, 1170, {(0, 0): 3}),
        (4, 1560, {(0, 0): 4}),  # more than the least is as good
    ],
)
def test_a_minimum_is_kept_or_the_offer_left(need, cost, counts):
    answer = purchase([offer(*BIG, 390, at_least=3), offer(*BIG, 700)], {(0, BIG): need})
    assert (answer.cost, bought(answer)) == (cost, counts)


def test_boards_make_up_a_minimum_together():
    offers = [offer(*BIG, 390, at_least=3, boards=(0, 1)), offer(*BIG, 700, boards=(0, 1))]
    answer = purchase(offers, {(0, BIG): 2, (1, BIG): 1}, turn=(True, True))
    assert (answer.cost, bought(answer)) == (1170, {(0, 0): 2, (0, 1): 1})


@pytest.mark.parametrize(
    ("free_over", "cost", "count"),
    [
        (None, 2 * 700 + 900, 2),
        (1399, 1400, 2),  # 14.00 is more than 13.99
        (1400, 2100, 3),  # 14.00 is not more than 14.00; one more sheet is 7.00 and saves 9.00
        (2099, 2100, 3),
        (2100, 2300, 2),  # two more are 14.00
    ],
)
def test_one_more_sheet_avoids_a_fee_that_costs_more(free_over, cost, count):
    answer = purchase([offer(*BIG, 700)], {(0, BIG): 2}, tills=(till(fee=900, free_over=free_over),))
    assert (answer.cost, bought(answer)) == (cost, {(0, 0): count})


def test_a_fee_is_paid_once_a_till_so_one_till_is_enough():
    # Apart 6.00 + 6.50 + two fees of 2.00 = 16.50; all at the second till 6.50 + 6.90 + 2.00 = 15.40.
    offers = [offer(*BIG, 600), offer(*SMALL, 650, till=1), offer(*BIG, 690, till=1)]
    answer = purchase(offers, {(0, BIG): 1, (0, SMALL): 1}, tills=(till(fee=200), till(fee=200)))
    assert (answer.cost, bought(answer)) == (1540, {(1, 0): 1, (2, 0): 1})


@pytest.mark.parametrize(
    ("price", "tax"),
    [
        (740, 61),  # 7.40 x 8.25 % = 0.6105
        (600, 50),  # 0.495
        (200, 17),  # 0.165 is half a cent over: up
        (199, 16),  # 0.164175
        (5, 0),  # 0.004125
        (6, 0),  # 0.00495
        (7, 1),  # 0.005775
    ],
)
def test_tax_is_rounded_half_up(price, tax):
    assert purchase([offer(*BIG, price)], {(0, BIG): 1}, tills=(till(tax="8.25"),)).cost == price + tax


@pytest.mark.parametrize(("other", "number", "cost"), [(216, 0, 216), (218, 1, 217)])
def test_half_a_cent_of_tax_turns_the_choice(other, number, cost):
    # At 8.25 % 2.00 comes to 2.165, which is paid as 2.17: more than 2.16 without tax, less than 2.18.
    answer = purchase([offer(*BIG, other, till=1), offer(*BIG, 200)], {(0, BIG): 1}, tills=(till(tax="8.25"), till()))
    assert (answer.cost, bought(answer)) == (cost, {(number, 0): 1})


def test_tax_is_rounded_once_a_till():
    # Three of 0.06 make 0.18, taxed 0.01485 -> 0.01; one by one each tax would be 0.00495 -> 0.
    assert purchase([offer(*BIG, 6)], {(0, BIG): 3}, tills=(till(tax="8.25"),)).cost == 18 + 1


def test_the_fee_is_not_taxed():
    # 7.00 + 10 % = 7.70, and 9.00
    assert purchase([offer(*BIG, 700)], {(0, BIG): 1}, tills=(till(fee=900, tax="10"),)).cost == 770 + 900


def test_a_limit_too_small_makes_it_infeasible():
    answer = purchase([offer(*BIG, 350, at_most=2)], {(0, BIG): 3})
    assert answer.infeasible
    assert answer.cost is None


def test_a_rule_asks_for_stock_of_enough_worth():
    # Seven items worth 5 each are 35. The big sheet is worth 20 for 7.00, the small one 8 for 2.50, what is held 4.
    # 31 are wanted: 20 + 8 + 8 for 12.00, two big ones for 14.00; four small ones are worth 32 for 10.00.
    problem = instance(lots((7, 5, 7)), [offer(*BIG, 700), offer(*SMALL, 250)], held=(held(11, 7),))
    model = MasterProblem(problem)
    model.add_inequality(ValidInequality(0, {Size(5, 7): 5}, {BIG: 20, SMALL: 8, Size(11, 7): 4}))
    answer = model.solve(5.0)
    assert (answer.cost, answer.bound, bought(answer)) == (1000, 1000, {(1, 0): 4})


def test_a_rule_that_nothing_can_meet_makes_it_infeasible():
    problem = instance(lots((7, 5, 7)), [], held=(held(11, 7),))
    model = MasterProblem(problem)
    model.add_inequality(ValidInequality(0, {Size(5, 7): 5}, {Size(11, 7): 4}))
    assert model.solve(5.0).infeasible


def test_lots_go_where_they_cost_least():
    # On board 0 the lot asks for worth 14 in sheets of 7 for 7.00 each, on board 1 for 7 in one sheet for 12.00.
    problem = instance(
        lots((7, 5, 7), boards=(0, 1)), [offer(*BIG, 700), offer(*BIG, 1200, boards=(1,))], turn=(True, True)
    )

    def cheapest(*boards):
        model = MasterProblem(problem)
        model.add_inequality(ValidInequality(0, {Size(5, 7): 2}, {BIG: 7}))
        model.add_inequality(ValidInequality(1, {Size(5, 7): 1}, {BIG: 7}))
        if boards:
            model.fix_assignment(boards)
        answer = model.solve(5.0)
        return answer.cost, answer.boards

    assert cheapest() == (1200, (1,))
    assert cheapest(0) == (1400, (0,))


# --- against every purchase ---------------------------------------------------------------------------------------

MOST = 4
"""Of one offer and board: four at 20 or more are enough for every minimum, and to be above any mark of 70 or less."""


def cheapest_by_trying(offers, tills, need):
    """Return the cost of the cheapest purchase of all, None if none will do. `need` goes by board, all of one size."""
    slots = [(number, board) for number, one in enumerate(offers) for board in one.boards]
    costs = []
    for counts in product(range(MOST + 1), repeat=len(slots)):
        chosen = dict(zip(slots, counts, strict=True))
        got = Counter()
        for (_, board), count in chosen.items():
            got[board] += count
        if obeys(offers, chosen) and all(got[board] >= count for board, count in need.items()):
            costs.append(paid(offers, tills, chosen))
    return min(costs, default=None)


OFFERS = st.builds(
    offer,
    st.just(BIG.w),
    st.just(BIG.h),
    st.integers(20, 60),
    boards=st.sampled_from([(0,), (1,), (0, 1)]),
    till=st.integers(0, 1),
    at_most=st.sampled_from([None, 1, 2, 3]),
    at_least=st.sampled_from([1, 2, 3]),
    pack=st.sampled_from([1, 2]),
)
TILLS = st.builds(
    till, st.integers(0, 50), st.one_of(st.none(), st.integers(0, 70)), st.sampled_from(["0", "8.25", "17"])
)


@settings(max_examples=30)
@given(
    offers=st.lists(OFFERS, min_size=1, max_size=3),
    tills=st.tuples(TILLS, TILLS),
    need=st.fixed_dictionaries({0: st.integers(1, 2), 1: st.integers(0, 2)}),
)
def test_no_purchase_is_cheaper_than_the_one_found(*, offers, tills, need):
    on_sale = {board for one in offers for board in one.boards}
    wanted = {board: count for board, count in need.items() if board in on_sale}
    answer = purchase(offers, {(board, BIG): n for board, n in wanted.items()}, turn=(True, True), tills=tills)
    expected = cheapest_by_trying(offers, tills, wanted)
    assert answer.cost == expected
    assert answer.infeasible == (expected is None)
    if expected is not None:
        assert answer.bound == expected == paid(offers, tills, answer.counts)
        assert obeys(offers, answer.counts)

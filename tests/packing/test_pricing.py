"""What sheets are worth, by hand and against every way of cutting them."""

from collections import Counter

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from nesting.geometry import Size
from nesting.packing.engine import compiled, interpreted
from nesting.packing.pattern import contents, legal
from nesting.packing.pricing import Pricer, ValidInequality
from tests.packing.brute import most_value

SHEET = Size(11, 7)
KINDS = st.lists(
    st.builds(Size, st.integers(2, 7), st.integers(2, 7)).filter(lambda s: s.w < s.h),
    min_size=1,
    max_size=3,
    unique=True,
)
VALUES = st.lists(st.integers(0, 40), min_size=3, max_size=3)
COPIES = st.lists(st.integers(1, 2), min_size=3, max_size=3)


def priced(kinds, values, *, turn=False, longest=None, rations=None, stock=(SHEET,)):
    pricer = Pricer(interpreted(), kinds, stock, turn, longest)
    for kind, count in (rations or {}).items():
        pricer.ration(kind, count)
    return pricer.table(values[: len(kinds)])


def value_of(part, kinds, values):
    kind = {kind.turned: place for place, kind in enumerate(kinds)} | {k: place for place, k in enumerate(kinds)}
    return sum(values[kind[size]] * count for size, count in contents(part).items())


def test_worth_of_a_sheet_by_hand():
    # On 11 x 7, 5 x 3 for 10 goes in twice across and twice up: 40; 3 x 5 three times across and once up: 30.
    assert priced([Size(5, 3)], [10]).worth(SHEET) == 40
    assert priced([Size(3, 5)], [10]).worth(SHEET) == 30
    assert priced([Size(3, 5)], [10], turn=True).worth(SHEET) == 40


@pytest.mark.parametrize(("items", "slack"), [(3, 10), (4, 0), (5, -10)])
def test_slack_of_an_inequality_by_hand(items, slack):
    # A sheet is worth 40, as four of 5 x 3 go on it for 10 each.
    inequality = ValidInequality(0, {Size(5, 3): 10}, {SHEET: 40})
    assert inequality.slack({Size(5, 3): items}, {SHEET: 1}) == slack


def test_kinds_of_the_same_size_count_at_the_better_value():
    assert priced([Size(5, 3), Size(5, 3)], [10, 11]).worth(SHEET) == 44


def test_what_fits_no_sheet_or_is_worth_nothing_adds_nothing():
    assert priced([Size(13, 3)], [10]).worth(SHEET) == 0
    assert priced([Size(5, 3)], [0]).worth(SHEET) == 0


def test_a_part_counts_as_no_higher_than_it_is_where_a_cut_may_be_too_long():
    # 8 x 7 and 3 x 7; of 8 x 7 two of 4 x 5 and one of 6 x 2, of 3 x 7 one of 2 x 6: no cut is longer than 8.
    kinds, values = [Size(4, 5), Size(2, 6)], [2, 1]
    assert most_value(SHEET, kinds, values, turn=True, longest=8) == 6
    assert priced(kinds, values, turn=True, longest=8).worth(SHEET) >= 6


def test_a_ration_holds_for_the_whole_sheet():
    # One of 5 x 3 for 10; of 3 x 2 for 1 then go two above it in 5 x 4, and six beside it in 6 x 7.
    assert priced([Size(5, 3), Size(3, 2)], [10, 1], rations={0: 1}).worth(SHEET) == 10 + 8
    assert priced([Size(5, 3)], [10], rations={0: 3}).worth(SHEET) == 30
    assert priced([Size(5, 3)], [10], rations={0: 9}).worth(SHEET) == 40


def test_a_limit_on_cuts_takes_some_of_the_worth():
    # On 10 x 6: upright at 5, 6 long, then level at 3, 5 long. Where no cut may be 6 long, there are no four.
    sheet = Size(10, 6)
    worths = [priced([Size(5, 3)], [10], longest=n, stock=(sheet,)).worth(sheet) for n in (10, 6, 5)]
    assert worths[:2] == [40, 40]
    assert worths[2] < 40


def test_one_table_prices_every_size_of_stock():
    stock = (SHEET, Size(5, 6), Size(4, 13))
    table = priced([Size(3, 5)], [10], turn=True, stock=stock)
    assert [table.worth(size) for size in stock] == [40, 20, 20]


@settings(max_examples=60)
@given(kinds=KINDS, values=VALUES, turn=st.booleans(), other=st.builds(Size, st.integers(3, 12), st.integers(3, 12)))
def test_every_size_of_stock_is_worth_the_most_that_any_cuts_reach(*, kinds, values, turn, other):
    # the points beyond the half of one stock are kept for what is left of another
    table = priced(kinds, values, turn=turn, stock=(SHEET, other))
    for sheet in (SHEET, other):
        assert table.worth(sheet) == most_value(sheet, kinds, values, turn=turn)
        assert value_of(table.pattern(sheet), kinds, values) == table.worth(sheet)


def test_beyond_the_half_only_what_is_left_of_a_stock_is_a_point():
    # Of 3 and 4 all numbers but 1, 2 and 5 are sums. Up to 10 of 20 all are points; beyond, 20 less 3, 4, 6 to 10.
    pricer = Pricer(interpreted(), [Size(3, 4)], [Size(20, 20)], turn=True, longest=None)
    assert pricer.xs == [0, 3, 4, 6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 17, 20]


@settings(max_examples=60)
@given(kinds=KINDS, values=VALUES, turn=st.booleans())
def test_worth_is_the_most_that_any_cuts_reach(*, kinds, values, turn):
    assert priced(kinds, values, turn=turn).worth(SHEET) == most_value(SHEET, kinds, values, turn=turn)


@settings(max_examples=25)
@given(kinds=KINDS, values=VALUES, copies=COPIES, turn=st.booleans(), some=st.sets(st.integers(0, 2)))
def test_rationing_only_brings_worth_down_to_what_limited_copies_reach(*, kinds, values, copies, turn, some):
    copies = copies[: len(kinds)]
    limited = most_value(SHEET, kinds, values, turn=turn, copies=copies)
    every = dict(enumerate(copies))
    in_part = {kind: count for kind, count in every.items() if kind in some}
    worths = [priced(kinds, values, turn=turn, rations=rations).worth(SHEET) for rations in ({}, in_part, every)]
    assert worths == sorted(worths, reverse=True)
    assert worths[-1] == limited


@settings(max_examples=60)
@given(kinds=KINDS, values=VALUES, turn=st.booleans(), longest=st.integers(1, 11))
def test_worth_is_never_less_than_cuts_within_the_longest_reach(*, kinds, values, turn, longest):
    worth = priced(kinds, values, turn=turn, longest=longest).worth(SHEET)
    reached = most_value(SHEET, kinds, values, turn=turn, longest=longest)
    assert reached <= worth <= priced(kinds, values, turn=turn).worth(SHEET)


@settings(max_examples=60)
@given(kinds=KINDS, values=VALUES, copies=COPIES, turn=st.booleans(), some=st.sets(st.integers(0, 2)))
@pytest.mark.parametrize("sheet", [SHEET, SHEET.turned, Size(13, 5)])
def test_the_pattern_has_the_worth_and_keeps_the_rations(*, sheet, kinds, values, copies, turn, some):
    rations = {kind: copies[kind] for kind in range(len(kinds)) if kind in some}
    table = priced(kinds, values, turn=turn, rations=rations, stock=(SHEET, sheet))
    part = table.pattern(sheet)
    assert value_of(part, kinds, values) == table.worth(sheet)
    assert fits(part, sheet)
    found = Counter(Size(min(s), max(s)) if turn else s for s in contents(part).elements())
    assert all(found[kinds[kind]] <= count for kind, count in rations.items())


def fits(part, space):
    """Whether the items of a pattern fill exactly the parts that its cuts leave them."""
    if part is None:
        return min(space) > 0
    if isinstance(part, Size):
        return part == space
    near = (part.at, space.h) if part.way == "upright" else (space.w, part.at)
    far = (space.w - part.at, space.h) if part.way == "upright" else (space.w, space.h - part.at)
    return fits(part.first, Size(*near)) and fits(part.rest, Size(*far))


@settings(max_examples=60)
@given(kinds=KINDS, values=VALUES, turn=st.booleans(), longest=st.integers(5, 11))
@example(kinds=[Size(4, 5), Size(2, 4), Size(2, 6)], values=[2, 0, 1], turn=True, longest=8)
def test_a_pattern_within_the_longest_cut_reaches_no_more_than_trying_them_all(*, kinds, values, turn, longest):
    table = priced(kinds, values, turn=turn, longest=longest)
    part = table.pattern(SHEET)
    if legal(part, SHEET, longest):
        reached = most_value(SHEET, kinds, values, turn=turn, longest=longest)
        assert value_of(part, kinds, values) <= reached <= table.worth(SHEET)


@pytest.mark.parametrize(
    "points", [[0, 3, 5, 6, 8, 9, 10, 11], sorted({5 * a + 7 * b for a in range(9) for b in range(5)})]
)
@pytest.mark.parametrize("engine", [interpreted(), compiled()], ids=["interpreted", "compiled"])
def test_what_is_left_beyond_a_cut_is_rounded_down_to_a_point(engine, points):
    count = len(points)
    found = engine.zeros(count**2)
    engine.rests(engine.ints(points), found)
    for i in range(count):
        for k in range(1, i):
            left = points[i] - points[k]
            assert points[found[i * count + k]] == max(point for point in points if point <= left)

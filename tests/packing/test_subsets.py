"""Listed sets against every way of joining boxes, alike for both kinds of kernels."""

from collections import Counter
from functools import cache
from itertools import product
from operator import mul

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.geometry import Size
from nesting.packing.engine import compiled, interpreted
from nesting.packing.pattern import contents, legal
from nesting.packing.subsets import list_subsets

SIDES = st.builds(Size, st.integers(2, 9), st.integers(2, 9))
DEMAND = st.dictionaries(SIDES.filter(lambda size: size.w <= size.h), st.integers(1, 3), min_size=1, max_size=4)
STOCK = st.lists(st.builds(Size, st.integers(4, 14), st.integers(4, 14)), min_size=1, max_size=3, unique=True)


def listed(engine, demand, stock, *, turn=False, room=3000):
    return list_subsets(engine, demand, stock, turn=turn, longest=None, room=room)


def boxes_by_brute_force(kinds, *, turn):
    """Return a function that gives, for counts of the kinds, every box that straight cuts free them from."""

    @cache
    def boxes(counts):
        if sum(counts) == 1:
            kind = kinds[counts.index(1)]
            return {kind, kind.turned} if turn else {kind}
        found = set()
        for part in product(*(range(count + 1) for count in counts)):
            rest = tuple(count - its for count, its in zip(counts, part, strict=True))
            if any(part) and any(rest):
                for a, b in product(boxes(part), boxes(rest)):
                    found |= {Size(a.w + b.w, max(a.h, b.h)), Size(max(a.w, b.w), a.h + b.h)}
        return {box for box in found if not any(o != box and o.w <= box.w and o.h <= box.h for o in found)}

    return boxes


def fitting(demand, sheet, *, turn):
    """List the counts by kind that one sheet gives."""
    boxes = boxes_by_brute_force(list(demand), turn=turn)
    return {
        counts
        for counts in product(*(range(count + 1) for count in demand.values()))
        if any(counts) and any(box.w <= sheet.w and box.h <= sheet.h for box in boxes(counts))
    }


@pytest.mark.parametrize("engine", [interpreted(), compiled()], ids=["interpreted", "compiled"])
@settings(max_examples=60)
@given(demand=DEMAND, stock=STOCK, turn=st.booleans(), values=st.lists(st.integers(0, 9), min_size=4, max_size=4))
def test_the_dearest_set_is_the_dearest_of_all_and_can_be_cut(engine, *, demand, stock, turn, values):
    got = listed(engine, demand, stock, turn=turn)
    if got is None:  # interpreted kernels list few
        assert engine is interpreted()
        return
    by_kind = dict(zip(demand, values, strict=False))
    for sheet in stock:
        fit = fitting(demand, sheet, turn=turn)
        most, mask = got.dearest(sheet, by_kind)
        assert most == max((sum(map(mul, by_kind.values(), counts)) for counts in fit), default=0)
        if most:
            part = got.pattern(sheet, mask)
            made = Counter(min(size, size.turned) if turn else size for size in contents(part).elements())
            assert legal(part, sheet, None)
            assert made <= Counter(demand)
            assert sum(by_kind[kind] * count for kind, count in made.items()) == most


def test_copies_of_one_size_are_one_set_however_many_there_are():
    # Twelve and twelve of two sizes make 12 x 12 + 12 + 12 sets; told apart there would be millions.
    got = listed(compiled(), {Size(1, 2): 12, Size(1, 3): 12}, [Size(6, 9)], turn=True)
    assert got is not None
    assert got.dearest(Size(6, 9), {Size(1, 2): 2, Size(1, 3): 3})[0] == 54


def test_stock_that_takes_everything_needs_no_sets():
    # Twenty different sizes have a million sets, but one sheet takes them all.
    demand = {Size(2, 10 + k): 1 for k in range(20)}
    got = listed(compiled(), demand, [Size(100, 100)], room=64)
    assert got is not None
    most, mask = got.dearest(Size(100, 100), dict.fromkeys(demand, 1))
    assert most == 20
    assert contents(got.pattern(Size(100, 100), mask)) == Counter(demand)


def test_where_there_are_more_sets_than_room_none_is_listed():
    demand = {Size(2, 10 + k): 1 for k in range(12)}
    assert listed(compiled(), demand, [Size(8, 40)], room=64) is None

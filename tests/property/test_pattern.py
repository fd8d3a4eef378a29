"""Whatever is demanded, searched patterns are cut into sound trees that hold each item once."""

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.geometry import Point, Size
from nesting.model.cut_tree import Placed, leaves
from nesting.packing.engine import interpreted
from nesting.packing.pattern import contents, cut_tree, legal
from nesting.packing.ruin_recreate import RuinRecreate, Stock
from tests.packing.trees import items_of, unsound

SIDES = st.sampled_from([3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37])
SIZES = st.builds(Size, SIDES, SIDES).filter(lambda size: size.w < size.h)
SHEETS = [Size(41, 61), Size(71, 43)]
KERFS = st.sampled_from([0, 2, 3, 5])
LONGEST = st.sampled_from([None, 43, 47, 61])


def search_stock(wanted, kerf, longest, turn, seed):
    """Return the search for items of true sizes, on two true sheet sizes, and whether it may turn them."""
    demand = Counter(Size(size.w + kerf, size.h + kerf) for size in wanted)
    stock = [Stock(Size(size.w + kerf, size.h + kerf), size.area, 20) for size in SHEETS]
    search = RuinRecreate(
        interpreted(), demand, stock, turn=turn, longest=None if longest is None else longest + kerf, seed=seed
    )
    search.improve(3)
    return search


@settings(max_examples=60)
@given(
    wanted=st.lists(SIZES, min_size=1, max_size=14),
    kerf=KERFS,
    longest=LONGEST,
    turn=st.booleans(),
    seed=st.integers(0, 2**40),
)
def test_trees_are_sound_and_hold_every_item_once(*, wanted, kerf, longest, turn, seed):
    search = search_stock(wanted, kerf, longest, turn, seed)
    waiting = dict(enumerate(wanted))

    def take(size):
        found = next((i for i, s in waiting.items() if size == s or (turn and size == s.turned)), None)
        waiting.pop(found, None)
        return found

    found, cut = [], Counter()
    for stock, part in search.sheets():
        cut += contents(part)
        if stock == len(SHEETS):  # what fits no sheet stands on one that does not exist
            continue
        grown = search.stock[stock].size
        assert legal(part, grown, None if longest is None else longest + kerf)
        root = cut_tree(part, Point(7, 11), SHEETS[stock], kerf, take)
        assert (root.at, root.size) == (Point(7, 11), SHEETS[stock])
        assert unsound(root, kerf, longest) == []
        found += items_of(root)
    assert len(found) == len(set(found))
    assert len(found) == len(wanted) or not search.complete
    lain = Counter(Size(*(sorted(size) if turn else size)) for size in cut.elements())
    assert lain == Counter(Size(size.w + kerf, size.h + kerf) for size in wanted)


@settings(max_examples=40)
@given(
    wanted=st.lists(SIZES, min_size=2, max_size=12),
    kerf=KERFS,
    refused=st.integers(0, 5),
    seed=st.integers(0, 2**40),
)
def test_refused_items_leave_sound_trees_with_the_others_where_they_were(*, wanted, kerf, refused, seed):
    for stock, part in search_stock(wanted, kerf, None, True, seed).sheets():
        if stock == len(SHEETS):
            continue
        numbers, some = iter(range(99)), iter(range(99))
        whole = cut_tree(part, Point(0, 0), SHEETS[stock], kerf, lambda _, n=numbers: next(n))

        def take(_, numbers=some):
            number = next(numbers)
            return None if number % 6 == refused else number

        less = cut_tree(part, Point(0, 0), SHEETS[stock], kerf, take)
        assert unsound(less, kerf) == []
        kept = {leaf for leaf in leaves(whole) if isinstance(leaf, Placed) and leaf.item % 6 != refused}
        assert {leaf for leaf in leaves(less) if isinstance(leaf, Placed)} == kept

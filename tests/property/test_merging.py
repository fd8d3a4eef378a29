"""Whatever is divided, merging keeps every blank and loses nothing that was worth keeping."""

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.geometry import Point, Size
from nesting.model.cut_tree import Cut, Offcut, Placed, Way, leaves, nodes
from nesting.packing.merge_offcuts import merge_offcuts
from tests.packing.trees import items_of, unsound

# Few sides, so that neighbours often end alike.
SIDES = st.sampled_from([7, 11, 13, 17])


@st.composite
def trees(draw, kerf):
    """A part divided at random, one item in each part that is no offcut."""
    numbers = iter(range(1000))

    def divide(at, size, way, depth):
        along = 0 if way is Way.UPRIGHT else 1
        if depth == 0 or size[along] < 20 or draw(st.booleans()):
            return Offcut(at, size) if draw(st.booleans()) else Placed(at, size, next(numbers))
        other = Way.LEVEL if way is Way.UPRIGHT else Way.UPRIGHT
        parts, place, end = [], at[along], at[along] + size[along]
        while place < end:
            wide = min(draw(SIDES), end - place)
            wide = end - place if end - place - wide <= draw(st.sampled_from([0, 5])) + kerf > 0 else wide
            part_at, part_size = list(at), list(size)
            part_at[along], part_size[along] = place, wide
            parts.append(divide(Point(*part_at), Size(*part_size), other, depth - 1))
            place += wide + kerf
        whole = Cut(at, size, way, tuple(parts))
        return whole if len(parts) > 1 and any(isinstance(part, Placed) for part in leaves(whole)) else Offcut(at, size)

    return divide(
        Point(3, 5), Size(draw(st.integers(23, 89)), draw(st.integers(29, 97))), draw(st.sampled_from(Way)), 4
    )


@settings(max_examples=150)
@given(data=st.data(), kerf=st.sampled_from([0, 1, 2, 5]), longest=st.sampled_from([None, 41, 61]))
def test_merging_keeps_the_blanks_and_makes_offcuts_fewer_and_larger(*, data, kerf, longest):
    root = data.draw(trees(kerf))
    before = unsound(root, kerf, longest)
    merged = merge_offcuts(root, kerf, longest)
    assert (merged.at, merged.size) == (root.at, root.size)
    assert unsound(merged, kerf, longest if not before else None) == []
    sizes = [
        Counter((leaf.item, leaf.size) for leaf in leaves(tree) if isinstance(leaf, Placed)) for tree in (root, merged)
    ]
    assert sizes[0] == sizes[1]
    assert items_of(merged) == items_of(root)
    old, new = ([leaf.size for leaf in leaves(tree) if isinstance(leaf, Offcut)] for tree in (root, merged))
    assert len(new) <= len(old)
    assert sum(size.area for size in new) >= sum(size.area for size in old)
    assert all(any(whole.w >= part.w and whole.h >= part.h for whole in new) for part in old)
    assert merge_offcuts(merged, kerf, longest) == merged
    cuts = [sum(len(node.parts) - 1 for node in nodes(tree) if isinstance(node, Cut)) for tree in (root, merged)]
    assert cuts[1] <= cuts[0]

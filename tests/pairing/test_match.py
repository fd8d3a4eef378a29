"""The assignment against every way to assign, on small random cases."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.pairing.match import assign


@st.composite
def cases(draw):
    kinds, sorts = draw(st.integers(1, 4)), draw(st.integers(1, 3))
    cost = st.one_of(st.none(), st.integers(0, 23))
    return (
        draw(st.lists(st.lists(cost, min_size=sorts, max_size=sorts), min_size=kinds, max_size=kinds)),
        draw(st.lists(st.integers(1, 2), min_size=kinds, max_size=kinds)),
        draw(st.lists(st.integers(1, 2), min_size=sorts, max_size=sorts)),
        draw(st.lists(st.integers(1, 3), min_size=kinds, max_size=kinds)),
    )


def worth(costs, kinds, ranks, chosen):
    """What is wanted, the less the better: places in all, then by rank, then the costs."""
    placed = [rank for kind, place in zip(kinds, chosen, strict=True) if place is not None for rank in [ranks[kind]]]
    by_rank = [-placed.count(rank) for rank in sorted(set(ranks))]
    paid = sum(costs[kind][place] for kind, place in zip(kinds, chosen, strict=True) if place is not None)
    return -len(placed), by_rank, paid


def every_way(costs, quantities, places, ranks):
    """Try all ways to give each copy a place or none; as the contract of `assign` says, and in no clever way."""
    kinds = [kind for kind, count in enumerate(quantities) for _ in range(count)]
    for chosen in product([None, *range(len(places))], repeat=len(kinds)):
        fits = all(place is None or costs[kind][place] is not None for kind, place in zip(kinds, chosen, strict=True))
        if fits and all(chosen.count(place) <= room for place, room in enumerate(places)):
            yield worth(costs, kinds, ranks, chosen)


@given(cases())
def test_no_other_way_is_better(case):
    costs, quantities, places, ranks = case
    counts = assign(*case)
    kinds, chosen = [], []
    for kind, row in enumerate(counts):
        assert sum(row) <= quantities[kind]
        for place, count in enumerate(row):
            assert not count or costs[kind][place] is not None
            kinds += [kind] * count
            chosen += [place] * count
    for place, room in enumerate(places):
        assert sum(row[place] for row in counts) <= room
    assert worth(costs, kinds, ranks, chosen) == min(every_way(*case))


def test_a_dear_place_is_better_than_none():
    assert assign([[1, 1000], [1, None]], [1, 1], [1, 1], [1, 1]) == ((0, 1), (1, 0))


def test_the_first_rank_goes_first_where_places_are_few():
    assert assign([[7], [900]], [1, 1], [1], [2, 1]) == ((0,), (1,))


@pytest.mark.parametrize("quantity", [1, 999_999])
def test_large_numbers_do_not_overflow(quantity):
    kinds = 50
    costs = [[100_000 + k, 99_000 + 2 * k] for k in range(kinds)]
    counts = assign(costs, [quantity] * kinds, [quantity, quantity], range(kinds))
    # 99 000 and 100 001 are one less than 100 000 and 99 002.
    assert counts[0] == (0, quantity)
    assert counts[1] == (quantity, 0)
    assert sum(map(sum, counts)) == 2 * quantity

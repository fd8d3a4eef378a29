"""What bounded pricing proves of a sheet is never less than it holds, and its patterns have no more than there are."""

from itertools import product
from random import Random

import pytest

from nesting.geometry import Size
from nesting.packing import bounded_pricing
from nesting.packing.board_lp import BoardLP
from nesting.packing.bounded_pricing import BoundedPricer
from nesting.packing.engine import compiled, interpreted
from nesting.packing.pattern import contents, legal
from nesting.packing.pricing import Pricer
from nesting.packing.stop import Stop
from tests.packing.brute import most_value


def drawn(seed, engine):
    """Return the linear programme of a small board on two sheets, how many of each kind there are, and values."""
    chance = Random(seed)  # noqa: S311 - not for secrets
    stock = list(dict.fromkeys(Size(chance.randint(4, 6), chance.randint(3, 5)) for _ in range(2)))
    turn = chance.random() < 0.5
    kinds = {Size(chance.randint(1, 3), chance.randint(1, 3)) for _ in range(chance.randint(2, 3))}
    kinds = sorted({Size(min(kind), max(kind)) for kind in kinds} if turn else kinds)
    counts = [chance.randint(1, 2) for _ in kinds]
    values = [chance.choice((0, kind.area, kind.area, 2 * kind.area + 1)) for kind in kinds]
    return BoardLP(0, Pricer(engine, kinds, stock, turn, None), counts, longest=None), counts, values


def bounded_value(lp, size, counts, values):
    return most_value(size, lp.pricer.kinds, values, turn=lp.pricer.turn, copies=counts)


@pytest.mark.parametrize("engine", [interpreted, compiled])
def test_whole_lists_say_just_what_a_sheet_holds_of_what_there_is(engine):
    tighter = 0
    for seed in range(60):
        lp, counts, values = drawn(seed, engine())
        least = dict.fromkeys(lp.pricer.stock, 1)
        found = BoundedPricer(lp).price(values, least, Stop(60))
        for size in lp.pricer.stock:
            assert found.inequality.worth[size] == bounded_value(lp, size, counts, values), seed
            tighter += found.inequality.worth[size] < lp.price(values).inequality.worth[size]
        for size, part in found.patterns:
            cut = contents(part)
            for kind, count in zip(lp.pricer.kinds, counts, strict=True):
                turned = cut[kind.turned] if lp.pricer.turn and kind.w != kind.h else 0
                assert cut[kind] + turned <= count, seed
            assert legal(part, size, None)
    assert tighter > 10


def test_a_list_that_is_too_long_still_bounds_what_a_sheet_holds(monkeypatch):
    """With room for so few boxes hardly any list is whole: then the bound may be too high, but never too low."""
    loose = 0
    for seed, room in product(range(40), (3, 6, 12)):
        monkeypatch.setattr(bounded_pricing, "ROOM", room)
        lp, counts, values = drawn(seed, compiled())
        pricer = BoundedPricer(lp)
        for _ in range(3):  # what is remembered of the lists before changes where the next ones begin
            found = pricer.price(values, dict.fromkeys(lp.pricer.stock, 1), Stop(60))
            for size in lp.pricer.stock:
                exact = bounded_value(lp, size, counts, values)
                assert found.inequality.worth[size] >= exact, (seed, room)
                loose += found.inequality.worth[size] > exact
    assert loose > 10


def test_only_patterns_of_at_least_the_value_asked_for_are_returned_and_more_is_never_denied():
    for seed in range(40):
        lp, counts, values = drawn(seed, compiled())
        exact = {size: bounded_value(lp, size, counts, values) for size in lp.pricer.stock}
        least = {size: worth + 1 for size, worth in exact.items()}
        found = BoundedPricer(lp).price(values, least, Stop(60))
        assert not found.patterns, seed
        assert found.inequality.worth == exact, seed


def test_where_time_is_up_nothing_is_proven_that_does_not_hold():
    for seed in range(20):
        lp, counts, values = drawn(seed, compiled())
        found = BoundedPricer(lp).price(values, dict.fromkeys(lp.pricer.stock, 1), Stop(0.0))
        for size in lp.pricer.stock:
            assert found.inequality.worth[size] >= bounded_value(lp, size, counts, values), seed

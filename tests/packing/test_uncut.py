"""Bounds in sheets against a model without straight cuts, which none may exceed unless straight cuts take more."""

from functools import cache
from itertools import product
from random import Random
from unittest.mock import patch

import pytest

from nesting.packing.solve import solve
from nesting.packing.stop import Stop
from tests.packing.posed import instance, lots, offer
from tests.packing.uncut import fewest_sheets

PINWHEEL = ((25, 15), (25, 15), (15, 25), (15, 25), (10, 10))


@pytest.mark.parametrize(
    ("sheet", "blanks", "turn", "kerf", "count"),
    [
        ((40, 40), PINWHEEL, False, 0, 1),  # four round a fifth: no straight cut goes through
        ((40, 39), PINWHEEL, True, 0, 2),
        ((31, 19), ((19, 13), (19, 13)), True, 0, 1),
        ((31, 19), ((19, 13), (19, 13)), False, 0, 2),
        ((26, 7), ((13, 7), (13, 7)), False, 0, 1),
        ((26, 7), ((13, 7), (13, 7)), False, 1, 2),
        ((27, 7), ((13, 7), (13, 7)), False, 1, 1),
        ((13, 7), ((13, 7), (11, 5), (7, 3), (5, 2)), True, 0, 3),
        ((23, 19), ((17, 11), (13, 19), (19, 7)), True, 2, 2),  # 13 + 2 + 7 is 22
        ((23, 19), ((17, 11), (13, 19), (19, 7)), False, 2, 3),
    ],
)
def test_the_model_knows_sheets_turns_and_kerf(sheet, blanks, turn, kerf, count):
    assert fewest_sheets(sheet, blanks, turn=turn, kerf=kerf) == count


def random_blanks(chance, sheet, count):
    return tuple((chance.randint(5, sheet[0] - 5), chance.randint(3, sheet[1] - 3)) for _ in range(count))


def broken(chance, w, h, depth, kerf):
    """Break a sheet into blanks that fill it to the last, by straight cuts and by pinwheels, which are none."""
    if depth and min(w, h) > 13 + 2 * kerf and chance.random() < 0.5:
        x, y = chance.randint(4, w // 2 - 3 - kerf), chance.randint(4, h // 2 - 3 - kerf)
        middle = (w - 2 * x - 2 * kerf, h - 2 * y - 2 * kerf)
        return [(w - x - kerf, y), (x, h - y - kerf), (x, h - y - kerf), (w - x - kerf, y), middle]
    if depth and w > 9 + kerf and chance.random() < 0.7:
        x = chance.randint(3, w - 4 - kerf)
        return broken(chance, x, h, depth - 1, kerf) + broken(chance, w - x - kerf, h, depth - 1, kerf)
    if depth and h > 9 + kerf:
        y = chance.randint(3, h - 4 - kerf)
        return broken(chance, w, y, depth - 1, kerf) + broken(chance, w, h - y - kerf, depth - 1, kerf)
    return [(w, h)]


def by_straight_cuts(sheet, blanks, *, turn, kerf):
    """Return the least number of sheets that straight cuts divide into the blanks, by trying every way.

    Sets of blanks are the bits of a number; what a set needs are the smallest spaces that it is cut from.
    """

    @cache
    def needs(chosen):
        if chosen.bit_count() == 1:
            w, h = blanks[chosen.bit_length() - 1]
            found = {(w, h), (h, w)} if turn else {(w, h)}
        else:
            found = {
                space
                for part in parts_with_the_last(chosen)
                for (w, h), (x, y) in product(needs(part), needs(chosen ^ part))
                for space in ((w + kerf + x, max(h, y)), (max(w, x), h + kerf + y))
            }
        fitting = {(w, h) for w, h in found if w <= sheet[0] and h <= sheet[1]}
        return {s for s in fitting if not any(o != s and o[0] <= s[0] and o[1] <= s[1] for o in fitting)}

    @cache
    def fewest(waiting):
        if needs(waiting):
            return 1
        return 1 + min(fewest(waiting ^ part) for part in parts_with_the_last(waiting) if needs(part))

    return fewest((1 << len(blanks)) - 1)


def parts_with_the_last(chosen):
    """Yield every part of a set, not the whole, that has its last member in it."""
    last = 1 << (chosen.bit_length() - 1)
    others = part = chosen ^ last
    while part:
        part = (part - 1) & others
        yield part | last


def bounds(sheet, blanks, *, turn, kerf, seconds):
    """Yield what the solver proves by every set of blanks that a sheet gives, and what it proves by prices alone."""
    problem = instance(lots(*((*blank, 1) for blank in blanks)), [offer(*sheet, 1)], turn=(turn,), kerf=kerf)
    yield solve(problem, Stop(seconds)).bound
    with patch("nesting.packing.pools.list_subsets", lambda *_, **__: None):
        yield solve(problem, Stop(seconds)).bound


def hold(sheet, blanks, *, turn, kerf, seconds=0.6):
    """Hold bounds against the model, and where they are above it, against every way of straight cuts."""
    fewest = fewest_sheets(sheet, blanks, turn=turn, kerf=kerf)
    found = max(bounds(sheet, blanks, turn=turn, kerf=kerf, seconds=seconds))
    if found > fewest:
        fewest = by_straight_cuts(sheet, blanks, turn=turn, kerf=kerf)
    assert 1 <= found <= fewest


def sheet_and_rules(chance):
    return (chance.choice((31, 37, 41)), chance.choice((23, 29))), chance.random() < 0.5, chance.choice((0, 0, 2))


def hold_random(seed, least, most):
    chance = Random(seed)  # noqa: S311 - draws blanks, not secrets
    sheet, turn, kerf = sheet_and_rules(chance)
    hold(sheet, random_blanks(chance, sheet, chance.randint(least, most)), turn=turn, kerf=kerf)


def hold_broken(seed, most):
    chance = Random(seed)  # noqa: S311 - as above
    sheet, turn, kerf = sheet_and_rules(chance)
    blanks = broken(chance, *sheet, 3, kerf)
    while not 4 < len(blanks) <= most:
        blanks = broken(chance, *sheet, 3, kerf)
    assert fewest_sheets(sheet, blanks, turn=turn, kerf=kerf) == 1
    hold(sheet, blanks, turn=turn, kerf=kerf)


@pytest.mark.parametrize("seed", range(40))
def test_no_bound_is_above_what_lies_without_straight_cuts(seed):
    hold_random(seed, 5, 9)


@pytest.mark.parametrize("seed", range(24))
def test_nor_is_it_where_a_sheet_is_filled_to_the_last(seed):
    hold_broken(seed, 8)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1000, 1300))
def test_no_bound_of_many_more_is_above_it(seed):
    hold_random(seed, 5, 12)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1000, 1100))
def test_nor_is_it_where_many_more_are_filled_to_the_last(seed):
    hold_broken(seed, 9)


def test_straight_cuts_take_more_now_and_then_and_the_solver_proves_it():
    told = list(bounds((40, 40), PINWHEEL, turn=True, kerf=0, seconds=1.0))
    assert fewest_sheets((40, 40), PINWHEEL, turn=True) == 1
    assert max(told) == by_straight_cuts((40, 40), PINWHEEL, turn=True, kerf=0) == 2

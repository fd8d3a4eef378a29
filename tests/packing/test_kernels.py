"""The kernels by hand, and interpreted and compiled against each other."""

import random

import pytest

from nesting.geometry import Size
from nesting.model.cut_tree import Way
from nesting.packing.engine import compiled, interpreted
from nesting.packing.filling_kernels import LEVEL, UPRIGHT, fill, split, ways
from nesting.packing.pattern import contents, from_recipe, legal
from nesting.packing.pricing import Pricer
from nesting.packing.ruin_recreate import RuinRecreate, Stock

NO_LIMIT = 10**12
TYPES = [Size(7, 19), Size(13, 11), Size(5, 23), Size(17, 29), Size(53, 3)]


@pytest.fixture(scope="module")
def engines():
    return interpreted(), compiled()


def drawn_demand(seed, kinds):
    """Draw kinds of item with their shorter side first, so that they serve with and without turns."""
    rng = random.Random(seed)  # noqa: S311 - no secret
    sizes = [sorted((rng.randrange(5, 37), rng.randrange(5, 53))) for _ in range(kinds)]
    return {Size(*size): rng.randrange(1, 5) for size in sizes}


@pytest.mark.parametrize("turn", [False, True])
@pytest.mark.parametrize("longest", [None, 61])
@pytest.mark.parametrize("seed", [3, 11, 29])
def test_both_engines_search_alike(engines, turn, longest, seed):
    demand = drawn_demand(seed, 7)
    stock = [Stock(Size(41, 59), 0, 2), Stock(Size(83, 61), 500, 9), Stock(Size(47, 61), 290, 5)]
    plain, fast = (RuinRecreate(engine, demand, stock, turn=turn, longest=longest, seed=seed) for engine in engines)
    for rounds in (0, 1, 40):
        plain.improve(rounds)
        fast.improve(rounds)
        assert plain.cost == fast.cost
        assert list(plain.sheets()) == list(fast.sheets())


@pytest.mark.parametrize("turn", [False, True])
@pytest.mark.parametrize("longest", [None, 43])
@pytest.mark.parametrize("rationed", [{}, {1: 2}, {0: 1, 3: 2}])
def test_both_engines_price_alike(engines, turn, longest, rationed):
    kinds = [Size(7, 19), Size(11, 13), Size(5, 23), Size(17, 29)]
    stock = [Size(41, 59), Size(31, 37), Size(43, 30)]
    values = [133, 151, 113, 500]
    tables = []
    for engine in engines:
        pricer = Pricer(engine, kinds, stock, turn, longest)
        for kind, count in rationed.items():
            pricer.ration(kind, count)
        tables.append(pricer.table(values))
    plain, fast = tables
    assert [plain.worth(size) for size in stock] == [fast.worth(size) for size in stock]
    assert [plain.pattern(size) for size in stock] == [fast.pattern(size) for size in stock]
    assert all(plain.worth(size) > 0 for size in stock)


def test_the_same_seed_finds_the_same_and_another_seed_something_else(engines):
    demand = drawn_demand(5, 9)

    def found(seed):
        search = RuinRecreate(engines[1], demand, [Stock(Size(83, 61), 500, 30)], turn=True, longest=None, seed=seed)
        search.improve(3)
        return list(search.sheets())

    assert found(7) == found(7)
    assert any(found(7) != found(seed) for seed in (8, 9, 10))


# --- the longest cut --------------------------------------------------------------------------------------------


def test_a_part_larger_than_its_rectangle_is_freed_no_way():
    assert ways(8, 3, 7, 5, NO_LIMIT) == 0
    assert ways(3, 6, 7, 5, NO_LIMIT) == 0


def test_without_a_limit_either_first_cut_frees_a_part():
    assert ways(3, 2, 7, 5, NO_LIMIT) == 3
    assert ways(7, 5, 7, 5, NO_LIMIT) == 3


@pytest.mark.parametrize(
    ("longest", "allowed"),
    [
        # 3 x 2 in a corner of 7 x 5. Upright first: a cut 5 long, then one 3 long. Level first: 7 long, then 2 long.
        (7, 3),
        (6, 1),
        (5, 1),
        (4, 0),
    ],
)
def test_the_longest_cut_decides_which_first_cut_is_left(longest, allowed):
    assert ways(3, 2, 7, 5, longest) == allowed


@pytest.mark.parametrize(("longest", "allowed"), [(7, 3), (6, 0)])
def test_a_part_as_wide_as_its_rectangle_takes_one_cut(longest, allowed):
    assert ways(7, 2, 7, 5, longest) == allowed


def test_ways_agree_with_the_cuts_of_the_pattern_they_lead_to():
    space = Size(7, 5)
    for w in range(1, 8):
        for h in range(1, 6):
            for longest in range(9):
                allowed = ways(w, h, *space, longest)
                for bit, way in ((1, Way.UPRIGHT), (2, Way.LEVEL)):
                    pattern = from_recipe(space, [(0, Size(w, h), way)])
                    assert bool(allowed & bit) == legal(pattern, space, longest)


@pytest.mark.parametrize("rule", range(5))
def test_only_one_way_left_is_taken_whatever_the_rule(rule):
    assert split(rule, 3, 2, 7, 5, 1, [1]) == UPRIGHT
    assert split(rule, 3, 2, 7, 5, 2, [1]) == LEVEL


@pytest.mark.parametrize(
    ("rule", "w", "h", "way"),
    [
        # in 11 x 7; rests of an upright first cut are (11 - w) x 7 and w x (7 - h), of a level one 11 x (7 - h) and
        # (11 - w) x h
        (0, 3, 5, UPRIGHT),  # 8 x 7 = 56 and 3 x 2 against 11 x 2 and 8 x 5 = 40
        (0, 9, 2, LEVEL),  # 2 x 7 and 9 x 5 = 45 against 11 x 5 = 55
        (1, 3, 5, UPRIGHT),  # 8 beside, 2 above
        (1, 9, 2, LEVEL),  # 2 beside, 5 above
        (2, 3, 5, LEVEL),
        (2, 9, 2, UPRIGHT),
        (3, 3, 5, LEVEL),  # taller than wide
        (3, 9, 2, UPRIGHT),
    ],
)
def test_the_rules_of_splitting(rule, w, h, way):
    assert split(rule, w, h, 11, 7, 3, [1]) == way


def test_the_last_rule_of_splitting_goes_by_chance():
    rng = [1]
    assert {split(4, 3, 5, 11, 7, 3, rng) for _ in range(50)} == {UPRIGHT, LEVEL}


def filled(seed, wanted, steps=()):
    """Fill 53 x 47 from a seed, going on from some steps; return the steps, the area placed and what is left."""
    left, recipe, free = list(wanted), [0] * 90, [0] * 120
    recipe[: 3 * len(steps)] = [number for step in steps for number in step]
    widths, heights, values = [s.w for s in TYPES], [s.h for s in TYPES], [s.area for s in TYPES]
    placed, area = fill(53, 47, widths, heights, 5, left, values, 1, NO_LIMIT, [seed], recipe, 0, len(steps), free)
    return [tuple(recipe[3 * n : 3 * n + 3]) for n in range(placed)], area, left


@pytest.mark.parametrize("seed", range(40))
def test_going_on_from_the_first_steps_keeps_them_and_takes_only_what_is_left(seed):
    wanted = [3, 2, 4, 1, 1]
    before, _, _ = filled(seed, wanted)
    seen = set()
    for kept in range(len(before) + 1):
        first = before[:kept]
        rest = [have - sum(code >> 1 == kind for _, code, _ in first if code >= 0) for kind, have in enumerate(wanted)]
        after, area, left = filled(seed + 1000, rest, first)
        assert after[:kept] == first
        cut = [0] * 5
        lying = []
        for rect, code, way in after:
            if code >= 0:
                cut[code >> 1] += 1
            lies = -code if code < 0 else TYPES[code >> 1].turned if code & 1 else TYPES[code >> 1]
            lying.append((rect, lies, Way.LEVEL if way == LEVEL else Way.UPRIGHT))
        pattern = from_recipe(Size(53, 47), lying)
        assert legal(pattern, Size(53, 47), None)
        assert [have - n for have, n in zip(wanted, cut, strict=True)] == left
        assert sum(size.area * count for size, count in contents(pattern).items()) == area
        assert contents(pattern).total() == sum(cut)
        seen.add(tuple(after))
    assert len(seen) > 1


def test_no_two_cuts_alone_follow_each_other_also_where_the_first_was_kept():
    # 20 x 21 and two of 10 x 11 side by side are a pair that a cut alone would run along
    kinds = [Size(20, 21), Size(10, 11), Size(10, 12), Size(20, 9)]
    widths, heights, values = [s.w for s in kinds], [s.h for s in kinds], [s.area for s in kinds]
    seen = set()
    for seed in range(300):
        recipe, free = [0, -20, UPRIGHT, *[0] * 87], [0] * 120
        placed, _ = fill(53, 47, widths, heights, 4, [2, 9, 5, 4], values, 1, NO_LIMIT, [seed], recipe, 0, 1, free)
        codes = recipe[1 : 3 * placed : 3]
        assert codes[0] == -20
        assert codes[1] >= 0
        seen.add(sum(code < 0 for code in codes))
    assert seen > {1}


def test_no_sheet_is_in_use_that_nothing_is_cut_from(engines):
    demand = {Size(20, 21): 1, Size(10, 11): 3, Size(10, 12): 2, Size(20, 9): 1}
    held = [Stock(Size(*size), 0, 2) for size in ((41, 43), (31, 33), (23, 27), (53, 47))]
    for seed in range(20):
        search = RuinRecreate(engines[0], demand, held, turn=True, longest=None, seed=seed)
        for _ in range(60):
            search.improve(3)
            assert all(contents(part) for _, part in search.sheets())


@pytest.mark.parametrize("longest", [NO_LIMIT, 53, 47, 41, 30])
@pytest.mark.parametrize("turn", [0, 1])
def test_filling_makes_no_cut_too_long_and_counts_what_it_takes(longest, turn):
    types = TYPES
    widths, heights = [s.w for s in types], [s.h for s in types]
    space, seen = Size(53, 47), 0
    for seed in range(60):
        wanted = [3, 2, 4, 1, 1]
        left, recipe, free = list(wanted), [0] * 90, [0] * 120
        rng = [seed]
        placed, area = fill(
            *space, widths, heights, 5, left, [s.area for s in types], turn, longest, rng, recipe, 2, 0, free
        )
        steps = []
        for place in range(2, 2 + placed):
            rect, code, way = recipe[3 * place : 3 * place + 3]
            lies = Way.LEVEL if way == LEVEL else Way.UPRIGHT
            if code < 0:  # a cut alone
                steps.append((rect, -code, lies))
                continue
            size = types[code >> 1].turned if code & 1 else types[code >> 1]
            assert turn or not code & 1
            steps.append((rect, size, lies))
        pattern = from_recipe(space, steps)
        assert legal(pattern, space, longest)
        assert contents(pattern).total() == sum(isinstance(size, Size) for _, size, _ in steps)
        assert sum(size.area * count for size, count in contents(pattern).items()) == area <= space.area
        assert [want - have for want, have in zip(wanted, left, strict=True)] == [
            sum(1 for _, size, _ in steps if size in {kind, kind.turned}) for kind in types
        ]
        seen += placed
    assert (seen > 0) == (longest >= 47)

"""Exact decisions are those that trying every division of the items comes to, whatever the values of the inequality."""

from functools import cache
from itertools import product
from random import Random

import pytest

from nesting.geometry import Size
from nesting.packing import set_listing
from nesting.packing.engine import compiled, interpreted
from nesting.packing.pattern import contents, legal
from nesting.packing.pricing import Pricer, ValidInequality
from nesting.packing.set_enumeration import Verdict, decide
from nesting.packing.set_enumeration_kernels import slot_of
from nesting.packing.stop import Stop
from tests.packing.brute import most_value


@cache
def fit(sheet, kinds, counts, *, turn):
    """Whether just these items can be cut from a sheet, by trying."""
    area = sum(kind.area * count for kind, count in zip(kinds, counts, strict=True))
    if area > sheet.area:
        return False
    return most_value(sheet, kinds, [1] * len(kinds), turn=turn, copies=counts) == sum(counts)


def enough(sheets, kinds, counts, *, turn):
    """Whether the sheets give all, by trying every division of the items over them."""
    if not sheets:
        return not any(counts)
    for part in product(*(range(count + 1) for count in counts)):
        rest = [a - b for a, b in zip(counts, part, strict=True)]
        if fit(sheets[0], tuple(kinds), part, turn=turn) and enough(sheets[1:], kinds, rest, turn=turn):
            return True
    return False


def priced(engine, kinds, stock, values, *, turn, longest=None):
    pricer = Pricer(engine, kinds, stock, turn, longest)
    table = pricer.table(values)
    return pricer, ValidInequality(
        0, dict(zip(kinds, values, strict=True)), {size: table.worth(size) for size in stock}
    )


def drawn(seed):
    chance = Random(seed)  # noqa: S311 - not for secrets
    stock = [Size(chance.randint(3, 6), chance.randint(3, 5)) for _ in range(2)]
    stock = list(dict.fromkeys(stock))
    turn = chance.random() < 0.5
    kinds = {Size(chance.randint(1, 5), chance.randint(1, 4)) for _ in range(chance.randint(2, 3))}
    kinds = sorted({Size(min(kind), max(kind)) for kind in kinds} if turn else kinds)
    counts = [chance.randint(1, 2) for _ in kinds]
    values = [chance.choice((0, 1, kind.area, kind.area, 2 * kind.area)) for kind in kinds]
    have = {size: chance.randint(1, 2) for size in stock}
    return kinds, counts, values, stock, have, turn


@pytest.mark.parametrize("engine", [interpreted, compiled])
def test_random_small_boards_against_trying_everything(engine):
    met = {Verdict.YES: 0, Verdict.NO: 0}
    for seed in range(300):
        kinds, counts, values, stock, have, turn = drawn(seed)
        pricer, inequality = priced(engine(), kinds, stock, values, turn=turn)
        demand = dict(zip(kinds, counts, strict=True))
        decided = decide(pricer, inequality, demand, have, room=3000, stop=Stop(60.0))
        if decided.verdict is Verdict.UNKNOWN:
            continue
        sheets = [size for size, count in have.items() for _ in range(count)]
        assert (decided.verdict is Verdict.YES) == enough(sheets, kinds, counts, turn=turn), seed
        met[decided.verdict] += 1
        if decided.verdict is Verdict.YES:
            cut = dict.fromkeys(kinds, 0)
            for size, part in decided.sheets:
                assert legal(part, size, None)
                for item, count in contents(part).items():
                    cut[Size(min(item), max(item)) if turn else item] += count
            assert all(cut[kind] >= count for kind, count in demand.items()), seed
            assert all([s for s, _ in decided.sheets].count(size) <= count for size, count in have.items()), seed
    assert min(met.values()) > 50, met


@pytest.mark.parametrize("engine", [interpreted, compiled])
def test_a_sheet_holds_no_more_beside_a_box_than_is_written(engine):
    """Sets are left out that are worth too little with it, so less than it can hold would prove what is not so."""
    exact = []
    for seed in range(30):
        kinds, _, values, stock, _, turn = drawn(seed)
        sheet = Size(max(size.w for size in stock) + 4, max(size.h for size in stock) + 3)
        pricer = Pricer(engine(), kinds, [sheet], turn, None)
        lies = pricer.lies[sheet]
        right, top = pricer.place(lies)
        nx, ny = len(pricer.xs), len(pricer.ys)
        most, value = pricer.engine.zeros(nx * ny), pricer.engine.ints(pricer.table(values).value)
        xs, ys, fx, fy = pricer.grid
        line = pricer.engine.zeros(2 * ny)
        pricer.engine.outside(nx, ny, fx, fy, right, top, value, 0, most, line)
        beside = held_beside(lies, kinds, values, turn=turn)
        for i, j in product(range(1, right + 1), range(1, top + 1)):
            assert most[i * ny + j] >= beside(xs[i], ys[j]), seed
            exact.append(most[i * ny + j] == beside(xs[i], ys[j]))
    assert exact.count(True) > 0.9 * len(exact)


def test_what_is_too_much_to_list_is_not_decided(monkeypatch):
    """Of a list that is cut short nothing is proven; a set that is missing may be the one that goes together."""
    decided = []
    for seed in range(60):
        kinds, counts, values, stock, have, turn = drawn(seed)
        pricer, inequality = priced(compiled(), kinds, stock, values, turn=turn)
        demand = dict(zip(kinds, counts, strict=True))
        monkeypatch.undo()
        whole = decide(pricer, inequality, demand, have, room=100_000, stop=Stop(60))
        monkeypatch.setattr(set_listing, "SETS", 1)
        short = decide(pricer, inequality, demand, have, room=100_000, stop=Stop(60))
        assert short.verdict in (whole.verdict, Verdict.UNKNOWN), seed
        decided.append((whole.verdict, short.verdict))
    assert (Verdict.YES, Verdict.UNKNOWN) in decided


def test_the_best_sets_are_those_of_the_highest_value_and_no_two_the_same():
    compared = 0
    for seed in range(60):
        kinds, counts, values, stock, _, turn = drawn(seed)
        pricer, inequality = priced(compiled(), kinds, stock, values, turn=turn)
        wanted = {kind: count for kind, count in zip(kinds, counts, strict=True) if inequality.values[kind]}
        for size in stock if wanted else ():
            listing = set_listing.SetListing.of(pricer, wanted, inequality.values, 1000)
            every = listing.sets(size, 1, Stop(60))
            best = listing.sets(size, 1, Stop(60), best=2)
            assert [one.value for one in best] == sorted((one.value for one in every), reverse=True)[:2], seed
            assert len({tuple(sorted(one.counts.items())) for one in best}) == len(best)
            compared += len(every) > 2
    assert compared


def held_beside(sheet, kinds, values, *, turn):
    """Return what gives the most value that can be cut beside a box in a corner of a sheet, by trying."""

    @cache
    def held(w, h):
        return most_value(Size(w, h), kinds, values, turn=turn)

    @cache
    def beside(w, h):
        wider = [held(more - w, h) + beside(more, h) for more in range(w + 1, sheet.w + 1)]
        higher = [held(w, more - h) + beside(w, more) for more in range(h + 1, sheet.h + 1)]
        return max(wider + higher, default=0)

    return beside


@pytest.mark.parametrize("room", [1, 4])
def test_what_does_not_fit_in_the_room_stays_unknown(room):
    kinds = [Size(1, 1), Size(1, 2), Size(2, 3)]
    pricer, inequality = priced(interpreted(), kinds, [Size(8, 7)], [1, 2, 6], turn=False)
    demand = dict.fromkeys(kinds, 2)
    assert decide(pricer, inequality, demand, {Size(8, 7): 1}, room=room, stop=Stop(60.0)).verdict is Verdict.UNKNOWN


def test_no_time_is_no_verdict():
    kinds = [Size(2, 3)]
    pricer, inequality = priced(interpreted(), kinds, [Size(8, 7)], [6], turn=False)
    decided = decide(pricer, inequality, {kinds[0]: 2}, {Size(8, 7): 1}, room=100, stop=Stop(0.0))
    assert decided.verdict is Verdict.UNKNOWN


def test_a_rule_that_refutes_needs_no_list():
    kinds = [Size(5, 5)]
    pricer, inequality = priced(interpreted(), kinds, [Size(8, 7)], [25], turn=False)
    decided = decide(pricer, inequality, {kinds[0]: 2}, {Size(8, 7): 1}, room=0, stop=Stop(60.0))
    assert decided.verdict is Verdict.NO


@pytest.mark.parametrize("word", range(3))
def test_sets_that_differ_in_any_bit_are_kept_apart(word):
    slots = set()
    for bit in range(62):
        items = [0, 0, 0]
        items[word] = 1 << bit
        slots.add(slot_of(*items, 1 << 18))
    assert len(slots) > 50

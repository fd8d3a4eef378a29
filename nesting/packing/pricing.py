"""Pricing: the pattern of most value on each sheet, by the guillotine recursion; `board_lp` makes inequalities of it.

Give every item a value of 0 or more, such as its dual value. If V(s) is the most value that one sheet of stock s
can hold, then every solution satisfies, board by board,

    sum over stock of V(s) x sheets used  >=  sum over items of value x items wanted.

Values and V are whole numbers and V is found exactly, so each such `ValidInequality` holds without rounding. V ignores
how many items there are, which can only raise it, except of the kinds that are *rationed*: no pattern has more of those
than there are. Values worth trying come from the linear programmes (`board_lp`, `joint_lp`).

References
----------
Gilmore & Gomory (1965), Oper. Res. 13; Beasley (1985), J. Oper. Res. Soc. 36; Herz (1972), IBM J. Res. Dev. 16.
Rationing only what needs it: Righini & Salani (2008), Networks 51 (decremental state space relaxation). Fewer sums
beyond the half: the raster points of Terno, Lindemann & Scheithauer (1987).
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.model.cut_tree import Way
from nesting.packing.engine import Engine, Ints
from nesting.packing.pattern import GrownSize, Part, Split, freed, halves, longest_possible, mirrored

__all__ = ["Pricer", "Table", "ValidInequality"]


@dataclass(frozen=True, slots=True)
class ValidInequality:
    """A valid inequality of one board: the stock used is worth at least the values of the items cut.

    `values` go by kind of item, `worth` by size of stock, all whole numbers.
    """

    board: int
    values: Mapping[GrownSize, int]
    worth: Mapping[GrownSize, int]

    def slack(self, demand: Mapping[GrownSize, int], stock: Mapping[GrownSize, int]) -> int:
        """Return what these sheets, by size, are worth beyond the values of these items, by kind.

        If that is less than nothing, the inequality is violated: the items cannot all be cut from the sheets.
        """
        have = sum(self.worth[size] * count for size, count in stock.items())
        return have - sum(self.values[kind] * count for kind, count in demand.items())


class Pricer:
    """The recursion for one board; its grid is made once for all values.

    Parameters
    ----------
    engine : Engine
        Which kernels to run.
    kinds : Sequence of GrownSize
        Kinds of item.
    stock : Sequence of GrownSize
        Sizes of stock.
    turn : bool
        Whether items may be turned.
    longest : int or None
        The longest straight cut, grown by the kerf.
    """

    def __init__(
        self, engine: Engine, kinds: Sequence[GrownSize], stock: Sequence[GrownSize], turn: bool, longest: int | None
    ) -> None:
        self.kinds = tuple(kinds)
        self.stock = tuple(dict.fromkeys(stock))
        self.engine = engine
        self.turn = turn
        self.longest = longest_possible(longest, self.stock)
        self._codes = [(t, s) for t, s in enumerate(self.kinds)]
        if turn:
            self._codes += [(t, s.turned) for t, s in enumerate(self.kinds) if s.w != s.h]
        # stock that may lie either way round is laid with its longer side across, which keeps the grid small
        self.lies = {s: GrownSize(max(s), min(s)) if turn else s for s in self.stock}
        wide = max(s.w for s in self.lies.values())
        high = max(s.h for s in self.lies.values())
        # where parts may be turned, the points up begin like those across
        across = {side for s in self.lies.values() for side in (s if turn else (s.w,))}
        up = across if turn else {s.h for s in self.lies.values()}
        # with fewer points a part counts as higher than it must be, and a cut through it may be refused as too long,
        # which would bound too low: where a cut may be too long, every sum is a point
        is_free = self.longest >= max(wide, high)
        self.xs, self.ys = (
            [at for at in (_reachable(sides, whole) if is_free else _sums(sides, most)) if at <= most]
            for sides, whole, most in (
                ({s.w for _, s in self._codes}, across, wide),
                ({s.h for _, s in self._codes}, up, high),
            )
        )
        self._steps = len(self.xs) * len(self.ys) * (len(self.xs) + len(self.ys)) // 2
        self._grid: tuple[Ints, ...] | None = None
        self.rations: dict[int, int] = {}
        self._unit: dict[int, int] = {}
        self.states = 1
        self._begin: Ints = []
        self._portion: Ints = []
        self._divide()

    @property
    def work(self) -> int:
        """How many steps the recursion takes."""
        return self._steps * len(self._portion)

    def work_with(self, count: int) -> int:
        """How many steps it would take with one more kind rationed to `count`."""
        return self.work * (count + 1) * (count + 2) // 2

    def ration(self, kind: int, count: int) -> None:
        """Allow no pattern more than `count` of the kind at this place."""
        self.rations[kind] = count
        self._divide()

    def _divide(self) -> None:
        """Give the states their numbers: mixed-radix numbers, a digit for each rationed kind."""
        unit = 1
        of: list[list[int]] = [[0]]
        for kind, count in self.rations.items():
            self._unit[kind] = unit
            of = [
                [p + low * unit for low in range(digit + 1) for p in parts]
                for digit in range(count + 1)
                for parts in of
            ]
            unit *= count + 1
        begin = [0]
        for parts in of:
            begin.append(begin[-1] + len(parts))
        self.states = unit
        self._begin = self.engine.ints(begin)
        self._portion = self.engine.ints([p for parts in of for p in parts])

    @property
    def grid(self) -> tuple[Ints, ...]:
        """The points across and up, and what is left beyond cuts at them, as `value_table` has them."""
        if self._grid is None:
            xs, ys = self.engine.ints(self.xs), self.engine.ints(self.ys)
            self._grid = (xs, ys, self._rests(xs), self._rests(ys))
        return self._grid

    def _rests(self, points: Ints) -> Ints:
        found = self.engine.zeros(len(points) ** 2)
        self.engine.rests(points, found)
        return found

    def table(self, values: Sequence[int], *, wide: bool = False) -> "Table":
        """Return the most value that every size holds, for `values` (whole, 0 or more) of `kinds` in order.

        Arrays are of 32 bits where that is enough, and not `wide`.
        """
        xs, ys, fx, fy = self.grid
        nx, ny, states = len(self.xs), len(self.ys), self.states
        engine = self.engine
        zeros = engine.halves if not wide and self._is_small(values) else engine.zeros
        value = zeros(nx * ny * states)
        for t, size in self._codes:
            if size.w > self.xs[-1] or size.h > self.ys[-1] or values[t] == 0:
                continue
            i, j = bisect_left(self.xs, size.w), bisect_left(self.ys, size.h)
            for state in range(states):
                if self.has(state, t):
                    here = (state * nx + i) * ny + j
                    value[here] = max(value[here], values[t])
        begin, portion = self._begin, self._portion
        line, rises = zeros(ny), engine.zeros(states * (ny + 2))
        engine.value_table(xs, ys, nx, ny, fx, fy, self.longest, self.turn, states, begin, portion, value, line, rises)
        return Table(self, values, value)

    def first_cut(self, value: Ints, i: int, j: int, state: int) -> tuple[Way, int, int]:
        """Find the first cut of a part in a table of values, and the state of its first part."""
        xs, ys, fx, fy = self.grid
        nx, ny, begin, portion = len(self.xs), len(self.ys), self._begin, self._portion
        found = self.engine.zeros(2)
        way = self.engine.first_cut(xs, ys, nx, ny, fx, fy, self.longest, begin, portion, value, i, j, state, found)
        at, first = found
        return (Way.UPRIGHT, self.xs[at], first) if way == 1 else (Way.LEVEL, self.ys[at], first)

    def _is_small(self, values: Sequence[int]) -> bool:
        """Whether 32 bits are enough for all values of the table, by the area of the whole grid."""
        area = self.xs[-1] * self.ys[-1]
        return all(value * area < kind.area << 31 for value, kind in zip(values, self.kinds, strict=True))

    def has(self, state: int, kind: int) -> bool:
        """Whether a state has one of the kind left."""
        return kind not in self.rations or state // self._unit[kind] % (self.rations[kind] + 1) > 0

    def by_value(self, values: Sequence[int]) -> dict[int, list[tuple[int, GrownSize]]]:
        """Return the items, by their kind and as they lie, for each value that one of them has."""
        found: dict[int, list[tuple[int, GrownSize]]] = {}
        for t, size in self._codes:
            found.setdefault(values[t], []).append((t, size))
        return found

    def place(self, size: GrownSize) -> tuple[int, int]:
        """Return where in the grid a part of this size, as it lies, is looked up."""
        return _floor(self.xs, size.w), _floor(self.ys, size.h)


class Table:
    """The most value for every size of the grid and every state of the rations.

    Parameters
    ----------
    pricer : Pricer
        Whose grid it is.
    values : sequence of int
        Of its kinds.
    value : sequence of int
        State by state, column by column of the grid.
    """

    def __init__(self, pricer: Pricer, values: Sequence[int], value: Ints) -> None:
        self.pricer = pricer
        self.value = value
        self._single = pricer.by_value(values)
        self._made: dict[tuple[GrownSize, int], Part] = {}

    def worth(self, stock: GrownSize) -> int:
        """Return the most value that one sheet of `stock` can hold."""
        return self._at(*self.pricer.place(self.pricer.lies[stock]), self.pricer.states - 1)

    def pattern(self, stock: GrownSize) -> Part:
        """Return a pattern of that value; a cut of it may be longer than the longest one, see `pattern.legal`."""
        lies = self.pricer.lies[stock]
        part = self._part(lies, self.pricer.states - 1)
        return part if lies == stock else mirrored(part)

    def _at(self, i: int, j: int, state: int) -> int:
        return int(self.value[(state * len(self.pricer.xs) + i) * len(self.pricer.ys) + j])

    def _part(self, space: GrownSize, state: int) -> Part:
        """Return the pattern of a space; many parts of one are alike, and each is made once."""
        if (space, state) not in self._made:
            self._made[space, state] = self._divided(space, state)
        return self._made[space, state]

    def _divided(self, space: GrownSize, state: int) -> Part:
        i, j = self.pricer.place(space)
        worth = self._at(i, j, state)
        if worth == 0:
            return None
        for kind, item in self._single.get(worth, ()):
            if item.w <= space.w and item.h <= space.h and self.pricer.has(state, kind):
                return freed(item, space, self.pricer.longest)
        way, at, portion = self.pricer.first_cut(self.value, i, j, state)
        near, far = halves(way, at, space)
        return Split(way, at, self._part(near, portion), self._part(far, state - portion))


def _sums(sides: set[int], most: int) -> list[int]:
    """All sums of sides up to `most`, from 0."""
    found = {0}
    todo = [0]
    while todo:
        at = todo.pop()
        for side in sides:
            if at + side <= most and at + side not in found:
                found.add(at + side)
                todo.append(at + side)
    return sorted(found)


def _reachable(items: set[int], stock: set[int]) -> list[int]:
    """Return the sums of item sides that parts of the stock have when each cut is at a sum, rounded down to sums.

    Each cut may be made in the nearer half of its part. So every sum up to half of the longest stock is needed, and
    beyond that only what a cut at such a sum leaves of some stock, rounded down.
    """
    longest = max(stock)
    sums = _sums(items, longest)
    half = bisect_right(sums, longest // 2)
    left = {sums[_floor(sums, side - near)] for side in stock for near in sums if 2 * near <= side}
    return sorted({*sums[:half], *left})


def _floor(points: Sequence[int], length: int) -> int:
    return bisect_right(points, length) - 1

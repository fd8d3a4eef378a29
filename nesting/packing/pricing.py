"""What parts are worth at most: the guillotine recursion, patterns of most value, and the cuts they prove.

Give every item a value of nothing or more. If V(s) is the most value that one sheet of stock s can hold, then any
cutting obeys, board by board,

    sum over stock of V(s) x sheets used  >=  sum over items of value x items wanted,

whatever the values are. Values and V are whole numbers and V is found exactly (items without limit, which can only
raise it), so each such `Bound` holds without rounding. Values worth trying come from linear programmes (`relax`).

References
----------
Gilmore & Gomory (1965), Oper. Res. 13; Beasley (1985), J. Oper. Res. Soc. 36; Herz (1972), IBM J. Res. Dev. 16.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.geometry import Size
from nesting.packing.engine import Engine, Ints
from nesting.packing.pattern import Part, Split
from nesting.packing.tree import Way

__all__ = ["Bound", "Pricer", "Table"]


@dataclass(frozen=True, slots=True)
class Bound:
    """A proven rule of one board: the `worth` of the stock used covers the `values` of the items cut.

    Sizes are grown by the kerf; `values` go by kind of item, `worth` by size of stock, all whole numbers.
    """

    board: int
    values: Mapping[Size, int]
    worth: Mapping[Size, int]


class Pricer:
    """The recursion for one board, its grid made once for all values.

    Parameters
    ----------
    engine : Engine
        Which kernels to run.
    kinds : Sequence of Size
        Kinds of item, grown by the kerf.
    stock : Sequence of Size
        Sizes of stock, grown by the kerf.
    turn : bool
        Whether items may be turned.
    longest : int or None
        The longest straight cut, grown by the kerf.
    """

    def __init__(
        self, engine: Engine, kinds: Sequence[Size], stock: Sequence[Size], turn: bool, longest: int | None
    ) -> None:
        self.kinds = tuple(kinds)
        self.stock = tuple(dict.fromkeys(stock))
        self._engine = engine
        self._turn = turn
        self._longest = 10**12 if longest is None else longest
        self._codes = [(t, s) for t, s in enumerate(self.kinds)]
        if turn:
            self._codes += [(t, s.turned) for t, s in enumerate(self.kinds) if s.w != s.h]
        # stock that may lie either way round is laid with its shorter side across, which keeps the grid small
        self._lies = {s: Size(min(s), max(s)) if turn else s for s in self.stock}
        wide = max(s.w for s in self._lies.values())
        high = max(s.h for s in self._lies.values())
        self._xs = _sums({s.w for _, s in self._codes}, wide)
        self._ys = _sums({s.h for _, s in self._codes}, high)
        self.work = len(self._xs) * len(self._ys) * (len(self._xs) + len(self._ys)) // 2
        self._grid: tuple[Ints, ...] | None = None

    def _prepare(self) -> tuple[Ints, ...]:
        if self._grid is None:
            ints = self._engine.ints
            self._grid = (ints(self._xs), ints(self._ys), ints(_rests(self._xs)), ints(_rests(self._ys)))
        return self._grid

    def table(self, values: Sequence[int]) -> "Table":
        """Return the most value that every size holds, for `values` (whole, nothing or more) of `kinds` in order."""
        xs, ys, fx, fy = self._prepare()
        nx, ny = len(self._xs), len(self._ys)
        value = [0] * (nx * ny)
        how = [0] * (nx * ny)
        for code, (t, size) in enumerate(self._codes):
            if size.w > self._xs[-1] or size.h > self._ys[-1]:
                continue
            place = _floor(self._xs, size.w) * ny + _floor(self._ys, size.h)
            if values[t] > value[place]:
                value[place] = values[t]
                how[place] = 3 * code + 1
        best, made = self._engine.ints(value), self._engine.ints(how)
        self._engine.value_table(xs, ys, nx, ny, fx, fy, self._longest, best, made)
        return Table(self, best, made)

    def place(self, size: Size) -> tuple[int, int]:
        """Return where in the grid a part of this size, as it lies, is looked up."""
        return _floor(self._xs, size.w), _floor(self._ys, size.h)

    def bound(self, board: int, values: Sequence[int], table: "Table") -> Bound:
        """Return the rule that a table proves."""
        worth = {s: table.worth(s) for s in self.stock}
        return Bound(board, dict(zip(self.kinds, values, strict=True)), worth)


@dataclass(frozen=True, slots=True)
class Table:
    """The most value for every size of the grid, and how to reach it."""

    pricer: Pricer
    value: Ints
    how: Ints

    def worth(self, stock: Size) -> int:
        """Return the most value that one sheet of `stock` can hold."""
        i, j = self.pricer.place(self.pricer._lies[stock])
        return int(self.value[i * len(self.pricer._ys) + j])

    def pattern(self, stock: Size) -> Part:
        """Return a pattern of that value; where cuts have a longest length it may break it, see `pattern.legal`."""
        lies = self.pricer._lies[stock]
        part = self._part(*self.pricer.place(lies), lies)
        return part if lies == stock else _mirrored(part)

    def _part(self, i: int, j: int, space: Size) -> Part:
        p = self.pricer
        code = int(self.how[i * len(p._ys) + j])
        if code == 0:
            return None
        kind, k = (code - 1) % 3, (code - 1) // 3
        if kind == 0:
            return _corner(p._codes[k][1], space)
        if kind == 1:
            at = p._xs[k]
            rest = Size(space.w - at, space.h)
            return Split(Way.UPRIGHT, at, self._part(k, j, Size(at, space.h)), self._part(p.place(rest)[0], j, rest))
        at = p._ys[k]
        rest = Size(space.w, space.h - at)
        return Split(Way.LEVEL, at, self._part(i, k, Size(space.w, at)), self._part(i, p.place(rest)[1], rest))


def _corner(size: Size, space: Size) -> Part:
    part: Part = size if size.h == space.h else Split(Way.LEVEL, size.h, size, None)
    return part if size.w == space.w else Split(Way.UPRIGHT, size.w, part, None)


def _mirrored(part: Part) -> Part:
    """The pattern of the sheet laid the other way round."""
    match part:
        case Split(way=way, at=at, first=first, rest=rest):
            other = Way.LEVEL if way is Way.UPRIGHT else Way.UPRIGHT
            return Split(other, at, _mirrored(first), _mirrored(rest))
        case Size():
            return part.turned
        case None:
            return None


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


def _floor(points: Sequence[int], length: int) -> int:
    return bisect_right(points, length) - 1


def _rests(points: Sequence[int]) -> list[int]:
    """For points i and k, the place of what is left of point i beyond a cut at point k; 0 where k is not below i."""
    n = len(points)
    rests = [0] * (n * n)
    for i in range(n):
        at = i
        for k in range(1, i):
            while points[at] > points[i] - points[k]:
                at -= 1
            rests[i * n + k] = at
    return rests

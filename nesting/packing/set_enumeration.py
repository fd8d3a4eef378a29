"""Whether all items of a board can be cut from given sheets, decided exactly by bounded enumeration.

A valid inequality of the board says what the sheets are worth and what the items need; the difference is its slack. A
sheet whose items are worth less than the sheet loses the difference, and all sheets together can lose no more than the
slack. So only the sets of items that lose no more than that on one sheet need to be listed, and with a tight inequality
they are few. Then CP-SAT chooses a set for every sheet.

Both answers are exact. Where cuts have a longest length, it is asked only of the boxes that sets come in. That may let
a set through that no legal cuts free, so a *no* still holds; a *yes* is checked.

References
----------
Enumeration of what lies within the gap: Baldacci, Christofides & Mingozzi (2008), Math. Program. 115. Boxes made of
boxes: Wang (1983), Oper. Res. 31, bounded by the most that can lie beside them: Viswanathan & Bagchi (1993), Oper. Res.
41.
"""

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from typing import Any

from ortools.linear_solver import pywraplp

from nesting.model.cut_tree import Way
from nesting.packing.engine import Ints
from nesting.packing.interrupts import LeaveAlone, solve_interruptibly
from nesting.packing.pattern import GrownSize, Part, filled, freed, gaps, legal, mirrored, parted
from nesting.packing.pricing import Pricer, ValidInequality
from nesting.packing.ruin_recreate import RuinRecreate, Stock
from nesting.packing.stop import Stop

__all__ = ["Decision", "Verdict", "decide"]

BITS = 62
"""How many bits of each of the numbers that make a set are used."""

SECONDS = 2.0
"""The time limit for choosing a set for every sheet."""

SETS = 10_000
"""How many sets of one size of sheet there may be to choose from."""

LISTS = 32
"""How many classes of width and of height boxes are sorted into, to find those that fit beside another."""

Items = tuple[int, int, int]
"""A set of items; `set_enumeration_kernels` says how it is written."""


class Verdict(StrEnum):
    """Whether given sheets can give all items."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Decision:
    """A verdict, and where it is yes a pattern for every sheet in use, with its size."""

    verdict: Verdict
    sheets: tuple[tuple[GrownSize, Part], ...] = ()


def decide(
    pricer: Pricer,
    inequality: ValidInequality,
    demand: Mapping[GrownSize, int],
    have: Mapping[GrownSize, int],
    *,
    room: int,
    stop: Stop,
) -> Decision:
    """Decide whether all items can be cut from given sheets.

    Parameters
    ----------
    pricer : Pricer
        The recursion of the board, on its kinds and stock.
    inequality : ValidInequality
        A valid inequality of the board; the tighter it is, the fewer sets there are to list.
    demand : Mapping of GrownSize to int
        Items wanted by kind.
    have : Mapping of GrownSize to int
        Sheets by size, of the pricer's stock.
    room : int
        How many boxes may be listed for a size of sheet.
    stop : Stop
        Leaves it undecided when time is up.

    Returns
    -------
    Decision
        The verdict is unknown where there are too many sets, or no time.
    """
    wanted = {kind: count for kind, count in demand.items() if count > 0}
    slack = inequality.slack(wanted, have)
    if slack < 0:
        return Decision(Verdict.NO)
    sizes = sorted((size for size, count in have.items() if count > 0), key=lambda size: -size.area)
    worthless = sorted((kind for kind in wanted if inequality.values[kind] == 0), key=lambda kind: kind.area)
    for drop in sorted({min(2**k - 1, len(worthless)) for k in range(8)}):  # items of no value make many sets
        core = {kind: count for kind, count in wanted.items() if kind not in worthless[:drop]}
        if not core:
            break
        layout = _Layout.of(core, max(size.area for size in pricer.stock))
        if layout is None:
            continue
        listing = _Listing(pricer, layout, {kind: inequality.values[kind] for kind in core}, room)
        choices = {}
        for size in sizes:
            listed = None if stop() else listing.of(size, inequality.worth[size] - slack, stop)
            if listed is None:
                break
            choices[size] = listed
        else:
            decided = _choose(choices, core, have, pricer.longest, min(SECONDS, stop.left()))
            if decided.verdict is Verdict.YES and drop:
                rest = {kind: wanted[kind] for kind in worthless[:drop]}
                return _completed(decided, rest, have, pricer)
            return decided
    return Decision(Verdict.UNKNOWN)


def _completed(
    decided: Decision, rest: Mapping[GrownSize, int], have: Mapping[GrownSize, int], pricer: Pricer
) -> Decision:
    """Search for room for the other items, in the gaps of the patterns and on sheets that are not in use."""
    space = Counter(have)
    space.subtract(size for size, _ in decided.sheets)
    stock = Counter({size: count for size, count in space.items() if count > 0})
    for size, part in decided.sheets:
        stock.update(gaps(part, size))
    least = min(min(kind) for kind in rest)
    usable = [
        Stock(size, 0, count) for size, count in sorted(stock.items(), key=lambda s: s[0].area) if min(size) >= least
    ]
    search = RuinRecreate(pricer.engine, rest, usable, turn=pricer.turn, longest=pricer.longest, seed=1)
    for _ in range(40):
        if search.complete:
            break
        search.improve(200)
    if not search.complete:
        return Decision(Verdict.UNKNOWN)
    found: dict[GrownSize, list[Part]] = {}
    for number, part in search.sheets():
        found.setdefault(search.stock[number].size, []).append(part)
    sheets = [
        (size, filled(part, size, lambda gap: found[gap].pop() if found.get(gap) else None))
        for size, part in decided.sheets
    ]
    sheets += [(size, part) for size, parts in found.items() for part in parts]
    return Decision(Verdict.YES, tuple(sheets))


@dataclass(frozen=True, slots=True)
class _Field:
    """Where a set keeps its count of a kind: which number, how far up, which bits; `most` is the highest count."""

    word: int
    shift: int
    bits: int
    most: int

    def count(self, items: Items) -> int:
        return items[self.word] >> self.shift & self.bits

    def with_one_more(self, items: Items) -> Items:
        one = list(items)
        one[self.word] += 1 << self.shift
        return one[0], one[1], one[2]


@dataclass(frozen=True, slots=True)
class _Layout:
    """The fields of all kinds, and the guard bits: adding `bias` to the third number sets one at too high a count."""

    fields: Mapping[GrownSize, _Field]
    bias: int
    guards: int

    @classmethod
    def of(cls, demand: Mapping[GrownSize, int], area: int) -> "_Layout | None":
        """Return a field for every kind, or None if the bits are too few; no sheet has more than `area`."""
        fields = {}
        used = [0, 0, 0]
        bias = guards = 0
        for kind, count in demand.items():
            most = min(count, max(1, area // kind.area))
            wide = 1 if most == 1 else most.bit_length() + 1
            word = 2 if most > 1 else 0 if used[0] < BITS else 1
            if used[word] + wide > BITS:
                return None
            fields[kind] = _Field(word, used[word], (1 << max(1, wide - 1)) - 1, most)
            if most > 1:
                guards |= 1 << (used[2] + wide - 1)
                bias += ((1 << (wide - 1)) - 1 - most) << used[2]
            used[word] += wide
        return cls(fields, bias, guards)

    def counts(self, items: Items) -> dict[GrownSize, int]:
        return {kind: n for kind, field in self.fields.items() if (n := field.count(items))}


@dataclass(frozen=True, slots=True)
class _Set:
    """A set of items as counts by kind, and how to make its pattern on the sheet that it was listed for."""

    counts: Mapping[GrownSize, int]
    pattern: Callable[[], Part]


class _Listing:
    """Lists the sets of items that a sheet can hold and that have at least a given value, by the inequality."""

    def __init__(self, pricer: Pricer, layout: _Layout, values: Mapping[GrownSize, int], room: int) -> None:
        self.pricer, self.layout, self.room = pricer, layout, room
        engine = pricer.engine
        self._most: Ints = pricer.table([values.get(kind, 0) for kind in pricer.kinds], wide=True).value
        self._singles = [
            (size, values[kind], kind)
            for kind in values
            for size in ((kind, kind.turned) if pricer.turn and kind.w != kind.h else (kind,))
        ]
        dense = sorted(values, key=lambda kind: (-values[kind] / kind.area, kind))
        rows = [(values[k], k.area, f.most, f.word, f.shift, f.bits) for k in dense for f in [layout.fields[k]]]
        self._kinds: Ints = engine.ints([number for row in rows for number in row])
        self._count = len(rows)
        # every list is written in the same place, because making so much room takes as long as many a list
        self._sets, self._boxes = engine.zeros(3 * room), engine.zeros(8 * room)
        self._slots = engine.zeros(1 << (2 * room).bit_length())

    def of(self, size: GrownSize, least: int, stop: Stop) -> list[_Set] | None:
        """List the sets on a sheet of this size that are worth at least `least`, but none that is part of another.

        None if there are too many for the room or the time.
        """
        pricer, room = self.pricer, self.room
        engine = pricer.engine
        xs, ys, fx, fy = pricer.grid
        nx, ny = len(pricer.xs), len(pricer.ys)
        lies = pricer.lies[size]
        right, top = pricer.place(lies)
        most = engine.zeros(nx * ny)
        begin = (pricer.states - 1) * nx * ny
        engine.outside(nx, ny, fx, fy, right, top, self._most, begin, most)
        sets, boxes, slots = self._sets, self._boxes, self._slots
        singles = 0
        for item, value, kind in self._singles:
            if singles == room:
                return None
            if item.w <= lies.w and item.h <= lies.h:
                sets[3 * singles : 3 * singles + 3] = engine.ints(self.layout.fields[kind].with_one_more((0, 0, 0)))
                boxes[8 * singles : 8 * singles + 6] = engine.ints([item.w, item.h, value, -1, -1, -1])
                singles += 1
        total = engine.gather(
            singles,
            self._kinds,
            self._count,
            self.layout.bias,
            self.layout.guards,
            lies.w,
            lies.h,
            pricer.longest,
            xs,
            nx,
            ys,
            ny,
            most,
            least,
            room,
            sets,
            boxes,
            slots,
            len(slots),
            engine.zeros(2 * LISTS),
            LISTS,
            stop.allow(engine.steps, engine.pace),
        )
        if total < 0:
            return None
        found = engine.zeros(total)
        count = engine.largest_sets(
            total, self._kinds, self._count, least, lies.w, lies.h, sets, boxes, slots, len(slots), found
        )
        if count > SETS:
            return None
        boxes = boxes[: 8 * total]
        listed: dict[Items, _Set] = {}
        for box in found[:count]:
            items = sets[3 * box], sets[3 * box + 1], sets[3 * box + 2]
            if items not in listed:
                listed[items] = _Set(self.layout.counts(items), partial(self._pattern, size, boxes, box))
        return list(listed.values())

    def _pattern(self, size: GrownSize, boxes: Ints, box: int) -> Part:
        lies = self.pricer.lies[size]
        part = _boxed(boxes, box, lies, self.pricer.longest)
        return part if lies == size else mirrored(part)


def _boxed(boxes: Ints, box: int, space: GrownSize, longest: int) -> Part:
    """Divide a space by the cuts that free a box; what is beyond the box goes to its outer parts."""
    w, h, _, first, second = boxes[8 * box : 8 * box + 5]
    if first < 0:
        return freed(GrownSize(w, h), space, longest)
    near = GrownSize(boxes[8 * first], boxes[8 * first + 1])
    way = Way.UPRIGHT if w > max(near.w, boxes[8 * second]) else Way.LEVEL
    return parted(
        way,
        near,
        GrownSize(w, h),
        space,
        longest,
        first=lambda inner: _boxed(boxes, first, inner, longest),
        second=lambda outer: _boxed(boxes, second, outer, longest),
    )


def _choose(
    choices: Mapping[GrownSize, list[_Set]],
    demand: Mapping[GrownSize, int],
    have: Mapping[GrownSize, int],
    longest: int,
    seconds: float,
) -> Decision:
    """Choose a set for each sheet so that every item is cut, by CP-SAT: exact either way."""
    model = pywraplp.Solver.CreateSolver("SAT")
    model.SetNumThreads(1)
    model.SetSolverSpecificParametersAsString(f"linearization_level: 2 {LeaveAlone.CP_SAT}")
    chosen = []
    cover: dict[GrownSize, list[tuple[int, Any]]] = {kind: [] for kind in demand}
    for size, sets in choices.items():
        total = []
        for one in sets:
            times = model.IntVar(0, have[size], "")
            chosen.append((size, one, times))
            total.append(times)
            for kind, many in one.counts.items():
                cover[kind].append((many, times))
        model.Add(sum(total) <= have[size])
    for kind, count in demand.items():
        if not cover[kind]:
            return Decision(Verdict.NO)
        model.Add(sum(many * times for many, times in cover[kind]) >= count)
    model.SetTimeLimit(max(1, int(1000 * seconds)))
    status = solve_interruptibly(model)
    if status == pywraplp.Solver.INFEASIBLE:
        return Decision(Verdict.NO)
    if status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return Decision(Verdict.UNKNOWN)
    sheets = tuple((size, one.pattern()) for size, one, times in chosen for _ in range(round(times.solution_value())))
    if not all(legal(part, size, longest) for size, part in sheets):
        return Decision(Verdict.UNKNOWN)
    return Decision(Verdict.YES, sheets)

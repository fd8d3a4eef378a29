"""Lists the sets of items that one sheet can hold, with no more of any kind than there are, and their patterns.

Only the sets of at least a given value are listed; boxes of items are put beside one another, and a box is given up
where its items and the most that can lie beside it are worth less (`set_enumeration_kernels`). Where cuts have a
longest length, it is asked only of the boxes that sets come in. That may let a set through that no legal cuts free, so
what is not listed cannot be cut, and what is listed is to be checked.

References
----------
Boxes made of boxes: Wang (1983), Oper. Res. 31, bounded by the most that can lie beside them: Viswanathan & Bagchi
(1993), Oper. Res. 41.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import partial

from nesting.model.cut_tree import Way
from nesting.packing.engine import Ints
from nesting.packing.pattern import GrownSize, Part, freed, mirrored, parted
from nesting.packing.pricing import Pricer
from nesting.packing.stop import Stop

__all__ = ["ListedSet", "SetListing"]

BITS = 62
"""How many bits of each of the numbers that make a set are used."""

SETS = 10_000
"""How many boxes with the sets of one size of sheet there may be, where all of them are wanted."""

LISTS = 32
"""How many classes of width and of height boxes are sorted into, to find those that fit beside another."""

Items = tuple[int, int, int]
"""A set of items; `set_enumeration_kernels` says how it is written."""


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
class ListedSet:
    """A set of items as counts by kind, its value, and how to make its pattern on the sheet that it was listed for."""

    counts: Mapping[GrownSize, int]
    value: int
    pattern: Callable[[], Part]


class SetListing:
    """The sets of items that sheets of one board can hold, by given values of the items.

    Parameters
    ----------
    pricer : Pricer
        The recursion of the board, on its kinds and stock.
    layout : _Layout
        How a set is written; `of` makes it.
    values : Mapping of GrownSize to int
        Of the kinds, whole and positive.
    room : int
        How many boxes may be listed for a sheet.
    """

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
        self._known: dict[GrownSize, Ints] = {}
        # every list is written in the same place, because making so much room takes as long as many a list
        self._sets, self._boxes = engine.zeros(3 * room), engine.zeros(8 * room)
        self._slots = engine.zeros(1 << (2 * room).bit_length())

    @classmethod
    def of(
        cls, pricer: Pricer, demand: Mapping[GrownSize, int], values: Mapping[GrownSize, int], room: int
    ) -> "SetListing | None":
        """Return the listing of what is wanted of each kind, or None if a set cannot be written for so many."""
        layout = _Layout.of(demand, max(size.area for size in pricer.stock))
        return None if layout is None else cls(pricer, layout, {kind: values[kind] for kind in demand}, room)

    @staticmethod
    def can_list(pricer: Pricer, demand: Mapping[GrownSize, int]) -> bool:
        """Return whether a set can be written for so many of each kind."""
        return _Layout.of(demand, max(size.area for size in pricer.stock)) is not None

    def sets(self, size: GrownSize, least: int, stop: Stop, *, best: int | None = None) -> list[ListedSet] | None:
        """List the sets on a sheet of this size that are worth at least `least`, but none that is part of another.

        Parameters
        ----------
        size : GrownSize
            The sheet's.
        least : int
            The least value.
        stop : Stop
            Says how many steps may be taken.
        best : int, optional
            List only so many, those of the highest value.

        Returns
        -------
        list of ListedSet or None
            None if there are too many for the room or the time.
        """
        pricer, room = self.pricer, self.room
        engine = pricer.engine
        xs, ys, _, _ = pricer.grid
        nx, ny = len(pricer.xs), len(pricer.ys)
        lies = pricer.lies[size]
        most = self._beside(size)
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
        if best is None and count > SETS:
            return None
        chosen: Iterable[int] = found[:count]
        if best is not None:
            chosen = sorted(chosen, key=lambda box: (-boxes[8 * box + 2], box))
        boxes = boxes[: 8 * total]
        listed: dict[Items, ListedSet] = {}
        for box in chosen:
            if len(listed) == best:
                break
            items = sets[3 * box], sets[3 * box + 1], sets[3 * box + 2]
            if items not in listed:
                pattern = partial(self._pattern, size, boxes, box)
                listed[items] = ListedSet(self.layout.counts(items), boxes[8 * box + 2], pattern)
        return list(listed.values())

    def _beside(self, size: GrownSize) -> Ints:
        """Return the most value that a sheet of this size holds beside a box, for boxes of every size."""
        if size not in self._known:
            pricer = self.pricer
            _, _, fx, fy = pricer.grid
            nx, ny = len(pricer.xs), len(pricer.ys)
            right, top = pricer.place(pricer.lies[size])
            begin = (pricer.states - 1) * nx * ny
            most = self._known[size] = pricer.engine.zeros(nx * ny)
            line = pricer.engine.zeros(2 * ny)
            pricer.engine.outside(nx, ny, fx, fy, right, top, self._most, begin, most, line)
        return self._known[size]

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

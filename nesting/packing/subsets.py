"""Boards with few items, exactly: every set of items that one sheet can give.

The recursion of `pricing` may use an item twice on one sheet unless its kind is rationed. With few items it is quicker
and stronger to list every set of items that straight cuts can free together. A set fits a sheet if one of its smallest
boxes does. The valid inequalities that this proves are exact unless cuts have a longest length: that is asked of the
boxes only, which may let a set through that no legal cuts free, so an inequality still holds.

References
----------
Wang (1983), Oper. Res. 31: building rectangles from rectangles. Martello, Pisinger & Vigo (2000), Oper. Res. 48: exact
answers for single sheets.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from nesting.model.cut_tree import Way
from nesting.packing.engine import Engine, Ints
from nesting.packing.pattern import GrownSize, Part, freed, longest_possible, parted
from nesting.packing.ruin_recreate import RuinRecreate, Stock
from nesting.packing.subset_kernels import MOST_BOXES, SEGMENT

__all__ = ["Subsets", "list_subsets"]


_STEPS = 200
"""Areas are counted in this many parts of the largest sheet."""

_FITTING = 0.8
"""About this share of the sets that a sheet has area for fit on it; without room for that many, none is listed."""

_SPARE = 100
"""More room than for so many times the sets that a sheet has area for: a few sets may have many boxes."""

_TRIES = 40
"""Rounds of search for a way to cut everything from one sheet."""


def list_subsets(
    engine: Engine,
    demand: Mapping[GrownSize, int],
    stock: Sequence[GrownSize],
    *,
    turn: bool,
    longest: int | None,
    room: int,
) -> "Subsets | None":
    """Return every set of items that fits a sheet of `stock`, or None where there are too many to list.

    Parameters
    ----------
    engine : Engine
        Which kernels to run.
    demand : Mapping of GrownSize to int
        Items by kind.
    stock : Sequence of GrownSize
        Sizes of stock.
    turn : bool
        Whether items may be turned.
    longest : int or None
        The longest straight cut, grown by the kerf.
    room : int
        How many sets may be listed.

    Returns
    -------
    Subsets or None
        All of them or nothing.
    """
    kinds = sorted((kind for kind, count in demand.items() if count), key=lambda kind: -kind.area)
    items = [kind for kind in kinds for _ in range(demand[kind])]
    if len(items) > engine.items:
        return None
    whole = dict(_whole(engine, demand, stock, turn=turn, longest=longest))
    stock = [size for size in stock if size not in whole]
    if not stock:
        return Subsets(engine, items, [], _Listed(0, [], [0], [], [0, 0], 2, []), whole, longest=longest)
    most = max(s.area for s in stock)
    sets = _by_area([(kind.area, demand[kind]) for kind in kinds], most)
    if _FITTING * sets > room:
        return None
    room = min(room, 4 * sets + _SPARE)  # much room for little takes longer to make than to fill
    size = 1 << (4 * room).bit_length()
    spaces = _outermost([way for s in stock for way in ((s, s.turned) if turn else (s,))])
    masks, begin, boxes = engine.zeros(room), engine.zeros(room + 2), engine.zeros(16 * room + 2 * MOST_BOXES)
    slots, alike = engine.zeros(size), engine.ints(_alike(items))
    total = engine.collect(
        engine.ints([s.w for s in items]),
        engine.ints([s.h for s in items]),
        alike,
        engine.zeros(len(items)),
        len(items),
        engine.ints([side for s in spaces for side in s]),
        len(spaces),
        int(turn),
        longest_possible(longest, spaces),
        most,
        room,
        masks,
        begin,
        boxes,
        slots,
        size,
        engine.zeros(6 * SEGMENT),
    )
    if total < 0:
        return None
    return Subsets(
        engine, items, stock, _Listed(total, masks, begin, boxes, slots, size, alike), whole, longest=longest
    )


def _whole(
    engine: Engine, demand: Mapping[GrownSize, int], stock: Sequence[GrownSize], *, turn: bool, longest: int | None
) -> Iterator[tuple[GrownSize, Part]]:
    """Yield the sizes of stock that a search cuts all items from at once, with the pattern."""
    area = sum(kind.area * count for kind, count in demand.items())
    wanted = {kind: count for kind, count in demand.items() if count}
    for size in dict.fromkeys(stock):
        if size.area >= area > 0:
            search = RuinRecreate(engine, wanted, [Stock(size, 1, 1)], turn=turn, longest=longest, seed=0)
            search.improve(_TRIES)
            if search.complete:
                [(_, part)] = search.sheets()
                yield size, part


def _by_area(kinds: Sequence[tuple[int, int]], most: int) -> int:
    """Return about how many sets have an area of at most `most`; `kinds` by area and copies."""
    counts = [1] + [0] * _STEPS
    for area, copies in kinds:
        step = area * _STEPS // most
        before = counts[:]
        for copy in range(1, copies + 1):
            for place in range(copy * step, _STEPS + 1):
                counts[place] += before[place - copy * step]
    return sum(counts)


def _alike(items: Sequence[GrownSize]) -> list[int]:
    """List for each item the set of all items of its size."""
    of_size: dict[GrownSize, int] = {}
    for place, item in enumerate(items):
        of_size[item] = of_size.get(item, 0) | 1 << place
    return [of_size[item] for item in items]


def _outermost(spaces: Sequence[GrownSize]) -> list[GrownSize]:
    """List the spaces that lie in no other."""
    distinct = list(dict.fromkeys(spaces))
    return [s for s in distinct if not any(o != s and o.w >= s.w and o.h >= s.h for o in distinct)]


@dataclass(frozen=True, slots=True)
class _Listed:
    """What the kernels list: `total` sets, their boxes, and the table that finds them."""

    total: int
    masks: Ints
    begin: Ints
    boxes: Ints
    slots: Ints
    size: int
    alike: Ints


class Subsets:
    """Every set of items that fits a sheet, with its smallest boxes; a set is a number with a bit for each item.

    Of the items of one size it has the first ones, so that there is one set for all that look alike. For stock from
    which everything can be cut at once that is the only set.
    """

    def __init__(
        self,
        engine: Engine,
        items: Sequence[GrownSize],
        stock: Sequence[GrownSize],
        listed: _Listed,
        whole: Mapping[GrownSize, Part],
        *,
        longest: int | None,
    ) -> None:
        self.items = tuple(items)
        self.stock = (*dict.fromkeys(stock), *whole)
        self._engine = engine
        self._listed = listed
        self._whole = whole
        self._longest = longest
        self._masks = {size: self._maximal(size) for size in dict.fromkeys(stock)}

    def _maximal(self, stock: GrownSize) -> Ints:
        """List the sets that fit a sheet, but with no further item."""
        listed = self._listed
        found = self._engine.zeros(listed.total)
        count = self._engine.largest(
            stock.w,
            stock.h,
            listed.total,
            len(self.items),
            listed.alike,
            listed.masks,
            listed.begin,
            listed.boxes,
            listed.slots,
            listed.size,
            found,
        )
        return found[:count]

    def _boxes(self, mask: int) -> list[GrownSize]:
        """List the smallest boxes of a set; none if it fits no sheet."""
        listed = self._listed
        place = self._engine.find(mask, listed.slots, listed.size, listed.masks)
        if place < 0:
            return []
        return [self._box(place) for place in range(listed.begin[place], listed.begin[place + 1])]

    def _box(self, place: int) -> GrownSize:
        return GrownSize(*self._listed.boxes[2 * place : 2 * place + 2])

    def dearest(self, stock: GrownSize, values: Mapping[GrownSize, int]) -> tuple[int, int]:
        """Return the most value that the items of one sheet have together, and their set; 0 and 0 for none."""
        if stock in self._whole:
            return sum(values[item] for item in self.items), (1 << len(self.items)) - 1
        worth: Ints = self._engine.ints([values[kind] for kind in self.items])
        masks = self._masks[stock]
        mask = self._engine.dearest(masks, len(masks), worth, len(self.items))
        return sum(values[self.items[i]] for i in self._members(mask)), mask

    def _members(self, mask: int) -> list[int]:
        return [i for i in range(len(self.items)) if mask >> i & 1]

    def pattern(self, stock: GrownSize, mask: int) -> Part:
        """Return a pattern of a set on a sheet that it fits; a cut of it may be too long, see `pattern.legal`."""
        if stock in self._whole:
            return self._whole[stock]
        box = next((box for box in self._boxes(mask) if box.w <= stock.w and box.h <= stock.h), None)
        if box is None:
            raise ValueError(f"the set {mask:b} does not fit {stock}")
        return self._part(mask, box, stock)

    def _part(self, mask: int, box: GrownSize, space: GrownSize) -> Part:
        """Divide a space by the cuts that free a box; what is beyond the box goes to its outer parts."""
        if mask & (mask - 1) == 0:
            return freed(box, space, self._longest)
        way, one, other, near, far = self._parting(mask, box)
        return parted(
            way,
            near,
            box,
            space,
            self._longest,
            first=lambda inner: self._part(one, near, inner),
            second=lambda outer: self._part(other, far, outer),
        )

    def _parting(self, mask: int, box: GrownSize) -> tuple[Way, int, int, GrownSize, GrownSize]:
        """Find two sets, and a box of each, that side by side or one above the other make just this box."""
        listed, found = self._listed, self._engine.zeros(4)
        way = self._engine.parting(
            mask,
            box.w,
            box.h,
            len(self.items),
            listed.alike,
            self._engine.zeros(len(self.items)),
            listed.slots,
            listed.size,
            listed.masks,
            listed.begin,
            listed.boxes,
            found,
        )
        if way == 0:
            raise ValueError(f"no two sets make the box {box} of {mask:b}")
        one, other, near, far = found
        return (Way.UPRIGHT if way == 1 else Way.LEVEL), one, other, self._box(near), self._box(far)

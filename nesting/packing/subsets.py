"""Boards with few items, exactly: every set of items that one sheet can give.

The recursion of `pricing` may use an item twice on one sheet unless its kind is rationed. With few items it is quicker
and stronger to list every set of items that straight cuts can free together. A set fits a sheet if one of its smallest
boxes does. The valid inequalities that this proves are exact. Where cuts have a longest length, it is asked of the
boxes only; that may let a set through that no legal cuts free, so an inequality still holds.

References
----------
Wang (1983), Oper. Res. 31: building rectangles from rectangles. Martello, Pisinger & Vigo (2000), Oper. Res. 48: exact
answers for single sheets.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.geometry import Size
from nesting.model.cut_tree import Way
from nesting.packing.engine import Engine, Ints
from nesting.packing.pattern import Part, freed, longest_possible, parted

__all__ = ["Subsets", "list_subsets"]


def list_subsets(
    engine: Engine, demand: Mapping[Size, int], stock: Sequence[Size], *, turn: bool, longest: int | None, room: int
) -> "Subsets | None":
    """Return every set of items that fits a sheet of `stock`, or None where there are too many to list.

    Parameters
    ----------
    engine : Engine
        Which kernels to run.
    demand : Mapping of Size to int
        Items by kind, grown by the kerf.
    stock : Sequence of Size
        Sizes of stock, grown by the kerf.
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
    items = sorted((kind for kind, count in demand.items() for _ in range(count)), key=lambda kind: -kind.area)
    if len(items) > engine.items:
        return None
    size = 1 << (4 * room).bit_length()
    spaces = _outermost([way for s in stock for way in ((s, s.turned) if turn else (s,))])
    masks, begin, boxes = engine.zeros(room), engine.zeros(room + 2), engine.zeros(16 * room + 1024)
    slots = engine.zeros(size)
    total = engine.collect(
        engine.ints([s.w for s in items]),
        engine.ints([s.h for s in items]),
        len(items),
        engine.ints([side for s in spaces for side in s]),
        len(spaces),
        int(turn),
        longest_possible(longest, spaces),
        max(s.area for s in stock),
        room,
        masks,
        begin,
        boxes,
        slots,
        size,
    )
    if total < 0:
        return None
    return Subsets(engine, items, stock, _Listed(total, masks, begin, boxes, slots, size), longest=longest)


def _outermost(spaces: Sequence[Size]) -> list[Size]:
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


class Subsets:
    """Every set of items that fits a sheet, with its smallest boxes; a set is a number with a bit for each item."""

    def __init__(
        self, engine: Engine, items: Sequence[Size], stock: Sequence[Size], listed: _Listed, *, longest: int | None
    ) -> None:
        self.items = tuple(items)
        self.stock = tuple(dict.fromkeys(stock))
        self._engine = engine
        self._listed = listed
        self._longest = longest
        self._largest = {size: self._maximal(size) for size in self.stock}
        self._masks = {size: engine.ints(masks) for size, masks in self._largest.items()}

    def _maximal(self, stock: Size) -> list[int]:
        """List the sets that fit a sheet, but with no further item."""
        listed = self._listed
        fits = self._engine.zeros(listed.total)
        self._engine.largest(
            stock.w,
            stock.h,
            listed.total,
            len(self.items),
            listed.masks,
            listed.begin,
            listed.boxes,
            listed.slots,
            listed.size,
            fits,
        )
        return [int(listed.masks[k]) for k in range(listed.total) if fits[k] == 1]

    def _boxes(self, mask: int) -> list[Size]:
        """List the smallest boxes of a set; none if it fits no sheet."""
        listed = self._listed
        place = self._engine.find(mask, listed.slots, listed.size, listed.masks)
        if place < 0:
            return []
        of = range(listed.begin[place], listed.begin[place + 1])
        return [Size(int(listed.boxes[2 * b]), int(listed.boxes[2 * b + 1])) for b in of]

    def dearest(self, stock: Size, values: Mapping[Size, int]) -> tuple[int, int]:
        """Return the most value that the items of one sheet have together, and their set; 0 and 0 for none."""
        worth: Ints = self._engine.ints([values[kind] for kind in self.items])
        masks = self._masks[stock]
        mask = int(self._engine.dearest(masks, len(masks), worth, len(self.items)))
        return sum(values[self.items[i]] for i in self._members(mask)), mask

    def _members(self, mask: int) -> list[int]:
        return [i for i in range(len(self.items)) if mask >> i & 1]

    def pattern(self, stock: Size, mask: int) -> Part:
        """Return a pattern of a set on a sheet that it fits; where cuts have a longest length it may break it."""
        box = next((box for box in self._boxes(mask) if box.w <= stock.w and box.h <= stock.h), None)
        if box is None:
            raise ValueError(f"the set {mask:b} does not fit {stock}")
        return self._part(mask, box, stock)

    def _part(self, mask: int, box: Size, space: Size) -> Part:
        """Divide a space by the cuts that free a box; what is beyond the box goes to its outer parts."""
        if mask & (mask - 1) == 0:
            return freed(box, space, self._longest)
        way, one, near, far = self._parting(mask, box)
        return parted(
            way,
            near,
            box,
            space,
            self._longest,
            first=lambda inner: self._part(one, near, inner),
            second=lambda outer: self._part(mask ^ one, far, outer),
        )

    def _parting(self, mask: int, box: Size) -> tuple[Way, int, Size, Size]:
        """Find two sets, and a box of each, that side by side or one above the other make just this box."""
        part = (mask - 1) & mask
        while part:
            others = self._boxes(mask ^ part)
            for near in self._boxes(part) if others else []:
                for far in others:
                    if near.w + far.w == box.w and max(near.h, far.h) == box.h:
                        return Way.UPRIGHT, part, near, far
                    if near.h + far.h == box.h and max(near.w, far.w) == box.w:
                        return Way.LEVEL, part, near, far
            part = (part - 1) & mask
        raise ValueError(f"no two sets make the box {box} of {mask:b}")

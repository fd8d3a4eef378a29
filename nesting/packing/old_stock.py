"""Old stock before new: items are moved from new sheets to shelf pieces, and from both to fallouts, where they fit.

The sheets bought and the board of each item stay as they are. What is cut from a sheet that is bought anyway costs
nothing more, but its rest is worth more whole, while a fallout is worth least. So whatever fits into an unused fallout
or shelf piece, or into a gap of a used one, goes there: for one space after the other the pattern of most area that
items elsewhere can make, by the pricing recursion.

A heuristic: an item that lies in old stock stays there, so no two are exchanged.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

from nesting.geometry import Size
from nesting.packing.engine import Engine
from nesting.packing.instance import Instance
from nesting.packing.pattern import GrownSize, Part, area_of, contents, filled, legal, without
from nesting.packing.pricing import Pricer
from nesting.packing.solution import Sheet

__all__ = ["Age", "OldStock", "use_old_stock"]

_RATIONS = 6
"""How many kinds at most are counted exactly in a pattern; of others it may have too many, which are then taken out."""

_WORK = 1_000_000
"""How many steps the recursion may take for one space."""


class Age(IntEnum):
    """What a sheet is, in the order in which stock is used up."""

    FALLOUT = 0
    SHELF = 1
    NEW = 2


@dataclass(frozen=True, slots=True)
class OldStock:
    """How many fallouts and how many shelf pieces a board has, by size."""

    fallouts: Counter[GrownSize]
    shelf: Counter[GrownSize]

    @classmethod
    def of(cls, instance: Instance, boards: Sequence[int | None], board: int) -> "OldStock":
        """Return what a board has if the lots have these boards."""
        fallouts, shelf = Counter[GrownSize](), Counter[GrownSize]()
        for stock in instance.free_stock[board]:
            if stock.lot is None:
                shelf[stock.size] += stock.count
            elif boards[stock.lot] == board:
                fallouts[stock.size] += stock.count
        return cls(fallouts, shelf)

    def aged(self, sheets: Sequence[Sheet]) -> list[tuple[Age, Sheet]]:
        """Return each sheet of the board with what it is; of one size the first are fallouts, then shelf pieces."""
        left = {Age.FALLOUT: self.fallouts.copy(), Age.SHELF: self.shelf.copy()}
        found = []
        for sheet in sheets:
            age = next((age for age in left if left[age][sheet.size]), Age.NEW)
            if age is not Age.NEW:
                left[age][sheet.size] -= 1
            found.append((age, sheet))
        return found

    def unused(self, sheets: Sequence[Sheet]) -> list[tuple[Age, GrownSize]]:
        """List what none of the sheets is: fallouts, then shelf pieces, the larger ones first."""
        used = Counter(sheet.size for sheet in sheets)
        left = {Age.FALLOUT: self.fallouts - used, Age.SHELF: self.shelf - (used - self.fallouts)}
        return [
            (age, size) for age, sizes in left.items() for size in sorted(sizes.elements(), key=lambda size: -size.area)
        ]


def use_old_stock(
    instance: Instance, board: int, sheets: Sequence[Sheet], stock: OldStock, engine: Engine
) -> list[Sheet]:
    """Return the sheets of a board with items moved to older stock, as far as they fit.

    Parameters
    ----------
    instance : Instance
        Where there is not room for every sheet uncut, the last item of a new sheet stays on it.
    board : int
        The board.
    sheets : sequence of Sheet
        All sheets in use of the board.
    stock : OldStock
        What the board has beside what is bought.
    engine : Engine
        Which kernels to run.

    Returns
    -------
    list of Sheet
        With the same items, fallouts first, then shelf pieces.
    """
    moving = _Moving(instance, board, engine, stock.aged(sheets))
    for age in (Age.FALLOUT, Age.SHELF):
        moving.fill(age, [size for its, size in stock.unused(sheets) if its is age])
    return [sheet for _, sheet in sorted(moving.lying, key=lambda one: one[0]) if contents(sheet.part)]


class _Moving:
    """The sheets of a board while items move between them."""

    def __init__(self, instance: Instance, board: int, engine: Engine, lying: list[tuple[Age, Sheet]]) -> None:
        self.instance, self.board, self.engine = instance, board, engine
        self.lying = lying

    def fill(self, age: Age, unused: Sequence[GrownSize]) -> None:
        """Move items from newer stock into the gaps of what is of this age, and into what is not used of it."""
        for place, (its, sheet) in enumerate(self.lying):
            if its is age:
                part = filled(sheet.part, sheet.size, lambda gap: self._take(age, gap))
                self.lying[place] = its, replace(sheet, part=part)
        for size in unused:
            part = self._take(age, size)
            if part is not None:
                self.lying.append((age, Sheet(self.board, size, part)))

    def _take(self, age: Age, space: GrownSize) -> Part:
        """Take the most area that a space holds from newer stock, and return how it lies there."""
        there: Counter[GrownSize] = Counter()
        for its, sheet in self.lying:
            if its > age:
                there += self._movable(its, sheet)
        kinds = sorted(kind for kind in there if self.instance.fits(*self._true(kind, space)))
        if not kinds or min(space) <= 0:
            return None
        part = self._best(space, kinds, there)
        if not legal(part, space, self.instance.longest_grown):
            return None
        for size in contents(part).elements():
            self._remove(age, size)
        return part

    def _true(self, kind: GrownSize, space: GrownSize) -> tuple[Size, int, list[Size]]:
        return self.instance.true(kind), self.board, [self.instance.true(space)]

    def _movable(self, age: Age, sheet: Sheet) -> Counter[GrownSize]:
        """Count the items that may leave a sheet, by kind."""
        items = list(contents(sheet.part).elements())
        if age is Age.NEW and self.instance.room is not None and items:
            items.remove(max(items, key=lambda size: size.area))
        return Counter(self.instance.kind(size, self.board) for size in items)

    def _best(self, space: GrownSize, kinds: Sequence[GrownSize], there: Counter[GrownSize]) -> Part:
        """Return the pattern of most area; where it has more of a kind than there are, that kind is rationed."""
        turn, longest = self.instance.turn[self.board], self.instance.longest_grown
        pricer = Pricer(self.engine, kinds, [space], turn, longest)
        while True:
            part = pricer.table([kind.area for kind in kinds]).pattern(space)
            found = Counter(self.instance.kind(size, self.board) for size in contents(part).elements())
            over = found - there
            if not over:
                return part
            kind = max(over, key=lambda kind: kind.area)
            if len(pricer.rations) == _RATIONS or pricer.work_with(there[kind]) > _WORK:
                return self._fewer(part, over)
            pricer.ration(kinds.index(kind), there[kind])

    def _fewer(self, part: Part, over: Counter[GrownSize]) -> Part:
        """Return a pattern without what it has too much of."""
        for kind in over.elements():
            part = without(part, next(size for size in contents(part) if self.instance.kind(size, self.board) == kind))
        return part

    def _remove(self, age: Age, size: GrownSize) -> None:
        """Take an item from newer stock, of the newest from the sheet that has least on it."""
        kind = self.instance.kind(size, self.board)
        place = max(
            (place for place, (its, sheet) in enumerate(self.lying) if its > age and self._movable(its, sheet)[kind]),
            key=lambda place: (self.lying[place][0], -area_of(self.lying[place][1].part)),
        )
        its, sheet = self.lying[place]
        lies = next(item for item in contents(sheet.part) if self.instance.kind(item, self.board) == kind)
        self.lying[place] = its, replace(sheet, part=without(sheet.part, lies))

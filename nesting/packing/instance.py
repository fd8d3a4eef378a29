"""The problem the solver is given: whole numbers only, every size already less trim or squaring."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from nesting.geometry import Size
from nesting.packing.filling_kernels import ways
from nesting.packing.pattern import AnySize, GrownSize, longest_possible

__all__ = ["Copy", "FreeStock", "Held", "Instance", "Lot", "Priced", "Short", "Till"]


@dataclass(frozen=True, slots=True)
class Lot:
    """Items of one size that all come from one board.

    `items` are their numbers, each used once in the whole instance; `boards` the numbers of the boards that they may be
    cut from, the preferred one first; `fallouts` what drops out of each item, squared, by window (nothing or less if it
    is not usable). The lots of one `piece` are its layers; None is a piece of its own. `ranks` says for each of
    `boards` how many boards are preferred to it, also those that are out of reach; empty if only those before it.
    """

    size: Size
    items: tuple[int, ...]
    boards: tuple[int, ...]
    fallouts: tuple[Size, ...]
    piece: int | None = None
    ranks: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a lot that nothing can be cut for."""
        if not self.items or not self.boards or min(self.size) <= 0:
            raise ValueError(f"a lot needs items, boards and a size, got {self}")
        if any(f.w >= self.size.w or f.h >= self.size.h for f in self.fallouts):
            raise ValueError(f"a fallout is smaller than its item both ways, got {self}")
        if self.ranks and len(self.ranks) != len(self.boards):
            raise ValueError(f"a lot has a rank for each of its boards, got {self}")

    def rank(self, board: int) -> int:
        """Return how many boards are liked better than this one."""
        place = self.boards.index(board)
        return self.ranks[place] if self.ranks else place


@dataclass(frozen=True, slots=True)
class Held:
    """Pieces of board that are held already: `size` is what can be divided."""

    board: int
    size: Size
    count: int


@dataclass(frozen=True, slots=True)
class FreeStock:
    """Stock of one board that costs nothing: pieces that are held, or one of the fallouts of each item of a lot.

    Fallouts are there only if their `lot` is cut from this board; what is held has None.
    """

    size: GrownSize
    count: int
    lot: int | None


@dataclass(frozen=True, slots=True)
class Priced:
    """An offer: a sheet whose usable part is `size`, in any of `boards`, at `price` cents from till `till`."""

    size: Size
    boards: tuple[int, ...]
    price: int
    till: int
    at_most: int | None
    at_least: int
    pack: int


@dataclass(frozen=True, slots=True)
class Till:
    """What is paid beside the goods: a fee, unless they come to more than `free_over` cents, and tax on them."""

    fee: int
    free_over: int | None
    tax: Fraction


@dataclass(frozen=True, slots=True)
class Short:
    """A board of which some tills together have no more than `left` sheets, whatever the offer."""

    board: int
    tills: frozenset[int]
    left: int


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy of a piece that may be left out: its lots, a layer each, which are cut together or not at all.

    `after` is the place in `Instance.optional` of the copy of the same row before it. A copy is cut only if that one is
    cut too, and takes the same boards layer by layer; None for the first copy.
    """

    lots: tuple[int, ...]
    after: int | None = None


@dataclass(frozen=True)
class Instance:
    """Divide held, bought and fallen-out stock by straight cuts so that every item is cut once, for least money.

    `turn` says for each board whether what is cut from it may be turned; `longest` is the longest straight cut; `room`
    how many sheets may be bought and left uncut; `budget` what may be paid in all, in cents, and `most` how many sheets
    may be bought. None is no limit. The lots of `optional` copies may be left out; their fallouts then are not there.
    """

    kerf: int
    longest: int | None
    turn: tuple[bool, ...]
    lots: tuple[Lot, ...]
    held: tuple[Held, ...]
    offers: tuple[Priced, ...]
    tills: tuple[Till, ...]
    room: int | None
    shorts: tuple[Short, ...] = ()
    budget: int | None = None
    most: int | None = None
    optional: tuple[Copy, ...] = ()

    def __post_init__(self) -> None:
        """Refuse copies that share a lot, and copies after a later one or one with other lots."""
        lots = [lot for copy in self.optional for lot in copy.lots]
        if len(lots) != len(set(lots)):
            raise ValueError(f"a lot belongs to one copy, got {self.optional}")
        for place, copy in enumerate(self.optional):
            if copy.after is not None and (
                copy.after >= place or len(self.optional[copy.after].lots) != len(copy.lots)
            ):
                raise ValueError(f"a copy comes after an earlier one with as many lots, got {copy}")

    @cached_property
    def optional_lots(self) -> frozenset[int]:
        """The lots that may be left out."""
        return frozenset(lot for copy in self.optional for lot in copy.lots)

    @cached_property
    def items(self) -> int:
        """How many items there are."""
        return sum(len(lot.items) for lot in self.lots)

    @cached_property
    def boards_in_use(self) -> tuple[int, ...]:
        """The boards that some lot may be cut from, in their order."""
        return tuple(sorted({board for lot in self.lots for board in lot.boards}))

    @property
    def longest_grown(self) -> int | None:
        """The longest straight cut, grown by the kerf as sizes are."""
        return None if self.longest is None else self.longest + self.kerf

    def grown(self, size: Size) -> GrownSize:
        """Return a true size grown by the kerf."""
        return GrownSize(size.w + self.kerf, size.h + self.kerf)

    def true(self, size: GrownSize) -> Size:
        """Return a grown size without the kerf."""
        return Size(size.w - self.kerf, size.h - self.kerf)

    def kind(self, size: AnySize, board: int) -> AnySize:
        """Return the size that all parts alike have in common: the shorter side first where the board may be turned."""
        return type(size)(min(size), max(size)) if self.turn[board] else size

    def fits(self, size: Size, board: int, spaces: Iterable[Size]) -> bool:
        """Whether an item can be cut from one of these spaces of the board, all of true size."""
        spaces = tuple(spaces)
        longest = longest_possible(self.longest, spaces)
        lies = (size, size.turned) if self.turn[board] else (size,)
        return any(ways(lying.w, lying.h, space.w, space.h, longest) > 0 for space in spaces for lying in lies)

    @cached_property
    def free_stock(self) -> tuple[tuple[FreeStock, ...], ...]:
        """For each board all that may be had of it for nothing: what is held, then fallouts in the order of the lots.

        Pieces and fallouts of no usable size are left out.
        """
        found: list[list[FreeStock]] = [[] for _ in self.turn]
        for held in self.held:
            if min(held.size) > 0:
                found[held.board].append(FreeStock(self.grown(held.size), held.count, None))
        for number, lot in enumerate(self.lots):
            fallouts = [FreeStock(size, len(lot.items), number) for size in self.usable_fallouts(lot)]
            for board in lot.boards:
                found[board] += fallouts
        return tuple(map(tuple, found))

    def usable_fallouts(self, lot: Lot) -> list[GrownSize]:
        """Return the sizes of what drops out of each item of a lot, without the unusable ones."""
        return [self.grown(fallout) for fallout in lot.fallouts if min(fallout) > 0]

    @cached_property
    def sizes(self) -> tuple[tuple[Size, ...], ...]:
        """For each board the usable sizes of sheet that can be bought in it, in the order of the offers."""
        return tuple(
            tuple(dict.fromkeys(offer.size for offer in self.offers if board in offer.boards))
            for board in range(len(self.turn))
        )

"""A complete cutting: which board each lot gets, and a pattern for every sheet in use."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.pattern import Part, contents, freed, legal, without

__all__ = ["BoardDemand", "Sheet", "Solution", "board_demand", "price_tags", "spread", "without_surplus"]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet in use: its board, its size and its pattern, both grown by the kerf."""

    board: int
    size: Size
    part: Part


@dataclass(frozen=True, slots=True)
class Solution:
    """What is cut from what, what is bought (by offer and board) and what that costs in all.

    `boards` has the board of each lot, None where it is left out.
    """

    boards: tuple[int | None, ...]
    sheets: tuple[Sheet, ...]
    counts: Mapping[tuple[int, int], int]
    cost: int


@dataclass(frozen=True, slots=True)
class BoardDemand:
    """What falls to one board once every lot has its board: demand by kind, free stock by size, grown by the kerf."""

    demand: Counter[Size]
    free: Counter[Size]


def board_demand(instance: Instance, boards: Sequence[int | None], board: int) -> BoardDemand:
    """Return the demand and the free stock (held and fallen out) of one board."""
    demand: Counter[Size] = Counter()
    free: Counter[Size] = Counter()
    for held in instance.held:
        if held.board == board and min(held.size) > 0:
            free[instance.grown(held.size)] += held.count
    for lot, its in zip(instance.lots, boards, strict=True):
        if its == board:
            demand[instance.kind(instance.grown(lot.size), board)] += len(lot.items)
            for fallout in lot.fallouts:
                if min(fallout) > 0:
                    free[instance.grown(fallout)] += len(lot.items)
    return BoardDemand(demand, free)


def price_tags(instance: Instance, board: int, *, limited: bool) -> list[tuple[Size, int, int | None]]:
    """Return what one more sheet costs about, in cents with tax: (true size, price, how many at that price or None).

    For each size the cheapest offer without a limit, and if `limited` those with one that are cheaper, however many
    other boards they may have to serve.
    """
    tags: list[tuple[Size, int, int | None]] = []
    for size in instance.sizes[board]:
        offers = [offer for offer in instance.offers if board in offer.boards and offer.size == size]
        price = {offer: max(1, round(offer.price * (1 + instance.tills[offer.till].tax))) for offer in offers}
        cheapest = min((price[offer] for offer in offers if offer.at_most is None), default=None)
        if cheapest is not None:
            tags.append((size, cheapest, None))
        cheap = (o for o in offers if o.at_most is not None and (cheapest is None or price[o] < cheapest))
        tags.extend((size, price[offer], offer.at_most) for offer in cheap if limited)
    return tags


def without_surplus(instance: Instance, boards: Sequence[int | None], sheets: Sequence[Sheet]) -> list[Sheet]:
    """Return the sheets without items beyond those wanted, and without sheets of which then nothing is cut.

    Patterns that are chosen to cover what is wanted may give more of it. Stock of the sizes that are free loses it
    first, then the fullest sheets, so that most bought ones are still in use.
    """
    left = list(sheets)
    for board in {sheet.board for sheet in sheets}:
        its = board_demand(instance, boards, board)
        over: Counter[Size] = Counter()
        for sheet in left:
            if sheet.board == board:
                over.update(instance.kind(item, board) for item in contents(sheet.part).elements())
        for kind in (over - its.demand).elements():
            *_, place, item = max(
                (sheet.size in its.free, contents(sheet.part).total(), place, item)
                for place, sheet in enumerate(left)
                if sheet.board == board
                for item in contents(sheet.part)
                if instance.kind(item, board) == kind
            )
            left[place] = Sheet(board, left[place].size, without(left[place].part, item))
    return [sheet for sheet in left if contents(sheet.part)]


def spread(
    instance: Instance, boards: Sequence[int | None], sheets: Sequence[Sheet], board: int, size: Size
) -> list[Sheet] | None:
    """Return the sheets with one more of this board and grown size in use, an item moved to it from another sheet.

    What cannot be left uncut for want of room must be cut. A sheet that has several items gives one, or a piece of
    free stock its only one, which is then not cut. None if no sheet of the board has an item to spare for it.
    """
    longest = None if instance.longest is None else instance.longest + instance.kerf
    free, in_use = board_demand(instance, boards, board).free, Counter(s.size for s in sheets if s.board == board)
    full = [(place, contents(sheet.part)) for place, sheet in enumerate(sheets) if sheet.board == board]
    for place, items in sorted(full, key=lambda one: one[1].total() == 1):
        sheet = sheets[place]
        if items.total() == 1 and (sheet.size == size or in_use[sheet.size] > free[sheet.size]):
            continue
        for item in items:
            for lying in {item, item.turned} if instance.turn[board] else {item}:
                part = freed(lying, size, longest)
                if lying.w <= size.w and lying.h <= size.h and legal(part, size, longest):
                    rest = [] if items.total() == 1 else [Sheet(board, sheet.size, without(sheet.part, item))]
                    return [*sheets[:place], *rest, *sheets[place + 1 :], Sheet(board, size, part)]
    return None

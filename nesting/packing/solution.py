"""A solution: the board of each lot, and a pattern for every sheet in use."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from statistics import median_low

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.pattern import GrownSize, Part, contents, freed, legal, without

__all__ = [
    "BoardDemand",
    "Sheet",
    "Solution",
    "board_demand",
    "covers",
    "lots_demand",
    "price_tags",
    "spread",
    "usual_sheet",
    "without_surplus",
]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet in use: its board, its size and its pattern."""

    board: int
    size: GrownSize
    part: Part


@dataclass(frozen=True, slots=True)
class Solution:
    """The board of each lot (None: left out), the sheets in use, the sheets bought, and the cost in all.

    The sheets bought go by offer and board.
    """

    boards: tuple[int | None, ...]
    sheets: tuple[Sheet, ...]
    counts: Mapping[tuple[int, int], int]
    cost: int


@dataclass(frozen=True, slots=True)
class BoardDemand:
    """The items to be cut from one board, by kind, and its free stock, by size."""

    demand: Counter[GrownSize]
    free: Counter[GrownSize]


def board_demand(instance: Instance, boards: Sequence[int | None], board: int) -> BoardDemand:
    """Return the demand and the free stock of one board, with the assignment `boards`."""
    demand: Counter[GrownSize] = Counter()
    free: Counter[GrownSize] = Counter()
    for lot, its in zip(instance.lots, boards, strict=True):
        if its == board:
            demand[instance.kind(instance.grown(lot.size), board)] += len(lot.items)
    for stock in instance.free_stock[board]:
        if stock.lot is None or boards[stock.lot] == board:
            free[stock.size] += stock.count
    return BoardDemand(demand, free)


def lots_demand(instance: Instance, lots: Collection[int], board: int) -> BoardDemand:
    """Return the demand and the free stock of one board where these lots, by number, and no others are cut from it."""
    boards = [board if number in lots else None for number in range(len(instance.lots))]
    return board_demand(instance, boards, board)


def price_tags(instance: Instance, board: int, *, limited: bool) -> list[tuple[Size, int, int | None]]:
    """Return what one more sheet costs approximately, in cents with tax: (true size, price, how many or None for any).

    For each size the cheapest offer without a limit, and if `limited` also the cheaper ones that have a limit. That
    other boards may share the limit is ignored.
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
    """Return the sheets without surplus items, and without sheets from which then nothing is cut.

    Patterns that cover a demand may give more than it. Free stock loses the surplus first, then the fullest sheets, so
    that most bought sheets stay in use.
    """
    left = list(sheets)
    for board in {sheet.board for sheet in sheets}:
        its = board_demand(instance, boards, board)
        over: Counter[GrownSize] = Counter()
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


def covers(instance: Instance, boards: Sequence[int | None], sheets: Sequence[Sheet]) -> bool:
    """Return whether an assignment is one of this instance, and the sheets hold all that it gives to their boards."""
    if len(boards) != len(instance.lots):
        return False
    optional = instance.optional_lots
    for number, (lot, board) in enumerate(zip(instance.lots, boards, strict=True)):
        if board not in lot.boards and not (board is None and number in optional):
            return False
    for board in {board for board in boards if board is not None}:
        held: Counter[GrownSize] = Counter()
        for sheet in sheets:
            if sheet.board == board:
                held.update(instance.kind(item, board) for item in contents(sheet.part).elements())
        if board_demand(instance, boards, board).demand - held:
            return False
    return True


def usual_sheet(instance: Instance, solution: Solution) -> int:
    """Return what the sheet in use that is the middle one by price costs approximately, in cents with tax.

    One large sheet among many, which an early solution may have, counts no more than another; a piece that is held and
    not sold does not count. 0 where none of the sheets is sold.
    """
    tags: dict[tuple[int, GrownSize], int] = {}
    for board in instance.boards_in_use:
        for size, price, _ in price_tags(instance, board, limited=True):
            key = board, instance.grown(size)
            tags[key] = max(price, tags.get(key, 0))
    used = ((sheet.board, sheet.size) for sheet in solution.sheets)
    prices = [tags[key] for key in used if key in tags]
    return median_low(prices) if prices else 0


def spread(
    instance: Instance, boards: Sequence[int | None], sheets: Sequence[Sheet], board: int, size: GrownSize
) -> list[Sheet] | None:
    """Return the sheets with one more in use, of this board and size, by moving an item to it from another sheet.

    This is for bought sheets that there is no room to keep uncut. A sheet with several items gives one; a piece of free
    stock may give its only one and is then left whole. None if no sheet of the board has an item to spare that fits.
    """
    longest = instance.longest_grown
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

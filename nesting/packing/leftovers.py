"""The same blanks from the same sheets, laid so that more useful pieces are left and fewer cuts are made.

What is bought and which board each mat gets is settled before. Here each item's place is drawn again, many times at
random, and the best is kept. Old stock is used first: what is left of new sheets counts before what is left on the
shelf, and that before fallouts; then come cuts and settings. Nothing gets worse by this measure.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from nesting.geometry import ExactSize, Point, Size, is_worth_keeping
from nesting.model.cut_tree import Cut, Node, Offcut, Way, leaves
from nesting.packing.engine import Engine
from nesting.packing.instance import Instance
from nesting.packing.merge_offcuts import merge_offcuts
from nesting.packing.old_stock import Age, OldStock, use_old_stock
from nesting.packing.pattern import GrownSize, area_of, contents, cut_tree, mirrored
from nesting.packing.ruin_recreate import RuinRecreate, Stock
from nesting.packing.solution import BoardDemand, Sheet, Solution, board_demand, without_surplus
from nesting.packing.usefulness import usefulness

__all__ = ["refine"]

_STARTS, _BOARD_TRIES, _BOARD_ROUNDS = 2, 4, 500
_SHEET_TRIES, _MOST_TRIES = 24, 480


@dataclass(frozen=True, slots=True, order=True)
class _Merit:
    """How good a way of cutting is: first by what it leaves, then by how few cuts and settings it takes.

    What is left of new sheets, of what was on the shelf and of fallouts is measured by `usefulness`, in that order.
    """

    new: int = 0
    shelf: int = 0
    fallouts: int = 0
    cuts: int = 0
    settings: int = 0


def refine(
    instance: Instance,
    solution: Solution,
    keep_at_least: ExactSize,
    engine: Engine,
    seed: int,
    *,
    over: Callable[[], bool],
) -> Solution:
    """Return a solution that buys the same and leaves a shelf at least as useful.

    Parameters
    ----------
    instance, solution : Instance, Solution
        What was asked of the solver, and what it found.
    keep_at_least : ExactSize
        The least size of what is worth keeping, in ticks; smaller leftovers count as waste.
    engine : Engine
        Which kernels to run.
    seed : int
        The same seed, the same result, unless time is up before.
    over : callable
        Whether time is up: then the rest stays as it is.

    Returns
    -------
    Solution
        With the same boards, counts and cost.

    Notes
    -----
    A heuristic, of a fixed number of tries. First everything of a board is drawn again on the same sheets, from several
    starts, then each sheet by itself. Which mats take which board stays as it is.
    """
    refiner = _Refiner(instance, solution, keep_at_least, engine, seed, over=over)
    needed = without_surplus(instance, solution.boards, solution.sheets)
    sheets: list[Sheet] = []
    for board in sorted({sheet.board for sheet in needed}):
        sheets += refiner.board(board, [sheet for sheet in needed if sheet.board == board])
    return replace(solution, sheets=tuple(sheets))


class _Refiner:
    def __init__(
        self,
        instance: Instance,
        solution: Solution,
        keep_at_least: ExactSize,
        engine: Engine,
        seed: int,
        *,
        over: Callable[[], bool],
    ) -> None:
        self.instance, self.solution, self.engine, self.seed = instance, solution, engine, seed
        self.keep_at_least = keep_at_least
        self.tries = _MOST_TRIES
        self.over = over

    def board(self, board: int, sheets: list[Sheet]) -> list[Sheet]:
        """Draw all sheets of a board again together, with old stock used first, then one by one, the emptiest first."""
        if self.over():
            return sheets
        its = board_demand(self.instance, self.solution.boards, board)
        stock = OldStock.of(self.instance, self.solution.boards, board)
        best = self._of_board(sheets, stock)
        for other in self._ways(board, sheets, its, stock):
            merit = self._of_board(other, stock)
            if merit > best:
                sheets, best = other, merit
        emptiest = sorted(range(len(sheets)), key=lambda place: area_of(sheets[place].part) - sheets[place].size.area)
        again = {place: self._sheet(sheets[place]) for place in emptiest}
        return [again[place] for place in range(len(sheets))]

    def _ways(self, board: int, sheets: list[Sheet], its: BoardDemand, stock: OldStock) -> Iterator[list[Sheet]]:
        """Yield other ways to cut everything of a board, each also with items moved to older stock."""
        for way in (sheets, *self._drawn(board, sheets, its)):
            yield way
            if its.free and not self.over():
                yield use_old_stock(self.instance, board, way, stock, self.engine)

    def _drawn(self, board: int, sheets: Sequence[Sheet], its: BoardDemand) -> Iterator[list[Sheet]]:
        """Yield other ways to cut everything of a board from the same bought sheets and from what is free."""
        used = Counter(sheet.size for sheet in sheets)
        stock = [Stock(size, 0, count) for size, count in its.free.items() if self._takes_any(board, size, its)]
        stock += [Stock(size, 100, n - its.free[size]) for size, n in used.items() if n > its.free[size]]
        bought = {size: n - its.free[size] for size, n in used.items() if n > its.free[size]}
        for start in range(_STARTS):
            search = self._search(board, its.demand, stock, self.seed + 104729 * start)
            for _ in range(_BOARD_TRIES):
                if self.over():
                    return
                search.improve(_BOARD_ROUNDS)
                if search.complete:
                    found = [Sheet(board, search.stock[number].size, part) for number, part in search.sheets()]
                    again = Counter(sheet.size for sheet in found)
                    if all(again[size] - its.free[size] == n for size, n in bought.items()):
                        yield found

    def _takes_any(self, board: int, space: GrownSize, its: BoardDemand) -> bool:
        true = self.instance.true
        return any(self.instance.fits(true(kind), board, [true(space)]) for kind in its.demand)

    def _search(self, board: int, demand: Counter[GrownSize], stock: Sequence[Stock], seed: int) -> RuinRecreate:
        turn, longest = self.instance.turn[board], self.instance.longest_grown
        return RuinRecreate(self.engine, demand, stock, turn=turn, longest=longest, seed=seed)

    def _sheet(self, sheet: Sheet) -> Sheet:
        """Draw one sheet again."""
        demand: Counter[GrownSize] = Counter()
        for size, count in contents(sheet.part).items():
            demand[self.instance.kind(size, sheet.board)] += count
        best, drawn = self._merit(sheet), {sheet.part}
        for seed in range(min(self.tries, _SHEET_TRIES)):
            if self.over():
                break
            self.tries -= 1
            # the kernels lay a part unturned where either would do, so every other time the sheet is turned
            turned = self.instance.turn[sheet.board] and seed % 2 == 1
            stock = Stock(sheet.size.turned if turned else sheet.size, 100, 1)
            search = self._search(sheet.board, demand, [stock], self.seed + 7919 * seed)
            if search.complete:
                part = next(search.sheets())[1]
                other = Sheet(sheet.board, sheet.size, mirrored(part) if turned else part)
                merit = best if other.part in drawn else self._merit(other)
                drawn.add(other.part)
                if merit > best:
                    sheet, best = other, merit
        return sheet

    def _of_board(self, sheets: Sequence[Sheet], stock: OldStock) -> _Merit:
        """Judge all sheets of a board with the old stock that is left alone."""
        left: dict[Age, list[Size]] = {age: [] for age in Age}
        cuts = settings = 0
        for age, sheet in stock.aged(sheets):
            merit, kept = self._judged(sheet)
            cuts, settings = cuts + merit.cuts, settings + merit.settings
            left[age] += kept
        for age, size in stock.unused(sheets):
            left[age] += filter(self._kept, [self.instance.true(size)])
        new, shelf, fallouts = (usefulness(left[age]) for age in (Age.NEW, Age.SHELF, Age.FALLOUT))
        return _Merit(new, shelf, fallouts, cuts, settings)

    def _merit(self, sheet: Sheet) -> _Merit:
        """Judge one sheet by itself."""
        return self._judged(sheet)[0]

    def _judged(self, sheet: Sheet) -> tuple[_Merit, list[Size]]:
        """Judge one sheet by itself; return with that what of it is kept."""
        tree = self._tree(sheet)
        kept = [leaf.size for leaf in leaves(tree) if isinstance(leaf, Offcut) and self._kept(leaf.size)]
        measures = list(_measures(tree))
        return _Merit(new=usefulness(kept), cuts=-len(measures), settings=-len(set(measures))), kept

    def _tree(self, sheet: Sheet) -> Node:
        kerf = self.instance.kerf
        whole = cut_tree(sheet.part, Point(0, 0), self.instance.true(sheet.size), kerf, lambda _: 0)
        return merge_offcuts(whole, kerf, self.instance.longest)

    def _kept(self, size: Size) -> bool:
        return is_worth_keeping(size, self.keep_at_least)


def _measures(root: Node) -> Iterator[int]:
    """Yield what the cutter is set to for each cut, in no particular order."""
    if isinstance(root, Cut):
        for part in root.parts[:-1]:
            yield part.size.w if root.way is Way.UPRIGHT else part.size.h
        for part in root.parts:
            yield from _measures(part)

"""The cheapest cutting so far and the bound, told of whenever one of them moves."""

from collections import Counter
from collections.abc import Callable, Sequence

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.master import MasterProblem, MasterSolution
from nesting.packing.solution import Sheet, Solution, board_demand, spread, without_surplus
from nesting.packing.stop import Stop

__all__ = ["Incumbent", "Report", "fill_room"]

Report = Callable[[float, int | None, int, bool], None]
"""Told seconds, the best cost so far or None, the bound, and whether the kernels are being prepared."""


class Incumbent:
    """What has been found of an instance and what has been proven.

    Parameters
    ----------
    instance : Instance
        The problem.
    stop : Stop
        Knows the time spent.
    report : callable or None
        Told of every change.
    first : bool
        Whether the first cutting found will do.
    """

    def __init__(self, instance: Instance, stop: Stop, report: Report | None, *, first: bool) -> None:
        self._instance = instance
        self.solution: Solution | None = None
        self.bound = 0
        self.infeasible = False
        self._stop = stop
        self._report = report
        self._first = first

    @property
    def settled(self) -> bool:
        """Whether there is nothing left to find."""
        return self.infeasible or (self.solution is not None and (self._first or self.solution.cost == self.bound))

    def raise_bound(self, bound: int) -> None:
        """Take in what no cutting can cost less than."""
        if bound > self.bound:
            self.bound = bound
            self.tell()

    def tell(self, *, preparing: bool = False) -> None:
        """Report how things stand."""
        if self._report is not None:
            cost = None if self.solution is None else self.solution.cost
            self._report(self._stop.spent(), cost, self.bound, preparing)

    def buy(self, boards: tuple[int, ...], sheets: Sequence[Sheet]) -> None:
        """Find the cheapest basket for given sheets and keep it if it is the best so far."""
        basket = MasterProblem(self._instance)
        basket.fix_assignment(boards)
        basket.require_sheets(_bought(self._instance, boards, sheets))
        self.keep(basket.solve(5.0), sheets)

    def keep(self, answer: MasterSolution, sheets: Sequence[Sheet]) -> None:
        """Keep what is cut from a basket if it is the best so far, and no more is left uncut than there is room for."""
        if answer.cost is None or (self.solution is not None and answer.cost >= self.solution.cost):
            return
        fitted = fill_room(self._instance, answer, sheets)
        if fitted is not None:
            self.solution = Solution(answer.boards, tuple(fitted), answer.counts, answer.cost)
            self.tell()


def fill_room(instance: Instance, answer: MasterSolution, sheets: Sequence[Sheet]) -> list[Sheet] | None:
    """Cut from as many sheets of a basket as there is no room to leave uncut; None if that cannot be."""
    if instance.room is None:
        return list(sheets)
    fitted = without_surplus(instance, answer.boards, sheets)
    for _ in range(instance.items + 1):
        idle = _idle(instance, answer, fitted)
        if idle.total() <= instance.room:
            return fitted
        largest = sorted(idle, key=lambda key: -key[1].area)
        tried = (spread(instance, answer.boards, fitted, b, instance.grown(size)) for b, size in largest)
        more = next((spread_out for spread_out in tried if spread_out is not None), None)
        if more is None:
            return None
        fitted = more
    return None


def _idle(instance: Instance, answer: MasterSolution, sheets: Sequence[Sheet]) -> Counter[tuple[int, Size]]:
    """Count the sheets of a basket that nothing is cut from, by board and size."""
    idle: Counter[tuple[int, Size]] = Counter()
    for (offer, board), count in answer.counts.items():
        idle[board, instance.offers[offer].size] += count
    return idle - _bought(instance, answer.boards, sheets)


def _bought(instance: Instance, boards: Sequence[int], sheets: Sequence[Sheet]) -> Counter[tuple[int, Size]]:
    """Count the sheets that have to be bought, by board and size."""
    need: Counter[tuple[int, Size]] = Counter()
    in_use = Counter((sheet.board, sheet.size) for sheet in sheets)
    free = {board: board_demand(instance, boards, board).free for board in {board for board, _ in in_use}}
    for (board, size), count in in_use.items():
        if count > free[board][size]:
            need[board, Size(size.w - instance.kerf, size.h - instance.kerf)] = count - free[board][size]
    return need

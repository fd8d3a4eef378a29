"""The incumbent: the best solution so far, and the lower bound; whoever asked is told when one of them moves."""

from collections import Counter
from collections.abc import Callable, Sequence

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.master import MasterProblem, MasterSolution
from nesting.packing.solution import Sheet, Solution, board_demand, spread, without_surplus

__all__ = ["Incumbent", "Report", "fill_room"]

Report = Callable[[float, int | None, int, bool], None]
"""Told seconds, the best cost so far or None, the lower bound, and whether the kernels are being compiled."""


class Incumbent:
    """The best solution found of an instance and the lower bound proven for it.

    Parameters
    ----------
    instance : Instance
        The problem.
    spent : callable
        Returns the seconds spent.
    report : callable or None
        Told of every change.
    first : bool
        Whether the first solution found is enough.
    """

    def __init__(self, instance: Instance, spent: Callable[[], float], report: Report | None, *, first: bool) -> None:
        self._instance = instance
        self._spent = spent
        self._report = report
        self._first = first
        self._solution: Solution | None = None
        self._bound = 0
        self._infeasible = False

    @property
    def solution(self) -> Solution | None:
        """The best solution so far."""
        return self._solution

    @property
    def bound(self) -> int:
        """What no solution can cost less than."""
        return self._bound

    @property
    def infeasible(self) -> bool:
        """Whether it is proven that there is no solution."""
        return self._infeasible

    @property
    def settled(self) -> bool:
        """Whether there is nothing left to find."""
        found = self._solution
        return self._infeasible or (found is not None and (self._first or found.cost == self._bound))

    def raise_bound(self, bound: int) -> None:
        """Raise the lower bound if this one is higher."""
        if bound > self._bound:
            self._bound = bound
            self.tell()

    def mark_infeasible(self) -> None:
        """Note that it is proven that there is no solution."""
        self._infeasible = True

    def tell(self, *, preparing: bool = False) -> None:
        """Report cost and bound."""
        if self._report is not None:
            cost = None if self._solution is None else self._solution.cost
            self._report(self._spent(), cost, self._bound, preparing)

    def buy(self, boards: tuple[int, ...], sheets: Sequence[Sheet]) -> None:
        """Buy these sheets as cheaply as possible, and keep the solution if it is cheaper than the incumbent."""
        master = MasterProblem(self._instance)
        master.fix_assignment(boards)
        master.require_sheets(_bought(self._instance, boards, sheets))
        self.keep(master.solve(5.0), sheets)

    def keep(self, bought: MasterSolution, sheets: Sequence[Sheet]) -> None:
        """Keep what is cut from the sheets of a master solution if it is cheaper than the incumbent.

        It is not kept if it leaves more sheets uncut than there is room for.
        """
        if bought.cost is None or (self._solution is not None and bought.cost >= self._solution.cost):
            return
        fitted = fill_room(self._instance, bought, sheets)
        if fitted is not None:
            self._solution = Solution(bought.boards, tuple(fitted), bought.counts, bought.cost)
            self.tell()

    def replace(self, solution: Solution) -> None:
        """Take another solution that costs no more."""
        self._solution = solution


def fill_room(instance: Instance, bought: MasterSolution, sheets: Sequence[Sheet]) -> list[Sheet] | None:
    """Cut something from every bought sheet that there is no room to keep uncut; None if that is not possible."""
    if instance.room is None:
        return list(sheets)
    fitted = without_surplus(instance, bought.boards, sheets)
    for _ in range(instance.items + 1):
        idle = _idle(instance, bought, fitted)
        if idle.total() <= instance.room:
            return fitted
        largest = sorted(idle, key=lambda key: -key[1].area)
        tried = (spread(instance, bought.boards, fitted, b, instance.grown(size)) for b, size in largest)
        more = next((spread_out for spread_out in tried if spread_out is not None), None)
        if more is None:
            return None
        fitted = more
    return None


def _idle(instance: Instance, bought: MasterSolution, sheets: Sequence[Sheet]) -> Counter[tuple[int, Size]]:
    """Count the bought sheets that nothing is cut from, by board and size."""
    idle: Counter[tuple[int, Size]] = Counter()
    for (offer, board), count in bought.counts.items():
        idle[board, instance.offers[offer].size] += count
    return idle - _bought(instance, bought.boards, sheets)


def _bought(instance: Instance, boards: Sequence[int], sheets: Sequence[Sheet]) -> Counter[tuple[int, Size]]:
    """Count the sheets that have to be bought, by board and size."""
    need: Counter[tuple[int, Size]] = Counter()
    in_use = Counter((sheet.board, sheet.size) for sheet in sheets)
    free = {board: board_demand(instance, boards, board).free for board in {board for board, _ in in_use}}
    for (board, size), count in in_use.items():
        if count > free[board][size]:
            need[board, instance.true(size)] = count - free[board][size]
    return need

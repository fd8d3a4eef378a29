"""The incumbent: the best solution by the goal so far, and the lower bound; the caller is told when one moves."""

from collections import Counter
from collections.abc import Callable, Sequence

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.master import MasterProblem, MasterSolution
from nesting.packing.objective import Cost, Goal, LowerBound, Objective, value
from nesting.packing.solution import Sheet, Solution, board_demand, covers, price_tags, spread, without_surplus

__all__ = ["Incumbent", "Report", "fill_room"]

ADOPTED = 2
"""For how many known solutions the sheets are bought at the prices of this instance."""

Report = Callable[[float, Solution | None, int, bool], None]
"""Told seconds, the best solution so far, the lower bound of its cost, and whether the kernels are being compiled."""


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
    objective : Objective, optional
        What is minimised first; the cost if none is given.
    """

    def __init__(
        self,
        instance: Instance,
        spent: Callable[[], float],
        report: Report | None,
        *,
        first: bool,
        objective: Objective | None = None,
    ) -> None:
        self._instance = instance
        self._spent = spent
        self._report = report
        self._first = first
        self._solution: Solution | None = None
        self._goal = Goal(objective or Cost())
        self._value: int | None = None
        self._bound = 0
        self._cost_bound = LowerBound()
        self._infeasible = False

    @property
    def solution(self) -> Solution | None:
        """The best solution so far."""
        return self._solution

    @property
    def goal(self) -> Goal:
        """What is minimised now, and what limits that."""
        return self._goal

    @property
    def value(self) -> int | None:
        """The value of the objective, None while there is no solution."""
        return self._value

    @property
    def bound(self) -> int:
        """The lower bound of the objective, for solutions within the limits."""
        return self._bound

    @property
    def proven(self) -> LowerBound:
        """The bound with the limits under which it holds."""
        return LowerBound(self._bound, self._goal.limits)

    @property
    def gap(self) -> float:
        """How far the value is above the bound, as a share of it; 1 where there is no solution."""
        return 1.0 if self._value is None else (self._value - self._bound) / max(1, self._value)

    @property
    def cost_bound(self) -> int:
        """The lower bound of the cost, for solutions as good as this one in the objectives before it; 0 at first."""
        return self.still_proven(self._cost_bound)

    @property
    def infeasible(self) -> bool:
        """Whether it is proven that there is no solution."""
        return self._infeasible

    @property
    def settled(self) -> bool:
        """Whether there is nothing left to find."""
        return self._infeasible or (self._solution is not None and (self._first or self._value == self._bound))

    def pursue(self, objective: Objective, before: Sequence[Objective], proven: LowerBound | None = None) -> None:
        """Minimise another objective, with the incumbent's values of those `before` it as limits."""
        found = self._solution
        if found is None:
            raise ValueError("the value of an objective becomes a limit only once there is a solution")
        self._goal = Goal(objective, self._reached(found, before))
        self._value = self._goal.value(self._instance, found.boards, found.cost)
        self._bound = proven.under(self._goal.limits) if proven else 0

    def still_proven(self, bound: LowerBound) -> int:
        """Return what a bound is worth now that the incumbent may reach other values of earlier objectives."""
        found = self._solution
        if found is None:
            return bound.value
        return bound.under(self._reached(found, [objective for objective, _ in bound.limits]))

    def _reached(self, found: Solution, objectives: Sequence[Objective]) -> tuple[tuple[Objective, int], ...]:
        return tuple((its, value(self._instance, its, found.boards, found.cost)) for its in objectives)

    def raise_bound(self, bound: int) -> None:
        """Raise the lower bound if this one is higher."""
        if bound > self._bound:
            self._bound = bound
            if isinstance(self._goal.objective, Cost):
                self._cost_bound = self.proven
                self.tell()

    def mark_infeasible(self) -> None:
        """Note that it is proven that there is no solution."""
        self._infeasible = True

    def tell(self, *, preparing: bool = False) -> None:
        """Report the solution and the bound of its cost."""
        if self._report is not None:
            self._report(self._spent(), self._solution, self.cost_bound, preparing)

    def buy(self, boards: tuple[int | None, ...], sheets: Sequence[Sheet]) -> None:
        """Buy these sheets as cheaply as possible, and keep the solution if it is better than the incumbent."""
        master = MasterProblem(self._instance, Goal(Cost(), self._goal.limits))
        master.fix_assignment(boards)
        master.require_sheets(_bought(self._instance, boards, sheets))
        self.keep(master.solve(5.0), sheets)

    def adopt(self, known: Sequence[Solution]) -> None:
        """Buy the sheets of solutions of similar instances, of those whose sheets cost least by an estimate."""
        estimated: list[tuple[int, int, Solution]] = []
        for place, solution in enumerate(known):
            cost = _estimated_cost(self._instance, solution.boards, solution.sheets)
            if cost is not None:
                estimated.append((cost, -place, solution))
        for _, _, solution in sorted(estimated, key=lambda one: one[:2])[:ADOPTED]:
            sheets = without_surplus(self._instance, solution.boards, solution.sheets)
            self.buy(solution.boards, sheets)

    def keep(self, bought: MasterSolution, sheets: Sequence[Sheet]) -> bool:
        """Keep what is cut from the sheets of a master solution if it is better than the incumbent.

        It is not kept if it leaves more sheets uncut than there is room for. Returns whether it is kept.
        """
        if bought.cost is None:
            return False
        reached = self._goal.value(self._instance, bought.boards, bought.cost)
        if self._value is not None and reached >= self._value:
            return False
        fitted = fill_room(self._instance, bought, sheets)
        if fitted is None:
            return False
        self._solution = Solution(bought.boards, tuple(fitted), bought.counts, bought.cost)
        self._value = reached
        self.tell()
        return True


def _estimated_cost(instance: Instance, boards: Sequence[int | None], sheets: Sequence[Sheet]) -> int | None:
    """Return about what sheets cost, in cents; None if they are not sold or do not hold all that is to be cut."""
    if not covers(instance, boards, sheets):
        return None
    cost = 0
    for (board, size), count in _bought(instance, boards, sheets).items():
        tags = [price for sold, price, _ in price_tags(instance, board, limited=True) if sold == size]
        if not tags:
            return None
        cost += count * min(tags)
    return cost


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


def _bought(instance: Instance, boards: Sequence[int | None], sheets: Sequence[Sheet]) -> Counter[tuple[int, Size]]:
    """Count the sheets that have to be bought, by board and size."""
    need: Counter[tuple[int, Size]] = Counter()
    in_use = Counter((sheet.board, sheet.size) for sheet in sheets)
    free = {board: board_demand(instance, boards, board).free for board in {board for board, _ in in_use}}
    for (board, size), count in in_use.items():
        if count > free[board][size]:
            need[board, instance.true(size)] = count - free[board][size]
    return need

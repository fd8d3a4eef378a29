"""The restricted master heuristic: the best solution that the columns in the pool make, over all boards at once.

References
----------
Joncour, Michel, Sadykov, Sverdlov & Vanderbeck (2010), Electron. Notes Discrete Math. 36: primal heuristics based on
column generation.
"""

from collections.abc import Sequence

from nesting.packing.board_lp import Column
from nesting.packing.instance import Instance
from nesting.packing.master import MasterProblem
from nesting.packing.solution import Sheet
from nesting.packing.state import SolverState

__all__ = ["RestrictedMaster", "combine"]

FIRST_SECONDS, SECONDS = 0.25, 2.0
"""The limit of the first solve by the clock, which doubles from one solve to the next, and that of the last."""

MANY = 5
"""From so many items in a lot on, on average, SCIP is better at counting patterns; below, CP-SAT at choosing them."""


class RestrictedMaster:
    """Solves the master problem over the columns in the pool whenever there are more than the last time."""

    def __init__(self) -> None:
        self._count = 0
        self._seconds = FIRST_SECONDS

    def begin_objective(self) -> None:
        """Combine the columns again, whether or not there are more of them."""
        self._count = 0
        self._seconds = FIRST_SECONDS

    def solve(self, state: SolverState) -> None:
        """Look for a solution better than the incumbent."""
        incumbent = state.incumbent
        if incumbent.settled or state.stop():
            return
        columns = state.pools.columns()
        if len(columns) == self._count:
            return
        self._count = len(columns)
        combine(state, columns, self._seconds)
        self._seconds = min(2 * self._seconds, SECONDS)


def combine(state: SolverState, columns: Sequence[tuple[int, Column]], seconds: float) -> bool:
    """Look for a solution better than the incumbent that these columns make, each given with its board.

    Returns whether it is certain that they make none.
    """
    incumbent = state.incumbent
    master = MasterProblem(state.instance, incumbent.goal, _solver(state.instance))
    if incumbent.value is not None:
        master.limit_objective(incumbent.value - 1)
    master.add_columns(columns)
    found = master.solve(min(state.stop.left(), seconds))
    if found.cost is not None:
        sheets = [
            Sheet(board, column.stock, column.part)
            for (board, column), count in zip(columns, found.column_counts, strict=True)
            for _ in range(count)
        ]
        incumbent.keep(found, sheets)
    return found.infeasible


def _solver(instance: Instance) -> str:
    """Return the solver that suits an instance, by the name that OR-Tools gives it."""
    return "SCIP" if instance.items >= MANY * len(instance.lots) else "SAT"

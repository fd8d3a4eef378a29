"""The second objective: among the solutions that cost least, one with more pieces in the boards that they like best.

The objectives are lexicographic: the cost never rises.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence

from nesting.packing.instance import Instance
from nesting.packing.master import MasterProblem, MasterSolution
from nesting.packing.solution import Sheet, Solution
from nesting.packing.state import SolverState

__all__ = ["improve_preference", "pieces_pleased"]

CANDIDATES = 6
"""How many master solutions are tried."""

Cut = Callable[[SolverState, MasterSolution], tuple[list[Sheet] | None, int | None]]


def pieces_pleased(instance: Instance, boards: Sequence[int]) -> int:
    """Return how many pieces have the boards that they like best in every layer, if the lots have these boards."""
    return sum(
        len(instance.lots[numbers[0]].items)
        for numbers in _pieces(instance)
        if all(boards[number] == instance.lots[number].boards[0] for number in numbers)
    )


def _pieces(instance: Instance) -> list[list[int]]:
    """List the lots of each piece."""
    found: dict[object, list[int]] = defaultdict(list)
    for number, lot in enumerate(instance.lots):
        found[("alone", number) if lot.piece is None else lot.piece].append(number)
    return list(found.values())


def improve_preference(state: SolverState, cut: Cut) -> None:
    """Replace the incumbent by a solution that costs no more and has more pieces in the boards that they like best.

    Parameters
    ----------
    state : SolverState
        With an incumbent, which stays if no such solution is found.
    cut : callable
        Cuts everything from a master solution: returns the sheets, or None and the board whose sheets were not enough.

    Notes
    -----
    A heuristic: the master solution that pleases most by the valid inequalities is tried first, then others, a few in
    all.
    """
    instance, best = state.instance, state.incumbent.solution
    if best is None or all(len(lot.boards) == 1 for lot in instance.lots):
        return
    master = MasterProblem(instance)
    for inequality in state.pools.inequalities:
        master.add_inequality(inequality)
    master.maximise_preference(best.cost, _pieces(instance))
    for _ in range(CANDIDATES):
        candidate = master.solve(1.0, 0.2)
        if state.stop() or candidate.cost is None:
            return
        if pieces_pleased(instance, candidate.boards) <= pieces_pleased(instance, best.boards):
            return
        sheets, failed = cut(state, candidate)
        if sheets is not None:
            solution = Solution(candidate.boards, tuple(sheets), candidate.counts, candidate.cost)
            state.incumbent.replace(solution)
            return
        if failed is None:
            return
        master.add_no_good(candidate.no_good(failed))

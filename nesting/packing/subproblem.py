"""The subproblem of one board: whether all its items can be cut from the sheets of a master solution, exactly.

`set_enumeration` decides it. This module chooses the valid inequality that leaves least to enumerate, and after a *no*
the no-good that forbids most.
"""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import replace

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.master import MasterSolution, NoGood
from nesting.packing.pattern import GrownSize
from nesting.packing.pricing import ValidInequality
from nesting.packing.set_enumeration import Decision, Verdict, decide
from nesting.packing.solution import Sheet, lots_demand, price_tags
from nesting.packing.state import SolverState

__all__ = ["solve_subproblem"]


def solve_subproblem(
    state: SolverState, candidate: MasterSolution, board: int
) -> tuple[list[Sheet] | None, NoGood | None]:
    """Decide whether all items of a board can be cut from the sheets that a master solution has for it.

    Parameters
    ----------
    state : SolverState
        The inequalities in its pool help, and its linear programmes find better ones.
    candidate : MasterSolution
        With a board for each lot.
    board : int
        The board.

    Returns
    -------
    list of Sheet or None
        The sheets, if they can.
    NoGood or None
        What is proven not to be enough, if they cannot. Both are None if it could not be decided in the time.

    Notes
    -----
    A no-good is strengthened if it holds even when every lot that may have the board adds its fallouts: first for the
    lots that must have the board, so that it holds whichever board the others get, then for all that have it.
    """
    exact = _Subproblem(state, board, candidate)
    instance = state.instance
    lots = [number for number, lot in enumerate(instance.lots) if board in lot.boards]
    fixed = [n for n in lots if len(instance.lots[n].boards) == 1 and n not in instance.optional_lots]
    mine = [number for number in lots if candidate.boards[number] == board]
    decision = exact.decide(mine, mine)
    if decision.verdict is Verdict.YES:
        return [Sheet(board, size, part) for size, part in decision.sheets], None
    if decision.verdict is Verdict.UNKNOWN:
        return None, None
    no_good = candidate.no_good(board)
    for needed in (fixed, mine) if len(fixed) < len(lots) else ():
        if needed and not state.stop() and exact.decide(needed, lots).verdict is Verdict.NO:
            return None, replace(no_good, needed=frozenset(needed), there=frozenset(lots))
    return None, replace(no_good, there=no_good.there.union(_adding_nothing(instance, board, lots)))


def _adding_nothing(instance: Instance, board: int, lots: Collection[int]) -> list[int]:
    """List the lots from whose fallouts none of the lots can be cut."""
    sizes = {instance.lots[number].size for number in lots}

    def is_useful(fallout: Size) -> bool:
        return any(instance.fits(size, board, [fallout]) for size in sizes)

    return [number for number in lots if not any(is_useful(fallout) for fallout in instance.lots[number].fallouts)]


class _Subproblem:
    """One board and the sheets that a master solution has for it."""

    def __init__(self, state: SolverState, board: int, candidate: MasterSolution) -> None:
        self.state, self.board = state, board
        instance = state.instance
        self.bought = Counter({instance.grown(s): c for (b, s), c in candidate.used.items() if b == board})
        self.tags: dict[GrownSize, int] = {}
        for size, price, _ in price_tags(instance, board, limited=False):
            self.tags[instance.grown(size)] = price

    def decide(self, needed: Collection[int], there: Collection[int]) -> Decision:
        """Decide whether the lots in `needed` can be cut with the fallouts of those in `there`."""
        state, lp = self.state, self.state.pools.board_lp(self.board)
        demand = lots_demand(state.instance, needed, self.board).demand
        free = lots_demand(state.instance, there, self.board).free
        have = free + self.bought
        wanted = [demand[kind] for kind in lp.pricer.kinds]
        proven, _ = lp.solve(
            wanted,
            free,
            price=self.tags,
            missing=[2.0 * max(self.tags.values(), default=1)] * len(wanted),
            enough=lambda inequality: inequality.slack(demand, have) < 0,
            work=0,
            stop=state.stop,
        )
        inequalities = [*state.pools.inequalities_of(self.board), *proven]
        tightest = min(inequalities, key=lambda its: _slack_in_sheets(its, demand, have), default=None)
        if tightest is None:
            return Decision(Verdict.UNKNOWN)
        return decide(lp.pricer, tightest, demand, have, room=state.pools.engine.boxes, stop=state.stop)


def _slack_in_sheets(
    inequality: ValidInequality, demand: Mapping[GrownSize, int], have: Mapping[GrownSize, int]
) -> float:
    """Return the slack of an inequality, in sheets of the size that is worth most, so that two can be compared."""
    return inequality.slack(demand, have) / max(1, *inequality.worth.values())

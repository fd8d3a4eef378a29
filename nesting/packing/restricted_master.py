"""The cheapest choice among all patterns pools, over all boards at once."""

from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Instance
from nesting.packing.master import MasterProblem
from nesting.packing.pools import Pools
from nesting.packing.solution import Sheet
from nesting.packing.stop import Stop

__all__ = ["RestrictedMaster"]


class RestrictedMaster:
    """Chooses anew whenever there are more patterns than the last time.

    Parameters
    ----------
    instance : Instance
        The problem.
    pools : Pools
        Has the patterns.
    best : Incumbent
        Keeps a choice that is cheaper.
    stop : Stop
        When to stop.
    """

    def __init__(self, instance: Instance, pools: Pools, best: Incumbent, stop: Stop) -> None:
        self._instance, self._pools, self._incumbent, self._stop = instance, pools, best, stop
        self._count = 0

    def choose(self) -> None:
        """Find the cheapest choice that is cheaper than the best, as far as two seconds go."""
        best = self._incumbent
        if best.settled or self._stop():
            return
        patterns = [(board, column) for board, lp in self._pools.board_lps.items() for column in lp.columns]
        if len(patterns) == self._count:
            return
        self._count = len(patterns)
        master = MasterProblem(self._instance, "SCIP")
        if best.solution is not None:
            master.limit_cost(best.solution.cost - 1)
        master.add_columns(patterns)
        answer = master.solve(min(self._stop.left(), 2.0), 0.5)
        if answer.cost is None:
            return
        best.keep(
            answer,
            [
                Sheet(board, column.stock, column.part)
                for (board, column), count in zip(patterns, answer.column_counts, strict=True)
                for _ in range(count)
            ],
        )

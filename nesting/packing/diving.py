"""Diving: the solution of the linear programme over all boards is made whole, a few patterns at a time.

The columns that come nearest to a whole number are used so often for good, and the linear programme is solved again;
where that has made it dearer, columns are generated for what is left. At the end each column is used a whole number of
times. The columns that a dive generates are of use beyond it, because they go together with others: all columns are
combined after a dive, which finds more than the dive itself. It is dived once; after that, and each time again, a share
of the sheets is cut anew (`neighbourhoods`).

It needs columns that have no more of any kind than there are (`bounded_pricing`); with others it comes to little.

Where it wins: walls of more than a hundred pieces on boards that many may choose between, and many copies of a few
kinds on several sizes of sheet. Its limits: it needs the linear programme solved, and knows only approximate prices.

References
----------
Sadykov, Vanderbeck, Pessoa, Tahiri & Uchoa (2019), INFORMS J. Comput. 31: primal heuristics for branch and price, the
strong ones of which dive.
"""

from nesting.packing.bounding import Bounding
from nesting.packing.joint_lp import JointLP
from nesting.packing.neighbourhoods import Neighbourhoods
from nesting.packing.objective import Cost
from nesting.packing.restricted_master import combine
from nesting.packing.state import SolverState

__all__ = ["Diving"]

ITERATIONS, FEW = 20, 3
"""How often columns are generated before a dive, and at each step of it."""

DEARER = 1.0005
"""Columns are generated once the linear programme has become dearer by this much."""

SURE = 0.8
"""Columns that are used at least this share of a time more than a whole number are rounded up together."""

PORTION = 40
"""One in so many of the columns used in part is rounded up at each step, and at least one."""

OWN_SECONDS = 1.0
"""The limit by the clock for making a solution of the columns that a dive came to."""

SECONDS = 4.0
"""The limit for making one of all columns."""

SHARE = 0.5
"""It takes no more than this share of the time left."""

NEARLY = 1e-6
"""What is so near to a whole number is one."""


class Diving:
    """Keeps one linear programme over all boards, and dives in it once."""

    def __init__(self) -> None:
        self._lp: JointLP | None = None
        self._dived = False
        self._neighbourhoods = Neighbourhoods()

    def dive(self, state: SolverState, bounding: Bounding) -> None:
        """Solve the linear programme with the columns there are now, take what it proves, and go on from there.

        Only the cost is looked at, and only where nothing may be left out.
        """
        instance = state.instance
        if instance.optional or not isinstance(state.incumbent.goal.objective, Cost):
            return
        if self._lp is None:
            self._lp = JointLP(instance, state.pools, instance.boards_in_use, bounded=True)
        lp = self._lp
        proven, _ = lp.solve(state.pools, ITERATIONS, state.stop)
        bounding.add_inequalities(state, proven)
        if state.finished:
            return
        if not self._dived:
            self._dived = True
            used = self._descend(state, lp)
            if used:
                combine(state, [lp.columns[place] for place in used], OWN_SECONDS)
            if not state.finished:
                combine(state, lp.columns, min(SECONDS, SHARE * state.stop.left()))
        self._neighbourhoods.improve(state, lp)

    def _descend(self, state: SolverState, lp: JointLP) -> dict[int, int]:
        """Use columns for good until each is used a whole number of times, and return which, by place, how often.

        None are returned where time is up before, or it has become as dear as the incumbent.
        """
        used: dict[int, int] = {}
        priced_at = lp.cost
        try:
            while not self._is_lost(state, lp):
                partly: list[tuple[float, int, int]] = []
                for place, times in lp.times():
                    whole = int(times + NEARLY)
                    used[place] = max(whole, used.get(place, 0))
                    if times - whole > NEARLY:
                        partly.append((times - whole, place, whole + 1))
                if not partly:
                    return {place: times for place, times in used.items() if times}
                if not self._round_up(lp, used, partly):
                    break
                if lp.cost > DEARER * priced_at:
                    lp.solve(state.pools, FEW, state.stop)
                    if state.stop():  # and the linear programme may not be solved
                        break
                    priced_at = lp.cost
        finally:
            lp.use(dict.fromkeys(used, 0))
        return {}

    @staticmethod
    def _is_lost(state: SolverState, lp: JointLP) -> bool:
        return state.stop() or (state.incumbent.value is not None and lp.cost >= state.incumbent.value)

    @staticmethod
    def _round_up(lp: JointLP, used: dict[int, int], partly: list[tuple[float, int, int]]) -> bool:
        """Round up the columns that come nearest to a whole number, or the nearest alone; return whether that can be.

        Each is given with how near it comes, its place, and the whole number.
        """
        nearest = sorted(partly, reverse=True)
        many = max(1, len(partly) // PORTION, sum(near >= SURE for near, _, _ in partly))
        for count in dict.fromkeys((many, 1)):
            up = {place: times for _, place, times in nearest[:count]}
            if lp.use(used | up):
                used |= up
                return True
            lp.use({place: used[place] for place in up})
        return False

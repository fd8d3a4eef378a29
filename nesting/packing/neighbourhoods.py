"""Neighbourhoods of the incumbent: a share of its sheets is cut anew, the others stay as they are.

Which sheets stay is drawn, and those that cost most by the dual values are the first to go. With the sheets that stay
fixed, the linear programme shows whether there can be anything better; if so, the patterns are listed that it may take,
those of a reduced cost within what is left, and the restricted master decides among them. Where that found that there
is nothing, fewer sheets stay the next time; where it came to no end, more.

Where it wins: the last sheet or two on walls of more than a hundred pieces. Its limits: it needs an incumbent and the
linear programme of `diving`, and knows only approximate prices.

References
----------
Shaw (1998), CP98: large neighbourhood search. Danna, Rothberg & Le Pape (2005), Math. Program. 102: neighbourhoods by
the linear programme. Baldacci, Christofides & Mingozzi (2008), Math. Program. 115: enumeration by reduced cost.
"""

from collections import Counter
from random import Random

from nesting.packing.joint_lp import JointLP
from nesting.packing.restricted_master import combine
from nesting.packing.solution import Solution, usual_sheet
from nesting.packing.state import SolverState

__all__ = ["Neighbourhoods"]

FREED, LEAST_FREED, MOST_FREED = 0.5, 0.1, 0.9
"""The share of the sheets that are cut anew at first, at least and at most."""

GROWTH = 1.15
"""By what the share is multiplied or divided after each try."""

TRIES = 6
"""After so many tries in turn without a better solution the other stages have their turn."""

NOISE = 0.25
"""By how much a sheet may seem dearer than it is, as a share of what the usual sheet costs."""

ITERATIONS = 3
"""How often columns are generated with the sheets that stay fixed, before they are listed."""

COLUMNS = 8000
"""Of so many columns at most the restricted master is made, those of least reduced cost."""

SECONDS = 6.0
"""Its limit by the clock."""

SHARE = 0.6
"""It takes no more than this share of the time left."""


class Neighbourhoods:
    """Cuts a share of the sheets of the incumbent anew, try after try."""

    def __init__(self) -> None:
        self._freed = FREED
        self._tries = 0

    def improve(self, state: SolverState, lp: JointLP) -> None:
        """Look for something better in one neighbourhood after another, as long as it finds something now and then.

        Parameters
        ----------
        state : SolverState
            Its incumbent is replaced by what is better.
        lp : JointLP
            Over all boards, solved, with columns that have no more of a kind than there are.
        """
        failed = 0
        with state.stop.part(SHARE):
            while failed < TRIES and not state.finished:
                found = state.incumbent.solution
                if found is None:
                    break
                self._try(state, lp, found)
                failed = failed + 1 if state.incumbent.solution is found else 0

    def _try(self, state: SolverState, lp: JointLP, found: Solution) -> None:
        """Look in one neighbourhood, with the columns that a solution with one sheet less may have."""
        sheet = usual_sheet(state.instance, found)
        wanted = max(state.incumbent.bound, found.cost - sheet)
        fixed = self._draw(state, lp, found, NOISE * sheet)
        exhausted = True
        if lp.use(fixed):
            lp.solve(state.pools, ITERATIONS, state.stop)
            if not state.stop() and (gap := wanted - lp.cost) >= 0:
                lp.list_columns(state.pools, gap, state.stop)
                dear = lp.reduced_costs()
                near = [place for place in range(len(dear)) if dear[place] <= gap and place not in fixed]
                near = sorted(near, key=dear.__getitem__)[:COLUMNS]
                exhausted = combine(state, [lp.columns[place] for place in (*fixed, *near)], SECONDS)
        lp.use(dict.fromkeys(fixed, 0))
        freed = self._freed * GROWTH if exhausted else self._freed / GROWTH
        self._freed = min(MOST_FREED, max(LEAST_FREED, freed))

    def _draw(self, state: SolverState, lp: JointLP, found: Solution, noise: float) -> dict[int, int]:
        """Draw which sheets stay, and return how often which columns are to be used for that."""
        self._tries += 1
        chance = Random(state.seed + self._tries)  # noqa: S311 - not for secrets
        places = lp.places(state.pools, found.sheets)
        dear = lp.reduced_costs()
        places.sort(key=lambda place: dear[place] + chance.uniform(0, noise))
        return Counter(places[: int(len(places) * (1 - self._freed))])

"""The stages of a solve and the order of their turns, until the value of an objective and its bound meet.

The stages take turns. `board_searches` improve each board at fixed prices. `bounding` solves the master problem; its
optimum is the lower bound. Where the linear programme of a board shows that the sheets of a master solution are too
few, a new valid inequality is added and the master problem is solved again; where it does not, `primal` tries to cut
everything from master solutions better than the incumbent, by search or by an exact subproblem. Where the gap is large,
or that has failed, `diving` makes the linear programme whole first, and cuts a share of the sheets anew.
"""

from nesting.packing.board_searches import TURN, add_patterns, adopt_assignment, improve, open_searches
from nesting.packing.bounding import Bounding
from nesting.packing.diving import Diving
from nesting.packing.engine import Engine, interpreted
from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Instance
from nesting.packing.objective import Cost
from nesting.packing.prepare import prepared
from nesting.packing.primal import PrimalSearch
from nesting.packing.restricted_master import RestrictedMaster
from nesting.packing.solution import usual_sheet
from nesting.packing.state import SolverState

__all__ = ["Stages", "load_compiled"]

SMALL = 8
"""Jobs of up to this many items are searched without the compiled kernels first, which take longer to load."""

OPENING = 40
"""Rounds of search on each board before anything is proven."""

BURST = 5000
"""Rounds of search over all boards between two stages of pricing."""

FAR = 1.5
"""Where the gap is more than so many sheets of the usual price, the linear programme is dived in before anything is
proven; otherwise where that has failed."""

NEAR = 0.05
"""Up to this gap, what earlier solves left is proven before anything new is searched for."""


def load_compiled(state: SolverState) -> Engine:
    """Load the compiled kernels; the time of a first compiling does not count as time spent."""
    compiling = []

    def notice() -> None:
        compiling.append(state.stop.spent())
        state.incumbent.tell(preparing=True)

    engine = prepared(notice)
    for since in compiling:
        state.stop.leave_out(state.stop.spent() - since)
    return engine


class Stages:
    """The stages that keep something from one turn to the next, and the order of their turns."""

    def __init__(self, state: SolverState) -> None:
        self.bounding = Bounding(state)
        self.primal = PrimalSearch()
        self.diving = Diving()
        self.restricted_master = RestrictedMaster()
        self._begun = self._has_proved = False

    def minimise(self, state: SolverState) -> None:
        """Minimise the objective of the incumbent until its value and its bound meet or it is time to stop."""
        if not self._begun:
            self._begun = True
            self._begin(state)
        else:
            self._go_on(state)

    def _begin(self, state: SolverState) -> None:
        """Minimise the first objective."""
        incumbent = state.incumbent
        if state.pools.filled:
            self.resume(state)
        else:
            self.open(state, interpreted(), OPENING if state.instance.items <= SMALL else 0)
        # if the time is up before the compiler is loaded, a solution that there is must do
        if not incumbent.settled and (incumbent.solution is None or state.stop.left()):
            self.open(state, load_compiled(state), OPENING)
            self.improve(state)

    def _go_on(self, state: SolverState) -> None:
        """Minimise a later objective with what the earlier ones left."""
        if state.finished:
            return
        self.bounding.begin_objective(state)
        self.primal.begin_objective()
        self.restricted_master.begin_objective()
        self.bounding.solve_master(state, 1.0)
        self.restricted_master.solve(state)
        if not state.finished and state.pools.engine is interpreted():
            if state.instance.items <= SMALL:
                self.primal.quick_pass(state)
                self.prove(state)
            if not state.finished:
                self.open(state, load_compiled(state), OPENING)
        if not state.finished:
            self.primal.quick_pass(state)
        adopt_assignment(state)
        self.improve(state)

    def open(self, state: SolverState, engine: Engine, rounds: int) -> None:
        """Begin with these kernels: a first solution of every board, and what area proves."""
        fresh = engine is not state.pools.engine or not state.pools.filled
        if fresh:
            state.pools.use_engine(engine)
        open_searches(state, rounds)
        if fresh:
            self.bounding.prove_by_area(state)
        self.bounding.solve_master(state, 1.0)

    def resume(self, state: SolverState) -> None:
        """Begin with what earlier solves left in the pools: take what they found, bound the cost, combine columns."""
        state.incumbent.adopt(state.pools.solutions)
        if state.incumbent.settled:
            return
        self.bounding.solve_master(state)
        self.restricted_master.solve(state)
        if not state.incumbent.settled and state.incumbent.gap <= NEAR:
            self.prove(state)

    def improve(self, state: SolverState) -> None:
        """Search, price, combine columns and prove in turns until cost and bound meet or it is time to stop."""
        while not state.finished:
            improve(state, self._rounds(state))
            self.bounding.price(state)
            add_patterns(state)
            self.restricted_master.solve(state)
            adopt_assignment(state)
            if self.bounding.priced and not state.finished:
                if self._has_proved or self._is_far(state.instance, state.incumbent):
                    self.diving.dive(state, self.bounding)
                    adopt_assignment(state)
                self.prove(state)
                self._has_proved = True

    @staticmethod
    def _is_far(instance: Instance, incumbent: Incumbent) -> bool:
        """Whether more than a sheet or two could be saved, for all that is proven."""
        found, value = incumbent.solution, incumbent.value
        return found is None or value is None or value - incumbent.bound > FAR * usual_sheet(instance, found)

    def _rounds(self, state: SolverState) -> int:
        """Return how long the standing searches run: they only make what is cut already cheaper."""
        if self.bounding.priced or not isinstance(state.incumbent.goal.objective, Cost):
            return TURN
        return BURST // len(state.instance.boards_in_use)

    def prove(self, state: SolverState) -> None:
        """Solve the master problem and separate its solution; once nothing forbids it, the primal side tries.

        Whatever can be cut can nearly always be cut with one copy less, or with one piece less in the board it likes
        best. So only the cost has its master solutions separated at the bound. For the other objectives that is done on
        the primal side, a little better than the incumbent: if there is nothing, the incumbent is optimal.
        """
        while not state.finished:
            candidate = self.bounding.solve_master(state, 1.0)
            if not isinstance(state.incumbent.goal.objective, Cost):
                break
            if state.incumbent.settled or candidate.cost is None:
                return
            if not self.bounding.separate(state, candidate):
                break
        if self.primal.improve(state, self.bounding):
            self.bounding.raise_state_limit()

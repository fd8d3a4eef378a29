"""From an instance to a solution: local search, valid inequalities and the master problem, until cost and bound meet.

The stages take turns. `board_searches` improve each board at fixed prices. `bounding` solves the master problem; its
optimum is the lower bound. Where the linear programme of a board shows that the sheets of a master solution are too
few, a new valid inequality is added and the master problem is solved again; where it does not, `primal` tries to cut
everything from master solutions cheaper than the incumbent, by search or by an exact subproblem.
"""

from dataclasses import dataclass, replace

from nesting.model.status import SolveStatus
from nesting.packing.board_preference import improve_preference
from nesting.packing.board_searches import (
    TURN,
    add_patterns,
    adopt_assignment,
    first_assignment,
    improve,
    open_searches,
)
from nesting.packing.bounding import Bounding
from nesting.packing.engine import Engine, interpreted
from nesting.packing.incumbent import Incumbent, Report
from nesting.packing.instance import Instance
from nesting.packing.pools import Pools
from nesting.packing.prepare import prepared
from nesting.packing.primal import PrimalSearch
from nesting.packing.restricted_master import RestrictedMaster
from nesting.packing.solution import Solution
from nesting.packing.state import SolverState
from nesting.packing.stop import Stop

__all__ = ["Report", "Result", "begin", "load_compiled", "solve"]

SMALL = 16
"""Jobs of up to this many items are searched without the compiler first, which takes longer to load than they need."""

MIDDLING = 48
"""Jobs of up to this many items get a quick pass for cheaper solutions too before the compiler is loaded."""

OPENING = 40
"""Rounds of search on each board before anything is proven."""

BURST = 5000
"""Rounds of search over all boards between two stages of pricing."""


@dataclass(frozen=True, slots=True)
class Result:
    """How the solve ended, the best solution found, None if there is none, and the lower bound."""

    status: SolveStatus
    solution: Solution | None
    bound: int

    @classmethod
    def of(cls, incumbent: Incumbent, *, interrupted: bool) -> "Result":
        """Return the result of a solve that ended with this incumbent.

        What is proven stays proven, even if the solve was interrupted afterwards.
        """
        solution, bound = incumbent.solution, incumbent.bound
        if incumbent.infeasible:
            status = SolveStatus.INFEASIBLE
        elif solution is not None and solution.cost == bound:
            status = SolveStatus.PROVEN_OPTIMAL
        elif interrupted:
            status = SolveStatus.INTERRUPTED
        elif solution is None:
            status = SolveStatus.NOT_FOUND
        else:
            status = SolveStatus.LIMIT_REACHED
        return cls(status, solution, bound)

    def interrupted(self) -> "Result":
        """Return the result of a solve that was interrupted after this: what is proven stays proven."""
        if self.status is SolveStatus.LIMIT_REACHED:
            return replace(self, status=SolveStatus.INTERRUPTED)
        return self


def solve(
    instance: Instance,
    stop: Stop,
    seed: int = 0,
    report: Report | None = None,
    *,
    pools: Pools | None = None,
    first: bool = False,
    liked: bool = True,
) -> Result:
    """Return the cheapest solution that can be found before it is time to stop, and a bound that holds in any case.

    Parameters
    ----------
    instance : Instance
        What is to be cut from what.
    stop : Stop
        When to stop. An interrupt (Ctrl-C) stops too, with the best so far.
    seed : int
        Chooses among equals and steers the search.
    report : callable, optional
        Told the seconds spent, the cost (None before there is a solution) and the bound, whenever one of them moves,
        and whether the kernels are being compiled, which is done once on a machine.
    pools : Pools, optional
        Columns and inequalities of other instances of the same boards; this solve adds to them.
    first : bool
        Whether the first solution found is enough.
    liked : bool
        Whether to look, among solutions that cost the same, for one with boards that are liked better.

    Returns
    -------
    Result
        Exact where cost and bound meet, heuristic otherwise.
    """
    state = begin(instance, stop, seed, report, pools or Pools(instance), first=first)
    solver = _Solver(state)
    interrupted = False
    try:
        _run(solver, state, preference=liked and not first)
    except KeyboardInterrupt:
        interrupted = True
    return Result.of(state.incumbent, interrupted=interrupted)


def begin(
    instance: Instance, stop: Stop, seed: int, report: Report | None, pools: Pools, *, first: bool
) -> SolverState:
    """Return the state of a solve that has not begun, with the parameters of `solve`."""
    incumbent = Incumbent(instance, stop.spent, report, first=first)
    return SolverState(instance, stop, seed, pools, incumbent, first_assignment(instance))


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


def _run(solver: "_Solver", state: SolverState, *, preference: bool) -> None:
    """Run the stages until everything is settled or it is time to stop."""
    incumbent = state.incumbent
    if state.pools.filled:
        solver.resume(state)
    else:
        solver.open(state, interpreted(), OPENING if state.instance.items <= SMALL else 0)
        if state.instance.items <= MIDDLING and solver.primal.quick_pass(state):
            solver.bounding.raise_state_limit()
    # if the time is up before the compiler is loaded, a solution that there is must do
    if not incumbent.settled and (incumbent.solution is None or state.stop.left()):
        solver.open(state, load_compiled(state), OPENING)
        solver.improve(state)
    if preference and incumbent.solution is not None and not state.stop():
        improve_preference(state, solver.primal.search_all)


class _Solver:
    """The stages that keep something from one turn to the next, and the order of their turns."""

    def __init__(self, state: SolverState) -> None:
        self.bounding = Bounding(state)
        self.primal = PrimalSearch()
        self.restricted_master = RestrictedMaster()

    def open(self, state: SolverState, engine: Engine, rounds: int) -> None:
        """Begin with these kernels: a first solution of every board, and what area proves."""
        fresh = engine is not state.pools.engine or not state.pools.filled
        if fresh:
            state.pools.use_engine(engine)
        open_searches(state, rounds)
        if fresh:
            self.bounding.prove_by_area(state)
        self.bounding.solve_master(state)

    def resume(self, state: SolverState) -> None:
        """Begin with what earlier solves left in the pools: bound the cost and combine the columns."""
        self.bounding.solve_master(state)
        self.restricted_master.solve(state)
        if not state.incumbent.settled:
            self.prove(state)

    def improve(self, state: SolverState) -> None:
        """Search, price, combine columns and prove in turns until cost and bound meet or it is time to stop."""
        while not state.finished:
            improve(state, TURN if self.bounding.priced else BURST // len(state.instance.boards_in_use))
            self.bounding.price(state)
            add_patterns(state)
            self.restricted_master.solve(state)
            adopt_assignment(state)
            if self.bounding.priced and not state.finished:
                self.prove(state)

    def prove(self, state: SolverState) -> None:
        """Solve the master problem and separate its solution; once nothing forbids it, the primal side tries."""
        while not state.finished:
            candidate = self.bounding.solve_master(state, 1.0)
            if state.incumbent.settled or candidate.cost is None:
                return
            if not self.bounding.separate(state, candidate):
                break
        if self.primal.improve(state, self.bounding):
            self.bounding.raise_state_limit()

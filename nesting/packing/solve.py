"""From an instance to a solution: local search, valid inequalities and the master problem, until cost and bound meet.

The stages take turns. `board_searches` improve each board at fixed prices. `bounding` solves the master problem; its
optimum is the lower bound. Where the linear programme of a board shows that the sheets of a master solution are too
few, a new valid inequality is added and the master problem is solved again; where it does not, `primal` tries to cut
everything from master solutions cheaper than the incumbent, by search or by an exact subproblem.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.packing.board_preference import preference_objectives
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
from nesting.packing.objective import Cost, Objective, SoftConstraint, Violations, value
from nesting.packing.pools import Pools
from nesting.packing.prepare import prepared
from nesting.packing.primal import PrimalSearch
from nesting.packing.restricted_master import RestrictedMaster
from nesting.packing.solution import Solution
from nesting.packing.state import SolverState
from nesting.packing.stop import Stop

__all__ = ["Count", "Report", "Result", "begin", "levels_by_priority", "load_compiled", "solve", "solve_selection"]

SMALL = 16
"""Jobs of up to this many items are searched without the compiler first, which takes longer to load than they need."""

MIDDLING = 48
"""Jobs of up to this many items get a quick pass for cheaper solutions too before the compiler is loaded."""

OPENING = 40
"""Rounds of search on each board before anything is proven."""

BURST = 5000
"""Rounds of search over all boards between two stages of pricing."""


FIRST_SHARE, COST_SHARE = 0.5, 0.7
"""The shares of the time left that an objective before the cost may take, and the cost if other objectives follow."""


@dataclass(frozen=True, slots=True)
class Count:
    """How many copies, or what weight of them, a solution has as an objective wants, and the upper bound of that."""

    count: int
    most: int

    @property
    def proven(self) -> bool:
        """Whether no solution has more."""
        return self.count == self.most


@dataclass(frozen=True, slots=True)
class Result:
    """The best solution found, None if there is none, and the lower bound of the cost.

    `selection` says for each level of `solve_selection` what is cut; the bound of each level holds for solutions that
    have what is cut of the levels before, and so does `bound`. `preference` says how many copies have their first
    boards, then how many their first or second boards, and so on, of solutions that cost no more. Both are empty where
    nothing was asked.
    """

    solution: Solution | None
    bound: int
    interrupted: bool
    infeasible: bool
    selection: tuple[Count, ...] = ()
    preference: tuple[Count, ...] = ()


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
        What is to be cut from what, nothing of it optional.
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
    preferences = preference_objectives(instance) if liked and not first else ()
    state = begin(instance, stop, seed, report, pools or Pools(instance), first=first)
    return _minimise_all(state, (), preferences)


def solve_selection(
    instance: Instance,
    levels: Sequence[Sequence[int]],
    stop: Stop,
    seed: int = 0,
    report: Report | None = None,
    *,
    pools: Pools | None = None,
    liked: bool = True,
) -> Result:
    """Return which optional copies are best cut where not all can be, and the cheapest solution of them.

    Parameters
    ----------
    instance : Instance
        With the limits in force, and with optional copies.
    levels : Sequence of Sequence of int
        For each level the weights of the optional copies, whole numbers that are nothing or more. The weight of the
        copies cut is maximised level by level, the first level first (`levels_by_priority`).
    stop, seed, report, pools, liked
        As of `solve`.

    Returns
    -------
    Result
        The selection is exact where every level of it is proven. Then comes the cost, then the boards liked best.

    Raises
    ------
    ValueError
        If a level does not have a weight for each copy.
    """
    objectives = tuple(_left_out(instance, weights) for weights in levels)
    preferences = preference_objectives(instance) if liked else ()
    first = objectives[0] if objectives else Cost()
    state = begin(instance, stop, seed, report, pools or Pools(instance), objective=first)
    return _minimise_all(state, objectives, preferences)


def levels_by_priority(priorities: Sequence[int | None]) -> tuple[tuple[int, ...], ...]:
    """Return the levels of `solve_selection` by which as many copies of priority 1 as possible are cut, then of 2, ...

    Parameters
    ----------
    priorities : Sequence of int or None
        The priority of each optional copy; copies that have none come last.
    """
    ordered = sorted(set(priorities), key=lambda priority: (priority is None, priority))
    return tuple(tuple(int(its == priority) for its in priorities) for priority in ordered)


def _left_out(instance: Instance, weights: Sequence[int]) -> Violations:
    """Return the objective that counts the weight of the copies left out."""
    copies = zip(instance.optional, weights, strict=True)
    return Violations(tuple(SoftConstraint(copy.lots[:1], weight) for copy, weight in copies if weight))


def begin(
    instance: Instance,
    stop: Stop,
    seed: int,
    report: Report | None,
    pools: Pools,
    *,
    objective: Objective | None = None,
    first: bool = False,
) -> SolverState:
    """Return the state of a solve that has not begun, with the parameters of `solve`.

    Where everything is optional, the incumbent is to cut nothing.
    """
    incumbent = Incumbent(instance, stop.spent, report, objective or Cost(), first=first)
    if instance.optional and len(instance.optional_lots) == len(instance.lots):
        incumbent.buy((None,) * len(instance.lots), ())
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


def _minimise_all(state: SolverState, selection: Sequence[Violations], preferences: Sequence[Violations]) -> Result:
    """Minimise one objective after the other: what is left out, the cost, and what is not liked best."""
    incumbent, solver = state.incumbent, _Solver(state)
    parts: list[tuple[Objective, float]] = [(its, FIRST_SHARE) for its in selection]
    parts.append((Cost(), COST_SHARE if selection else 1.0))
    parts += [(its, 1.0) for its in preferences]
    bounds: list[int] = []
    interrupted = False
    try:
        for objective, share in parts:
            with state.stop.part(share):
                bounds.append(0)
                try:
                    solver.minimise(state, objective)
                finally:
                    bounds[-1] = incumbent.bound
            if incumbent.solution is None or state.stop():
                break
    except KeyboardInterrupt:
        interrupted = True
    found, most = incumbent.solution, len(selection)
    bounds += [0] * (len(parts) - len(bounds))
    return Result(
        found,
        incumbent.cost_bound,
        interrupted,
        incumbent.infeasible,
        () if found is None else _counts(state.instance, found, selection, bounds),
        () if found is None else _counts(state.instance, found, preferences, bounds[most + 1 :]),
    )


def _counts(
    instance: Instance, found: Solution, objectives: Sequence[Violations], bounds: Sequence[int]
) -> tuple[Count, ...]:
    return tuple(
        Count(its.total - value(instance, its, found.boards, found.cost), its.total - bound)
        for its, bound in zip(objectives, bounds, strict=False)
    )


class _Solver:
    """The stages that keep something from one turn to the next, and the order of their turns."""

    def __init__(self, state: SolverState) -> None:
        self.bounding = Bounding(state)
        self.primal = PrimalSearch()
        self.restricted_master = RestrictedMaster()
        self._begun = False

    def minimise(self, state: SolverState, objective: Objective) -> None:
        """Minimise an objective until its value and its bound meet or it is time to stop."""
        if not self._begun:
            self._begun = True
            self._begin(state)
        else:
            state.incumbent.next_objective(objective)
            self._go_on(state)

    def _begin(self, state: SolverState) -> None:
        """Minimise the first objective."""
        incumbent = state.incumbent
        if state.pools.filled:
            self.resume(state)
        else:
            self.open(state, interpreted(), OPENING if state.instance.items <= SMALL else 0)
            if state.instance.items <= MIDDLING and self.primal.quick_pass(state):
                self.bounding.raise_state_limit()
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
        if not state.finished:
            self.primal.quick_pass(state)
        if not state.finished and state.pools.engine is interpreted():
            self.prove(state)
            if not state.finished:
                self.open(state, load_compiled(state), OPENING)
        if isinstance(state.incumbent.goal.objective, Cost):
            adopt_assignment(state)
            self.improve(state)
        while not state.finished:
            self.prove(state)
            self.restricted_master.solve(state)

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

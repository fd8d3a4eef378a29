"""From an instance to a solution: local search, valid inequalities and the master problem, until cost and bound meet.

The stages take turns. `board_searches` improve each board at fixed prices. `bounding` solves the master problem; its
optimum is the lower bound. Where the linear programme of a board shows that the sheets of a master solution are too
few, a new valid inequality is added and the master problem is solved again; where it does not, `primal` tries to cut
everything from master solutions cheaper than the incumbent, by search or by an exact subproblem.
"""

from dataclasses import dataclass

from nesting.packing.board_preference import improve_preference
from nesting.packing.board_searches import TURN, BoardSearches
from nesting.packing.bounding import Bounding
from nesting.packing.engine import Engine, interpreted
from nesting.packing.incumbent import Incumbent, Report
from nesting.packing.instance import Instance
from nesting.packing.pools import Pools
from nesting.packing.prepare import prepared
from nesting.packing.primal import PrimalSearch
from nesting.packing.restricted_master import RestrictedMaster
from nesting.packing.solution import Solution
from nesting.packing.stop import Stop

__all__ = ["Report", "Result", "solve"]

SMALL = 16
"""Jobs of so many items or fewer are searched without the compiler first, which takes longer to load than they need."""

MIDDLING = 48
"""Jobs of so many items or fewer are looked over for cheaper baskets too before the compiler is loaded."""

OPENING = 40
"""Rounds of search on each board before anything is proven."""

BURST = 5000
"""Rounds of search over all boards between two stages of pricing."""


@dataclass(frozen=True, slots=True)
class Result:
    """The best solution found, None if there is none, and the lower bound."""

    solution: Solution | None
    bound: int
    interrupted: bool
    infeasible: bool


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
    """Return the cheapest cutting that can be found before it is time to stop, and a bound that holds in any case.

    Parameters
    ----------
    instance : Instance
        What is to be cut from what.
    stop : Stop
        When to stop. An interrupt (Ctrl-C) stops too, with the best so far.
    seed : int
        Chooses among equals and steers the search.
    report : callable, optional
        Told the seconds spent, the cost (None before there is a cutting) and the bound, whenever one of them moves, and
        whether the kernels are being compiled, which is done once on a machine.
    pools : Pools, optional
        What other instances of the same boards have taught; this one adds to it.
    first : bool
        Whether the first cutting found will do.
    liked : bool
        Whether to look, among those that cost the same, for one with boards that are liked better.

    Returns
    -------
    Result
        Exact where cost and bound meet, heuristic otherwise.
    """
    solver = _Solver(instance, stop, seed, report, pools or Pools(instance), first=first)
    best = solver.incumbent
    interrupted = False
    try:
        if solver.pools.begun:
            solver.resume()
        else:
            solver.open(interpreted(), OPENING if instance.items <= SMALL else 0)
            if instance.items <= MIDDLING:
                solver.primal.quick_pass()
        # where the time is up before the compiler is loaded, what there is must do
        if not best.settled and (best.solution is None or stop.left()):
            solver.open(solver.prepare(), OPENING)
            solver.run()
        if liked and not first:
            solver.please()
    except KeyboardInterrupt:
        interrupted = True
    return Result(best.solution, best.bound, interrupted, best.infeasible)


class _Solver:
    def __init__(
        self, instance: Instance, stop: Stop, seed: int, report: Report | None, pools: Pools, *, first: bool
    ) -> None:
        self.instance, self.stop, self.pools = instance, stop, pools
        self.incumbent = Incumbent(instance, stop, report, first=first)
        self.searches = BoardSearches(instance, pools, self.incumbent, stop, seed)
        self.bounding = Bounding(instance, pools, self.incumbent, self.searches, stop)
        self.primal = PrimalSearch(instance, pools, self.incumbent, self.searches, bounding=self.bounding, stop=stop)
        self.restricted_master = RestrictedMaster(instance, pools, self.incumbent, stop)

    def prepare(self) -> Engine:
        """Load the compiled kernels; the time of a first compiling is not the search's."""
        compiling = []

        def notice() -> None:
            compiling.append(self.stop.spent())
            self.incumbent.tell(preparing=True)

        engine = prepared(notice)
        for since in compiling:
            self.stop.leave_out(self.stop.spent() - since)
        return engine

    def open(self, engine: Engine, rounds: int) -> None:
        """Begin with these kernels: a first cutting of every board, and what area proves."""
        fresh = engine is not self.pools.engine or not self.pools.begun
        if fresh:
            self.pools.use_engine(engine)
        self.searches.open(rounds)
        if fresh:
            self.bounding.by_area()
        self.bounding.solve_master()

    def resume(self) -> None:
        """Begin with what is pools: the cheapest basket by its inequalities and the best choice among its patterns."""
        self.bounding.solve_master()
        self.restricted_master.choose()
        if not self.incumbent.settled:
            self.prove()

    def run(self) -> None:
        """RuinRecreate and prove in turns until cost and bound meet or it is time to stop."""
        while not self.stop() and not self.incumbent.settled:
            self.searches.improve(TURN if self.bounding.priced else BURST // len(self.searches.busy))
            self.bounding.price()
            self.recombine()
            if self.bounding.priced and not self.incumbent.settled and not self.stop():
                self.prove()

    def recombine(self) -> None:
        """Choose anew among all patterns pools, over all boards at once, and search on from there."""
        self.searches.add_patterns()
        self.restricted_master.choose()
        self.searches.adopt_assignment()

    def prove(self) -> None:
        """Solve the master problem and separate its solution; where nothing forbids it, let the primal side try."""
        while not self.stop() and not self.incumbent.settled:
            answer = self.bounding.solve_master(1.0)
            if self.incumbent.settled or answer.cost is None:
                return
            if not self.bounding.separate(answer):
                break
        self.primal.improve()

    def please(self) -> None:
        """Among the cuttings that cost no more, find one that the pieces like better."""
        if self.incumbent.solution is not None and not self.stop():
            self.incumbent.solution = improve_preference(
                self.instance, self.pools.inequalities, self.incumbent.solution, self.primal.cut, self.stop
            )

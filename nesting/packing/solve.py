"""From an instance to a cutting: searches, proven rules and baskets, until cost and bound meet or time is up.

The work goes round in turns. *Searches* cut each board ever better at fixed prices. *Proving* finds the cheapest
purchase that no proven rule forbids; what it costs is the bound. Where a board's linear programme shows that basket to
be too small, a new rule is proven and the basket is found anew; where it does not, *aiming* tries to cut everything
from baskets cheaper than the best, by search or by an exact decision, until one costs no more than the bound.
"""

from dataclasses import dataclass

from nesting.packing.board_preference import like_best
from nesting.packing.board_searches import TURN, Searches
from nesting.packing.bounding import Proving
from nesting.packing.engine import Engine, interpreted
from nesting.packing.incumbent import Best, Report
from nesting.packing.instance import Instance
from nesting.packing.pools import Known
from nesting.packing.prepare import prepared
from nesting.packing.primal import Aiming
from nesting.packing.restricted_master import Choosing
from nesting.packing.solution import Cutting
from nesting.packing.stop import Stop

__all__ = ["Report", "Solution", "solve"]

SMALL = 16
"""Jobs of so many items or fewer are searched without the compiler first, which takes longer to load than they need."""

MIDDLING = 48
"""Jobs of so many items or fewer are looked over for cheaper baskets too before the compiler is loaded."""

OPENING = 40
"""Rounds of search on each board before anything is proven."""

BURST = 5000
"""Rounds of search over all boards between two stages of pricing."""


@dataclass(frozen=True, slots=True)
class Solution:
    """The best cutting found, None if there is none, and what no cutting can cost less than."""

    cutting: Cutting | None
    bound: int
    interrupted: bool
    impossible: bool


def solve(
    instance: Instance,
    stop: Stop,
    seed: int = 0,
    report: Report | None = None,
    *,
    known: Known | None = None,
    first: bool = False,
    liked: bool = True,
) -> Solution:
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
    known : Known, optional
        What other instances of the same boards have taught; this one adds to it.
    first : bool
        Whether the first cutting found will do.
    liked : bool
        Whether to look, among those that cost the same, for one with boards that are liked better.

    Returns
    -------
    Solution
        Exact where cost and bound meet, heuristic otherwise.
    """
    solver = _Solver(instance, stop, seed, report, known or Known(instance), first=first)
    best = solver.best
    interrupted = False
    try:
        if solver.known.begun:
            solver.resume()
        else:
            solver.open(interpreted(), OPENING if instance.items <= SMALL else 0)
            if instance.items <= MIDDLING:
                solver.aiming.glance()
        # where the time is up before the compiler is loaded, what there is must do
        if not best.settled and (best.cutting is None or stop.left()):
            solver.open(solver.prepare(), OPENING)
            solver.run()
        if liked and not first:
            solver.please()
    except KeyboardInterrupt:
        interrupted = True
    return Solution(best.cutting, best.bound, interrupted, best.impossible)


class _Solver:
    def __init__(
        self, instance: Instance, stop: Stop, seed: int, report: Report | None, known: Known, *, first: bool
    ) -> None:
        self.instance, self.stop, self.known = instance, stop, known
        self.best = Best(instance, stop, report, first=first)
        self.searches = Searches(instance, known, self.best, stop, seed)
        self.proving = Proving(instance, known, self.best, self.searches, stop)
        self.aiming = Aiming(instance, known, self.best, self.searches, proving=self.proving, stop=stop)
        self.choosing = Choosing(instance, known, self.best, stop)

    def prepare(self) -> Engine:
        """Load the compiled kernels; the time of a first compiling is not the search's."""
        compiling = []

        def notice() -> None:
            compiling.append(self.stop.spent())
            self.best.tell(preparing=True)

        engine = prepared(notice)
        for since in compiling:
            self.stop.leave_out(self.stop.spent() - since)
        return engine

    def open(self, engine: Engine, rounds: int) -> None:
        """Begin with these kernels: a first cutting of every board, and what area proves."""
        fresh = engine is not self.known.engine or not self.known.begun
        if fresh:
            self.known.take(engine)
        self.searches.open(rounds)
        if fresh:
            self.proving.by_area()
        self.proving.cheapest()

    def resume(self) -> None:
        """Begin with what is known: the cheapest basket by its rules and the best choice among its patterns."""
        self.proving.cheapest()
        self.choosing.choose()
        if not self.best.settled:
            self.prove()

    def run(self) -> None:
        """Search and prove in turns until cost and bound meet or it is time to stop."""
        while not self.stop() and not self.best.settled:
            self.searches.improve(TURN if self.proving.priced else BURST // len(self.searches.busy))
            self.proving.price()
            self.recombine()
            if self.proving.priced and not self.best.settled and not self.stop():
                self.prove()

    def recombine(self) -> None:
        """Choose anew among all patterns known, over all boards at once, and search on from there."""
        self.searches.learn()
        self.choosing.choose()
        self.searches.follow()

    def prove(self) -> None:
        """Find the cheapest basket that no rule forbids; refute it, or try to cut everything from such as cost less."""
        while not self.stop() and not self.best.settled:
            answer = self.proving.cheapest(1.0)
            if self.best.settled or answer.cost is None:
                return
            if not self.proving.refute(answer):
                break
        self.aiming.aim()

    def please(self) -> None:
        """Among the cuttings that cost no more, find one that the pieces like better."""
        if self.best.cutting is not None and not self.stop():
            self.best.cutting = like_best(
                self.instance, self.known.rules, self.best.cutting, self.aiming.cut, self.stop
            )

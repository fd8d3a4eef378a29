"""What one solve knows so far: the only object that the stages of the solver share."""

from dataclasses import dataclass, field

from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Instance
from nesting.packing.master import NoGood
from nesting.packing.pools import Pools
from nesting.packing.ruin_recreate import RuinRecreate
from nesting.packing.stop import Stop

__all__ = ["SolverState"]

SEED_STEP = 7919
"""How far the seeds of two searches are apart, so that a new search does not repeat what was tried before."""


@dataclass(slots=True)
class SolverState:
    """Passed to every stage; what a stage remembers beyond this is its own and no other stage sees it.

    Parameters
    ----------
    instance : Instance
        The problem.
    stop : Stop
        When to stop. The searches count their rounds in it.
    seed : int
        Steers every search.
    pools : Pools
        Columns and valid inequalities. Searches and pricing add columns, `bounding` adds inequalities.
    incumbent : Incumbent
        The best solution and the lower bound. Every stage may improve it by its methods.
    assignment : tuple of int or None
        The board of each lot for which the standing searches look, None where it is left out. Only `board_searches`
        sets it.
    searches : dict
        The standing search of each board that has anything to cut. Only `board_searches` sets them.
    offered : int or None
        What the standing searches cost together when their sheets were last offered to the incumbent; None before.
    started : int
        How many searches were started.
    no_goods : list of NoGood
        Proven by exact subproblems. `primal` adds them, `bounding` takes them into the master problem.
    """

    instance: Instance
    stop: Stop
    seed: int
    pools: Pools
    incumbent: Incumbent
    assignment: tuple[int | None, ...]
    searches: dict[int, RuinRecreate] = field(default_factory=dict)
    offered: int | None = None
    started: int = 0
    no_goods: list[NoGood] = field(default_factory=list)

    @property
    def finished(self) -> bool:
        """Whether it is time to stop or there is nothing left to find."""
        return self.stop() or self.incumbent.settled

    def next_seed(self, board: int) -> int:
        """Count a search that is begun and return the seed of a new search of this board."""
        self.started += 1
        return self.seed + 1 + board + SEED_STEP * self.started

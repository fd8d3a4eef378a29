"""The best choice of copies where limits keep some from being cut, and the plan of it.

The copies are optional in the problem that the solver is given. It decides at once which of them are cut, from what,
and what is bought for that.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.errors import Obstacle
from nesting.model.job import Job, Piece
from nesting.model.mat import Mat
from nesting.model.plan import Plan
from nesting.options import Options
from nesting.packing.instance import Instance
from nesting.packing.pools import Pools
from nesting.packing.solution import Solution
from nesting.packing.solve import levels_by_priority, solve_selection
from nesting.packing.stop import Stop
from nesting.plan import Progress, checked_plan, drawn_better, reporter
from nesting.sizing import size_pieces
from nesting.to_instance import narrowed, obstacles, pose, within_reach

__all__ = ["SelectedPlan", "plan_selection"]


@dataclass(frozen=True, slots=True)
class SelectedPlan:
    """The plan of the copies that are cut, and how good that choice is.

    `counts` says how many copies of each piece are cut, `obstacles` why pieces cannot be cut at all, whatever is left
    out. The plan says in `selection` and `preference` what is proven.
    """

    plan: Plan
    counts: Mapping[str, int]
    obstacles: tuple[Obstacle, ...]

    @property
    def proven(self) -> bool:
        """Whether no other choice has more copies of some priority and as many of those before it."""
        return all(level.proven for level in self.plan.selection)


def plan_selection(
    job: Job,
    options: Options,
    *,
    seconds: float = 10.0,
    rounds: int | None = None,
    seed: int = 0,
    progress: Callable[[Progress], None] | None = None,
    pools: Pools | None = None,
    liked: bool = True,
    refined: bool = True,
    weigh: Callable[[Piece], Sequence[int]] | None = None,
) -> SelectedPlan:
    """Return the plan of as many copies as the limits allow, by priority, then the cheapest, then the best liked.

    Parameters
    ----------
    job : Job
        The job.
    options : Options
        The limits: a budget, so many sheets, shops, boards that are sold out or short.
    seconds, rounds, seed, progress, pools, liked, refined
        As of `plan.make_plan`.
    weigh : callable, optional
        Returns for a piece what a copy of it counts, level by level, as many levels for every piece: the copies cut are
        to count as much as possible, the first level first. Without it the number is what counts, by priority.

    Returns
    -------
    SelectedPlan
        Its plan is checked, of a job that has the pieces cut alone; of none where nothing can be cut.

    Raises
    ------
    JobError
        If a mat cannot be sized.
    LayoutError
        If the plan breaks a rule: a mistake in this program.
    """
    if options.use_fallout is not None:
        job = replace(job, bench=replace(job.bench, use_fallout=options.use_fallout))
    size_pieces(job, options.when)  # tells the faults of all pieces, also of those that are left out
    asked, hopeless = _able(job, options)
    mats = size_pieces(asked, options.when)
    instance = within_reach(narrowed(pose(asked, mats, optional=True), asked, options))
    stop = Stop(seconds, rounds)
    pools = pools or Pools(instance)
    copies = _copies(asked, mats, instance)
    if weigh is None:
        levels = levels_by_priority([piece.priority for piece in copies])
    else:
        levels = tuple(zip(*map(weigh, copies), strict=True))
    result = solve_selection(instance, levels, stop, seed, reporter(progress, stop), pools=pools, liked=liked)
    assert result.solution is not None  # noqa: S101 - to cut nothing is a solution
    whole = _Asked(mats, instance, result.solution)
    counts = whole.counts()
    chosen = replace(asked, pieces=_counted(asked, counts))
    its_mats = size_pieces(chosen, options.when)
    its_instance = narrowed(pose(chosen, its_mats), chosen, options)
    solution = replace(result.solution, boards=whole.boards(its_mats, its_instance))
    result = replace(result, solution=solution)
    if refined:
        result = drawn_better(chosen, its_instance, result, pools, stop=stop, seed=seed)
    plan = checked_plan(chosen, options.when, its_mats, its_instance, result, seconds=stop.spent(), seed=seed)
    return SelectedPlan(plan, counts, hopeless)


def _able(job: Job, options: Options) -> tuple[Job, tuple[Obstacle, ...]]:
    """Return the job with the pieces that can be cut by themselves, and why the others cannot.

    A piece that cannot be cut gives no fallout, so it is looked again until nothing changes.
    """
    found: list[Obstacle] = []
    while True:
        mats = size_pieces(job, options.when)
        more = obstacles(job, mats, narrowed(pose(job, mats), job, options))
        if not more:
            return job, tuple(found)
        found += more
        names = {obstacle.piece for obstacle in more}
        job = replace(job, pieces=tuple(piece for piece in job.pieces if piece.name not in names))


def _copies(job: Job, mats: Sequence[Mat], instance: Instance) -> list[Piece]:
    """Return the piece of each optional copy."""
    pieces = {piece.name: piece for piece in job.pieces}
    return [pieces[mats[instance.lots[copy.lots[0]].items[0]].piece] for copy in instance.optional]


def _counted(job: Job, counts: Mapping[str, int]) -> tuple[Piece, ...]:
    """Return the pieces in their order with so many copies each; those with none are left out."""
    return tuple(replace(piece, quantity=counts[piece.name]) for piece in job.pieces if counts.get(piece.name))


@dataclass(frozen=True, slots=True)
class _Asked:
    """The mats of all copies and the solution that leaves some of them out."""

    mats: Sequence[Mat]
    instance: Instance
    solution: Solution

    def counts(self) -> Counter[str]:
        """Count the copies that are cut of each piece."""
        boards, lots = self.solution.boards, self.instance.lots
        cut = (copy.lots[0] for copy in self.instance.optional if boards[copy.lots[0]] is not None)
        return Counter(self.mats[lots[lot].items[0]].piece for lot in cut)

    def boards(self, mats: Sequence[Mat], instance: Instance) -> tuple[int | None, ...]:
        """Return the boards of the lots of an instance that has the mats of the copies cut alone."""
        taken = {}
        for lot, board in zip(self.instance.lots, self.solution.boards, strict=True):
            mat = self.mats[lot.items[0]]
            taken[mat.piece, mat.copy, mat.layer] = board
        firsts = (mats[lot.items[0]] for lot in instance.lots)
        return tuple(taken[mat.piece, 1, mat.layer] for mat in firsts)

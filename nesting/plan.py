"""The whole way from a job to a checked plan."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from nesting.ahead import Ahead
from nesting.check import assert_sound
from nesting.costing import Nested, cost_pieces, summarise
from nesting.errors import CannotBeCutError, Obstacle
from nesting.from_solution import arrange
from nesting.identity import identity_of
from nesting.model.job import Job, When
from nesting.model.mat import Mat
from nesting.model.plan import Plan
from nesting.model.status import SolveStatus
from nesting.offers import buy
from nesting.options import Options
from nesting.packing.incumbent import Report
from nesting.packing.instance import Instance
from nesting.packing.leftovers import refine
from nesting.packing.pools import Pools
from nesting.packing.prepare import at_hand
from nesting.packing.result import Result
from nesting.packing.solution import Solution
from nesting.packing.solve import solve
from nesting.packing.stop import Stop
from nesting.shortfall import shortfall
from nesting.sizing import size_pieces
from nesting.spelling import WHOLE_JOB
from nesting.to_instance import narrowed, obstacles, pose, within_reach

__all__ = ["Options", "Progress", "checked_plan", "drawn_better", "hopeless", "learning", "make_plan", "reporter"]


_GRACE = 0.2
"""Seconds beyond its time limit in which a plan may still be drawn better."""


_FEW = 4
"""So few items are drawn better with whichever kernels there are; for more the compiled ones are worth loading."""


_MANY = 100
"""The plan of so many items takes a tenth of a second, which may be spent before it is asked for."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search is: seconds spent, the best cost so far and what none can cost less than, in cents.

    `preparing` says that the solver is being compiled, which is done once on a machine; `step` which plan of several
    this is.
    """

    seconds: float
    total: int | None
    lower_bound: int
    preparing: bool = False
    step: str = ""


def make_plan(
    job: Job,
    options: Options | None = None,
    *,
    seconds: float = 10.0,
    rounds: int | None = None,
    seed: int = 0,
    progress: Callable[[Progress], None] | None = None,
    pools: Pools | None = None,
    first: bool = False,
    liked: bool = True,
    refined: bool = True,
    limit: Callable[[Progress], float] | None = None,
    explained: bool = True,
    ahead: bool = False,
) -> Plan:
    """Return the best plan that can be found in the time, checked against its job.

    Parameters
    ----------
    job : Job
        What was asked, any discount already in its offers (`offers.with_discount`).
    options : Options, optional
        Which pieces, and whether fallout is used.
    seconds : float
        The time limit.
    rounds : int, optional
        A limit of search rounds; with one that is reached before the time, the same seed gives the same plan.
    seed : int
        Chooses among equals and steers the search.
    progress : callable, optional
        Told whenever cost or bound move.
    pools : Pools, optional
        What was learned of the boards before, as `learning` begins it.
    first : bool
        Whether the first plan found will do.
    liked, refined : bool
        Whether to look, among plans that cost the same, for boards that are liked better, and for a more useful shelf
        with fewer cuts; where only the cost is asked for, either takes time for nothing.
    limit : callable, optional
        Asked whenever cost or bound move for how many seconds the search is worth in all, in place of `seconds` where
        that is less.
    explained : bool
        Whether to find out, where there is proven to be no plan, which boards are short and of how much; that takes
        two seconds at most.
    ahead : bool
        Whether the plan of the best solution so far is made while the search goes on, where that takes long enough to
        be waited for, so that an interrupt finds it ready. All but the first take a twentieth of the time at most.

    Returns
    -------
    Plan
        After an interrupt (Ctrl-C) the best so far.

    Raises
    ------
    JobError
        If a mat cannot be sized.
    CannotBeCutError
        If there is no plan, with every reason found.
    LayoutError
        If the plan breaks a rule: a mistake in this program.
    """
    options = options or Options()
    job, mats, instance = _posed(job, options)
    found = obstacles(job, mats, instance)
    if found:
        raise CannotBeCutError(found)
    instance = within_reach(instance)
    stop = Stop(seconds, rounds)
    pools = pools or Pools(instance)
    ready = None
    if ahead and instance.items > _MANY:
        ready = Ahead(lambda found: _sound_plan(job, options.when, mats, instance, found), stop.spent)
    report = reporter(progress, stop, limit, ready)
    result = solve(instance, stop, seed, report, pools=pools, first=first, liked=liked)
    if result.status is SolveStatus.INFEASIBLE and explained and not result.stopped:
        raise CannotBeCutError(shortfall(job, mats, instance, seed=seed) or (_NO_PLAN,))
    try:
        drawn = drawn_better(job, instance, result, pools, stop=stop, seed=seed) if refined and not first else result
        return checked_plan(job, options.when, mats, instance, drawn, seconds=stop.spent(), seed=seed, ready=ready)
    except KeyboardInterrupt:
        if ready is None:
            raise
        result = result.interrupted()
        return checked_plan(job, options.when, mats, instance, result, seconds=stop.spent(), seed=seed, ready=ready)


def _posed(job: Job, options: Options) -> tuple[Job, tuple[Mat, ...], Instance]:
    """Return the job as it is asked for, its mats, and what the solver is asked."""
    if options.use_fallout is not None:
        job = replace(job, bench=replace(job.bench, use_fallout=options.use_fallout))
    mats = size_pieces(job, options.when)
    return job, mats, narrowed(pose(job, mats), job, options)


def hopeless(job: Job, options: Options) -> tuple[Obstacle, ...]:
    """Return what keeps pieces from being cut that is seen before any search.

    Parameters
    ----------
    job, options : Job, Options
        As of `make_plan`.

    Returns
    -------
    tuple of Obstacle
        One for each layer of a piece that fits nothing; empty where every one fits something.

    Raises
    ------
    JobError
        If a mat cannot be sized.
    """
    return obstacles(*_posed(job, options))


def learning(job: Job, when: When) -> Pools:
    """Return room for what is learned of a job's boards, for plans that differ in prices, shops, stock and fallout.

    Parameters
    ----------
    job : Job
        With everything that any of the plans may cut from; their own jobs may hold less.
    when : When
        Which pieces; a plan may leave some out.

    Returns
    -------
    Pools
        Nothing yet; each plan that is given it adds to it.
    """
    return Pools(pose(job, size_pieces(job, when)))


def reporter(
    progress: Callable[[Progress], None] | None,
    stop: Stop,
    limit: Callable[[Progress], float] | None = None,
    ready: Ahead | None = None,
) -> Report | None:
    """Return what the solver tells how it goes: `ready` follows, `progress` is told, `limit` may shorten the time."""
    if progress is None and limit is None and ready is None:
        return None

    def report(seconds: float, solution: Solution | None, bound: int, preparing: bool) -> None:
        if ready is not None:
            ready.follow(solution)
        now = Progress(seconds, None if solution is None else solution.cost, bound, preparing)
        if progress is not None:
            progress(now)
        if limit is not None:
            stop.seconds = min(stop.seconds, limit(now))

    return report


def drawn_better(job: Job, instance: Instance, result: Result, pools: Pools, *, stop: Stop, seed: int) -> Result:
    """Draw a solution, if there is one, so that it leaves a more useful shelf; an interrupt leaves it as it is."""
    if result.solution is None or result.stopped:
        return result
    seconds, keep = stop.seconds + _GRACE, job.bench.keep_at_least
    try:
        engine = at_hand() if instance.items > _FEW and not stop() else pools.engine
        solution = refine(instance, result.solution, keep, engine, seed, over=lambda: stop.spent() > seconds)
    except KeyboardInterrupt:
        return result.interrupted()
    return replace(result, solution=solution)


def checked_plan(
    job: Job,
    when: When,
    mats: tuple[Mat, ...],
    instance: Instance,
    result: Result,
    *,
    seconds: float,
    seed: int,
    ready: Ahead | None = None,
) -> Plan:
    """Return the plan of a solution, checked against its job.

    Parameters
    ----------
    job, when, mats, instance, result : Job, When, tuple of Mat, Instance, Result
        All blanks of the mats are cut in the solution, if there is one.
    seconds, seed : float, int
        How long the search took, and its seed.
    ready : Ahead, optional
        What may have made the plan of the solution already.

    Returns
    -------
    Plan
        With its identity.

    Raises
    ------
    CannotBeCutError
        If there is no solution.
    LayoutError
        If the plan breaks a rule: a mistake in this program.
    """
    solution = result.solution
    if solution is None:
        infeasible = result.status is SolveStatus.INFEASIBLE
        obstacle = _NO_PLAN if infeasible else _NONE_FOUND
        raise CannotBeCutError((obstacle,), proven=infeasible, stopped=result.stopped)
    made = ready.of(solution) if ready is not None else None
    plan = made or _sound_plan(job, when, mats, instance, solution)
    plan = replace(
        plan,
        purchase=replace(plan.purchase, lower_bound=result.bound),
        status=result.status,
        proof=_proof(result.status) if plan.purchase.lines else "",
        seconds=seconds,
        seed=seed,
        preference=result.preference,
        selection=result.selection,
        stopped=result.stopped,
    )
    assert_sound(plan, only_bought=True)
    return plan


def _sound_plan(job: Job, when: When, mats: tuple[Mat, ...], instance: Instance, solution: Solution) -> Plan:
    """Return the plan of a solution, checked, before anything is said of the search that found it."""
    arranged = arrange(job, mats, instance, solution)
    counts = {
        (job.offers[offer].number, job.boards[board].name): count
        for (offer, board), count in solution.counts.items()
        if count
    }
    purchase = buy(job, counts, lower_bound=0)
    nested = Nested(job, arranged.mats, arranged.sheets, arranged.leftover, purchase)
    pieces, credit = cost_pieces(nested)
    plan = Plan(
        job=job,
        when=when,
        mats=arranged.mats,
        sheets=arranged.sheets,
        leftover=arranged.leftover,
        purchase=purchase,
        pieces=pieces,
        summary=summarise(nested, pieces, credit),
        status=SolveStatus.LIMIT_REACHED,
        proof="",
        seconds=0.0,
        seed=0,
    )
    assert_sound(plan)
    return replace(plan, identity=identity_of(plan).plan)


def _proof(status: SolveStatus) -> str:
    """Return what is said of a plan whose search ended like this."""
    if status is SolveStatus.PROVEN_OPTIMAL:
        return "This is the cheapest possible: fewer or cheaper sheets cannot hold every mat."
    if status is SolveStatus.INTERRUPTED:
        return "You stopped the search; this is the best plan so far."
    return "Time ran out; this is the best plan so far."


_NO_PLAN = Obstacle(
    WHOLE_JOB,
    "the shelf and the offers do not have enough board for every mat",
    "Raise a limit in the offers table, add an offer, or write 'later' under 'when' for some pieces",
)

_NONE_FOUND = Obstacle(
    WHOLE_JOB,
    "no way was found in the time to cut every mat from the shelf and the offers",
    "Give it more --seconds, raise a limit in the offers table, or add an offer",
)

"""From an instance to a solution, proven as far as time allows: the objectives one after the other.

The cost comes first, and then as many pieces as possible get the boards they like best. Where limits keep some pieces
from being cut, which of them are cut comes before the cost. `stages` minimises each objective.
"""

from collections.abc import Sequence
from dataclasses import replace

from nesting.model.status import Count
from nesting.packing.board_preference import preference_objectives
from nesting.packing.board_searches import first_assignment
from nesting.packing.incumbent import Incumbent, Report
from nesting.packing.instance import Instance
from nesting.packing.objective import Cost, LowerBound, Objective, SoftConstraint, Violations, value
from nesting.packing.pools import Pools
from nesting.packing.result import Result
from nesting.packing.solution import Solution
from nesting.packing.stages import Stages
from nesting.packing.state import SolverState
from nesting.packing.stop import Stop

__all__ = ["begin", "levels_by_priority", "solve", "solve_selection"]

LEVEL_SHARE, COST_SHARE = 0.6, 0.7
"""The shares of the time left that a level of a selection may take, and the cost after it."""


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
        Told the seconds spent, the solution (None before there is one) and the bound of its cost, whenever one of them
        moves, and whether the kernels are being compiled, which is done once on a machine.
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
        For each level the weights of the optional copies, whole numbers of 0 or more. The weight of the
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

    Returns
    -------
    tuple of tuple of int
        A row for each priority in order, with 1 for each copy that has it and 0 for the others.
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
    incumbent = Incumbent(instance, stop.spent, report, first=first, objective=objective)
    if instance.optional and len(instance.optional_lots) == len(instance.lots):
        incumbent.buy((None,) * len(instance.lots), ())
    assignment = first_assignment(instance)
    return SolverState(instance, stop, seed, pools, incumbent, assignment, no_goods=pools.no_goods(instance))


def _minimise_all(state: SolverState, selection: Sequence[Violations], preferences: Sequence[Violations]) -> Result:
    """Minimise one objective after the other: what is left out, the cost, and what is not liked best.

    A level that its share of the time was not enough for is taken up again while there is time, and what comes after it
    then follows once more.
    """
    objectives: tuple[Objective, ...] = (*selection, Cost(), *preferences)
    shares = [LEVEL_SHARE] * len(selection) + [COST_SHARE if selection else 1.0] + [1.0] * len(preferences)
    stages, bounds = Stages(state), [LowerBound()] * len(objectives)
    begun = interrupted = False
    try:
        while not begun or (_open(state, selection, bounds) and not state.stop()):
            for place, objective in enumerate(objectives):
                if begun:
                    state.incumbent.pursue(objective, objectives[:place], bounds[place])
                begun = True
                _minimise(state, stages, bounds, place, shares[place])
                if state.incumbent.solution is None or state.stop():
                    break
    except KeyboardInterrupt:
        interrupted = True
    result, found = Result.of(state.incumbent, interrupted=interrupted), state.incumbent.solution
    if found is None:
        return result
    state.pools.remember(found)
    return replace(
        result,
        selection=_counts(state, found, selection, bounds[: len(selection)]),
        preference=_counts(state, found, preferences, bounds[len(selection) + 1 :]),
    )


def _minimise(state: SolverState, stages: Stages, bounds: list[LowerBound], place: int, share: float) -> None:
    """Minimise one objective in its share of the time, and note its bound, also where that is interrupted."""
    with state.stop.part(share):
        try:
            stages.minimise(state)
        finally:
            bounds[place] = state.incumbent.proven


def _open(state: SolverState, selection: Sequence[Violations], bounds: Sequence[LowerBound]) -> bool:
    """Return whether it is not proven that the incumbent is best in what is left out."""
    found = state.incumbent.solution
    if found is None:
        return False
    return any(
        value(state.instance, its, found.boards, found.cost) != state.incumbent.still_proven(bound)
        for its, bound in zip(selection, bounds, strict=False)
    )


def _counts(
    state: SolverState, found: Solution, objectives: Sequence[Violations], bounds: Sequence[LowerBound]
) -> tuple[Count, ...]:
    return tuple(
        Count(
            its.total - value(state.instance, its, found.boards, found.cost),
            its.total - state.incumbent.still_proven(bound),
        )
        for its, bound in zip(objectives, bounds, strict=True)
    )

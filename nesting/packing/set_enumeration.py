"""Whether all items of a board can be cut from given sheets, decided exactly by bounded enumeration.

A valid inequality of the board says what the sheets are worth and what the items need; the difference is its slack. A
sheet whose items are worth less than the sheet loses the difference, and all sheets together can lose no more than the
slack. So only the sets of items that lose no more than that on one sheet need to be listed, and with a tight inequality
they are few. Then CP-SAT chooses a set for every sheet.

Both answers are exact. Where cuts have a longest length, `set_listing` may let a set through that no legal cuts free,
so a *no* still holds; a *yes* is checked.

References
----------
Enumeration of what lies within the gap: Baldacci, Christofides & Mingozzi (2008), Math. Program. 115.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from ortools.linear_solver import pywraplp

from nesting.packing.interrupts import LeaveAlone, solve_interruptibly
from nesting.packing.pattern import GrownSize, Part, filled, gaps, legal
from nesting.packing.pricing import Pricer, ValidInequality
from nesting.packing.ruin_recreate import RuinRecreate, Stock
from nesting.packing.set_listing import ListedSet, SetListing
from nesting.packing.stop import Stop

__all__ = ["Decision", "Verdict", "decide"]

SECONDS = 2.0
"""The time limit for choosing a set for every sheet."""


class Verdict(StrEnum):
    """Whether given sheets can give all items."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Decision:
    """A verdict, and where it is yes a pattern for every sheet in use, with its size."""

    verdict: Verdict
    sheets: tuple[tuple[GrownSize, Part], ...] = ()


def decide(
    pricer: Pricer,
    inequality: ValidInequality,
    demand: Mapping[GrownSize, int],
    have: Mapping[GrownSize, int],
    *,
    room: int,
    stop: Stop,
) -> Decision:
    """Decide whether all items can be cut from given sheets.

    Parameters
    ----------
    pricer : Pricer
        The recursion of the board, on its kinds and stock.
    inequality : ValidInequality
        A valid inequality of the board; the tighter it is, the fewer sets there are to list.
    demand : Mapping of GrownSize to int
        Items wanted by kind.
    have : Mapping of GrownSize to int
        Sheets by size, of the pricer's stock.
    room : int
        How many boxes may be listed for a size of sheet.
    stop : Stop
        Leaves it undecided when time is up.

    Returns
    -------
    Decision
        The verdict is unknown where there are too many sets, or no time.
    """
    wanted = {kind: count for kind, count in demand.items() if count > 0}
    slack = inequality.slack(wanted, have)
    if slack < 0:
        return Decision(Verdict.NO)
    sizes = sorted((size for size, count in have.items() if count > 0), key=lambda size: -size.area)
    worthless = sorted((kind for kind in wanted if inequality.values[kind] == 0), key=lambda kind: kind.area)
    for drop in sorted({min(2**k - 1, len(worthless)) for k in range(8)}):  # items of no value make many sets
        core = {kind: count for kind, count in wanted.items() if kind not in worthless[:drop]}
        if not core:
            break
        listing = SetListing.of(pricer, core, inequality.values, room)
        if listing is None:
            continue
        choices = {}
        for size in sizes:
            listed = None if stop() else listing.sets(size, inequality.worth[size] - slack, stop)
            if listed is None:
                break
            choices[size] = listed
        else:
            decided = _choose(choices, core, have, pricer.longest, min(SECONDS, stop.left()))
            if decided.verdict is Verdict.YES and drop:
                rest = {kind: wanted[kind] for kind in worthless[:drop]}
                return _completed(decided, rest, have, pricer)
            return decided
    return Decision(Verdict.UNKNOWN)


def _completed(
    decided: Decision, rest: Mapping[GrownSize, int], have: Mapping[GrownSize, int], pricer: Pricer
) -> Decision:
    """Search for room for the other items, in the gaps of the patterns and on sheets that are not in use."""
    space = Counter(have)
    space.subtract(size for size, _ in decided.sheets)
    stock = Counter({size: count for size, count in space.items() if count > 0})
    for size, part in decided.sheets:
        stock.update(gaps(part, size))
    least = min(min(kind) for kind in rest)
    usable = [
        Stock(size, 0, count) for size, count in sorted(stock.items(), key=lambda s: s[0].area) if min(size) >= least
    ]
    search = RuinRecreate(pricer.engine, rest, usable, turn=pricer.turn, longest=pricer.longest, seed=1)
    for _ in range(40):
        if search.complete:
            break
        search.improve(200)
    if not search.complete:
        return Decision(Verdict.UNKNOWN)
    found: dict[GrownSize, list[Part]] = {}
    for number, part in search.sheets():
        found.setdefault(search.stock[number].size, []).append(part)
    sheets = [
        (size, filled(part, size, lambda gap: found[gap].pop() if found.get(gap) else None))
        for size, part in decided.sheets
    ]
    sheets += [(size, part) for size, parts in found.items() for part in parts]
    return Decision(Verdict.YES, tuple(sheets))


def _choose(
    choices: Mapping[GrownSize, list[ListedSet]],
    demand: Mapping[GrownSize, int],
    have: Mapping[GrownSize, int],
    longest: int,
    seconds: float,
) -> Decision:
    """Choose a set for each sheet so that every item is cut, by CP-SAT: exact either way."""
    model = pywraplp.Solver.CreateSolver("SAT")
    model.SetNumThreads(1)
    model.SetSolverSpecificParametersAsString(f"linearization_level: 2 {LeaveAlone.CP_SAT}")
    chosen = []
    cover: dict[GrownSize, list[tuple[int, Any]]] = {kind: [] for kind in demand}
    for size, sets in choices.items():
        total = []
        for one in sets:
            times = model.IntVar(0, have[size], "")
            chosen.append((size, one, times))
            total.append(times)
            for kind, many in one.counts.items():
                cover[kind].append((many, times))
        model.Add(sum(total) <= have[size])
    for kind, count in demand.items():
        if not cover[kind]:
            return Decision(Verdict.NO)
        model.Add(sum(many * times for many, times in cover[kind]) >= count)
    model.SetTimeLimit(max(1, int(1000 * seconds)))
    status = solve_interruptibly(model)
    if status == pywraplp.Solver.INFEASIBLE:
        return Decision(Verdict.NO)
    if status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return Decision(Verdict.UNKNOWN)
    sheets = tuple((size, one.pattern()) for size, one, times in chosen for _ in range(round(times.solution_value())))
    if not all(legal(part, size, longest) for size, part in sheets):
        return Decision(Verdict.UNKNOWN)
    return Decision(Verdict.YES, sheets)

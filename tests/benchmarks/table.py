"""Measures summed up: a table of all solvers side by side, in Markdown and as CSV."""

import csv
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean

from tests.benchmarks.measures import OURS, REFERENCE, Measure

_HEADINGS = (
    "set",
    "n",
    "turns",
    "limit",
    "solver",
    "jobs",
    "no plan",
    "sheets",
    "cost",
    "bound",
    "proven",
    "first s",
    "best s",
    "CPU s",
    "MiB",
    "to reference",
    "worst",
)


@dataclass(frozen=True, slots=True)
class Total:
    """A set's measures of one solver. Sums and means are over jobs with a plan; money in cents.

    `ahead` is how much its cost is above the reference's (below it where less than nothing), in per cent, on the jobs
    that both planned; `worst` the most sheets that it needs more than the reference on one of them. None where there
    is nothing to compare.
    """

    group: tuple[str, int | None, bool, float]
    solver: str
    jobs: int
    unplanned: int
    sheets: int | None
    cost: int
    bound: int
    proven: int
    first: float | None
    best: float | None
    cpu: float
    memory: int
    ahead: float | None
    worst: int | None


def totals(measures: Iterable[Measure]) -> list[Total]:
    """Return totals by kind and number, then over all numbers of a kind, then over all classes."""
    rows = list(measures)
    made: list[Total] = []
    for name_of in (_by_number, _by_kind, _over_classes):
        groups: dict[tuple, list[Measure]] = defaultdict(list)
        for row in rows:
            key = name_of(row)
            if key is not None:
                groups[key].append(row)
        for key in sorted(groups, key=_order):
            made.extend(_of_group(key, groups[key]))
    return made


def _by_number(row: Measure) -> tuple[str, int | None, bool, float] | None:
    return row.task.kind, row.task.n, row.task.turn, row.task.limit


def _by_kind(row: Measure) -> tuple[str, int | None, bool, float] | None:
    return row.task.kind, None, row.task.turn, row.task.limit


def _over_classes(row: Measure) -> tuple[str, int | None, bool, float] | None:
    name, found, _ = row.task.kind.partition("class")
    return (f"{name}class1-10", None, row.task.turn, row.task.limit) if found else None


def _order(key: tuple[str, int | None, bool, float]) -> tuple:
    kind, n, turn, limit = key
    name = kind.rstrip("0123456789")
    return not turn, limit, name, int(kind.removeprefix(name) or 0) if "-" not in kind else 0, n or 0


def _of_group(key: tuple[str, int | None, bool, float], rows: Sequence[Measure]) -> list[Total]:
    by_solver: dict[str, dict[tuple, Measure]] = defaultdict(dict)
    for row in rows:
        by_solver[row.task.solver][row.task[1:]] = row
    reference = by_solver.get(REFERENCE, {})
    return [_total(key, solver, by_solver[solver], reference) for solver in (OURS, REFERENCE) if solver in by_solver]


def _total(key, solver: str, rows: dict[tuple, Measure], reference: dict[tuple, Measure]) -> Total:
    planned = {job: row for job, row in rows.items() if row.cost is not None}
    both = [job for job in planned if solver != REFERENCE and job in reference and reference[job].cost is not None]
    theirs = sum(reference[job].cost for job in both)
    return Total(
        key,
        solver,
        jobs=len(rows),
        unplanned=len(rows) - len(planned),
        sheets=sum(row.sheets or 0 for row in planned.values()),
        cost=sum(row.cost for row in planned.values()),
        bound=sum(row.bound or 0 for row in planned.values()),
        proven=sum(row.proven for row in planned.values()),
        first=_mean(planned.values(), lambda row: row.first),
        best=_mean(planned.values(), lambda row: row.best),
        cpu=fmean(row.cpu for row in rows.values()),
        memory=max(row.memory for row in rows.values()),
        ahead=100 * (sum(planned[job].cost for job in both) - theirs) / theirs if theirs else None,
        worst=max((planned[job].sheets - reference[job].sheets for job in both), default=None),
    )


def _mean(rows: Iterable[Measure], part: Callable[[Measure], float | None]) -> float | None:
    values = [value for value in map(part, rows) if value is not None]
    return fmean(values) if values else None


def cells(total: Total) -> list[str]:
    """Return a row of the table as it is printed."""
    kind, n, turn, limit = total.group
    return [
        kind,
        "all" if n is None else str(n),
        "yes" if turn else "no",
        f"{limit:g} s",
        total.solver,
        str(total.jobs),
        str(total.unplanned),
        str(total.sheets),
        f"{total.cost / 100:.2f}",
        f"{total.bound / 100:.2f}",
        str(total.proven),
        *("" if value is None else f"{value:.2f}" for value in (total.first, total.best, total.cpu)),
        str(total.memory),
        "" if total.ahead is None else f"{total.ahead:+.2f} %",
        "" if total.worst is None else f"{total.worst:+d}",
    ]


def markdown(measures: Iterable[Measure]) -> str:
    """Return the table as Markdown."""
    rows = [_HEADINGS, ["---"] * len(_HEADINGS), *map(cells, totals(measures))]
    return "".join(f"| {' | '.join(row)} |\n" for row in rows)


def write_tables(measures: Sequence[Measure], folder: Path) -> None:
    """Write ``table.md`` and ``table.csv``."""
    (folder / "table.md").write_text(markdown(measures), encoding="utf-8")
    with (folder / "table.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([_HEADINGS, *map(cells, totals(measures))])

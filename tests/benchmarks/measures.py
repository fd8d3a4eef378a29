"""Measures of one solver on one job: read from what its process wrote, kept in a CSV file, and summed up."""

import csv
import json
from dataclasses import astuple, dataclass, fields
from pathlib import Path
from typing import NamedTuple

from tests.benchmarks.child import Ended

OURS, REFERENCE = "windowfall", "packingsolver"


class Task(NamedTuple):
    """What is measured: a solver, a job and a time limit."""

    solver: str
    kind: str
    n: int
    seed: int
    turn: bool
    limit: float


@dataclass(frozen=True, slots=True)
class Measure:
    """What came of a task. Money in cents, None where there is none; `first` and `best` in seconds of the search."""

    task: Task
    sheets: int | None
    cost: int | None
    bound: int | None
    first: float | None
    best: float | None
    cpu: float
    wall: float
    memory: int
    exit_code: int

    @property
    def proven(self) -> bool:
        """Whether the plan is known to be cheapest."""
        return self.cost is not None and self.cost == self.bound


_COLUMNS = (*Task._fields, *(field.name for field in fields(Measure)[1:]))


def measured(task: Task, ended: Ended, price: int | None) -> Measure:
    """Return what a process told; `price` of a sheet where it counts sheets, None where it counts cents."""
    told = [line for line in map(_told, ended.lines) if line]
    plans = [(_cost(line, price), line) for line in told if _cost(line, price) is not None]
    cost = min((cost for cost, _ in plans), default=None)
    bounds = [line["bound"] * (price or 1) for line in told if line.get("bound") is not None]
    return Measure(
        task,
        sheets=next((line["sheets"] for made, line in plans[::-1] if made == cost and line["sheets"]), None),
        cost=cost,
        bound=max(bounds, default=None),
        first=plans[0][1]["seconds"] if plans else None,
        best=next((line["seconds"] for made, line in plans if made == cost), None),
        cpu=ended.cpu,
        wall=ended.wall,
        memory=ended.memory,
        exit_code=ended.exit_code,
    )


def _told(line: str):
    """Return what a line says; nothing where the process was killed in the middle of it, or a library wrote it."""
    try:
        told = json.loads(line)
    except json.JSONDecodeError:
        return None
    return told if isinstance(told, dict) else None


def _cost(line, price: int | None) -> int | None:
    return line["cost"] if price is None else line["sheets"] and line["sheets"] * price


def load(path: Path) -> list[Measure]:
    """Return what is in the file, nothing where there is no file yet."""
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return [_from_cells(row) for row in csv.DictReader(file)]


def append(path: Path, measure: Measure) -> None:
    """Add a row at once, so that a run that is broken off loses nothing."""
    new = not path.exists()
    with path.open("a", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        if new:
            table.writerow(_COLUMNS)
        table.writerow(_cell(value) for value in (*measure.task, *astuple(measure)[1:]))


def _cell(value: object) -> object:
    return f"{value:.3f}".rstrip("0").rstrip(".") if isinstance(value, float) else value


def _from_cells(row: dict[str, str]) -> Measure:
    task = Task(row["solver"], row["kind"], int(row["n"]), int(row["seed"]), row["turn"] == "True", float(row["limit"]))
    whole = {name: int(row[name]) if row[name] else None for name in ("sheets", "cost", "bound", "memory", "exit_code")}
    parts = {name: float(row[name]) if row[name] else None for name in ("first", "best", "cpu", "wall")}
    return Measure(task, **whole, **parts)

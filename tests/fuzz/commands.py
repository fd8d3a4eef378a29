"""Sequences of random command lines over one job and one shelf file, and what must hold after each of them."""

import contextlib
import csv
import io
import json
import os
import random
import shlex
import shutil
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from nesting.identity import Identity
from nesting.plan_file.read import read_plan_file
from tests.fuzz.colliding import CollidingJob, colliding_job
from tests.fuzz.command_lines import JOB, SHELF, Scene, draw_command
from tests.fuzz.jobs import Tables, write_folder
from tests.fuzz.ledger import Given, Ledger, shelf_labels
from tests.fuzz.runs import Figures, ran

__all__ = ["command_sequences"]

_PATIENCE = 60.0
"""Seconds beyond its limit after which a command counts as hung; the machine may be busy with others."""
_LIMITS = {"--budget", "--sheets", "--shelf-only", "--left", "--shop", "--discount", "--liked-best"}
_PAGES = ("plan.html", "plan.pdf", "plan.xlsx", "plan.json")

Told = Mapping[str, Any]


def command_sequences(
    count: int, work: Path, seed: int = 0, seconds: float = 0.3, *, first: int = 0, steps: int = 10, keep: bool = False
) -> Figures:
    """Run sequences of command lines, each over a job and a shelf file of its own.

    Parameters
    ----------
    count : int
        How many sequences.
    work : Path
        Where each has its folder; those that break something are kept.
    seed : int
        Of the jobs and the command lines.
    seconds : float
        The limit of each search.
    first : int
        The number of the first; each number is always the same sequence.
    steps : int
        Command lines in each.
    keep : bool
        Whether all folders are kept.

    Returns
    -------
    Figures
        Each fault with its job and the command lines that led to it.
    """
    figures = Figures()
    for number in range(first, first + count):
        folder = work / f"commands-{seed}-{number}"
        rng = random.Random(f"commands/{seed}/{number}")  # noqa: S311 - nothing here is secret
        job = colliding_job(rng)
        write_folder(job.tables, folder / JOB)
        before = len(figures.faults)
        with contextlib.chdir(folder), _own_shelf():
            _Sequence(job, folder.name, seconds, figures).play(steps)
        if len(figures.faults) == before and not keep:
            shutil.rmtree(folder)
    return figures


@contextlib.contextmanager
def _own_shelf() -> Iterator[None]:
    """Let the shelf of the user be one in this folder."""
    before = os.environ.get("WINDOWFALL_SHELF")
    os.environ["WINDOWFALL_SHELF"] = SHELF
    try:
        yield
    finally:
        del os.environ["WINDOWFALL_SHELF"]
        if before is not None:
            os.environ["WINDOWFALL_SHELF"] = before


class _Sequence:
    """Plays one sequence in the folder that is the working folder now."""

    def __init__(self, job: CollidingJob, name: str, seconds: float, figures: Figures) -> None:
        self._job, self._name, self._seconds, self._figures = job, name, seconds, figures
        self._ledger = Ledger(Path(SHELF).resolve())
        self._plans: dict[str, Told] = {}
        self._names: dict[str, Identity] = {}
        self._asked: dict[str, list[str]] = {}
        self._said: list[str] = []

    def play(self, steps: int) -> None:
        """Give one command line after the other, up to the first that breaks something: the books are wrong then."""
        for step in range(steps):
            rng = random.Random(f"{self._name}/{step}")  # noqa: S311 - as above
            command = draw_command(rng, self._scene(step))
            wrong = self._given(command, f"p{step}.json")
            wrong = wrong or self._just_enough(command, f"p{step}.json", rng)
            if wrong:
                self._figures.faults.append(self._replay("; ".join(wrong)))
                return

    def _scene(self, step: int) -> Scene:
        force = self._ledger.force
        return Scene(
            step=step,
            job=self._job,
            plans=self._plans,
            asked=self._asked,
            labels=shelf_labels(Path(SHELF)),
            gone=self._ledger.gone(),
            reserved=list(force.kept()),
            booked=[path for path, names in self._names.items() if force.cuttings(names)],
            seconds=self._seconds,
        )

    def _just_enough(self, command: list[str], path: str, rng: random.Random) -> list[str]:
        """Now and then plan anew with just the money or the sheets of a proven plan, which must do for all of it."""
        plan = self._plans.get(path)
        if plan is None or not plan["purchase"]["proven"] or _LIMITS & set(command) or rng.random() < 0.6:
            return []
        sheets = str(sum(line["count"] for line in plan["purchase"]["lines"]))
        limit = rng.choice((["--budget", plan["purchase"]["total"]], ["--sheets", sheets]))
        wrong = self._given([*command, *limit], f"within-{path}")
        within = self._plans.get(f"within-{path}")
        if wrong or within is None:
            return wrong or ["makes no plan within a limit that a plan keeps"]
        if len(within["pieces"]) < len(plan["pieces"]):
            return [f"plans {len(within['pieces'])} pieces where all {len(plan['pieces'])} keep the limit"]
        if Decimal(within["purchase"]["total"]) > Decimal(plan["purchase"]["total"]):
            self._figures.ended["costlier within a limit that the cheaper plan keeps"] += 1
            return ["proves what costs more than a plan that keeps the limit"] if within["purchase"]["proven"] else []
        return []

    def _given(self, command: list[str], path: str) -> list[str]:
        """Give a command line and return what is wrong with what it did; a plan that it prints is written to `path`."""
        target = path if "--json" in command and command[0] == "plan" else None
        self._said.append(shlex.join(["windowfall", *command]) + (f" > {target}" if target else ""))
        found = Figures()
        code, out = ran(command, found, "", self._seconds + _PATIENCE)
        self._figures.tried += 1
        self._figures.ended.update(found.ended)
        self._figures.ended[f"{' '.join(command[: 1 + (command[0] == 'shelf')])}: exit {code}"] += 1
        self._figures.slowest = max(self._figures.slowest, found.slowest)
        problems = [fault.removeprefix(": ") for fault in found.faults]
        named = next((part for part in command[1:3] if part in self._plans), "")
        plan, names = self._plans.get(named), self._names.get(named)
        if code is not None:
            problems += self._ledger.faults(Given(command, code, plan, names))
            problems += self._answered(command, code, out, target)
        return problems

    def _answered(self, command: Sequence[str], code: int, out: str, target: str | None) -> Iterator[str]:
        """Yield what is wrong with the answer to a plan, and keep the plan."""
        if target is not None and code == 0:
            Path(target).write_text(out, encoding="utf-8")
            self._keep(target, out, command)
        if "--out" in command and command[0] in {"plan", "done"}:
            yield from self._pages(command, code)
        if command[0] == "plan" and code == 0 and "--reserved-too" not in command:
            yield from self._ledger.planned(list(self._plans.values())[-1])
        if command[0] == "plan" and code == 1 and self._job.is_endless and not _LIMITS & set(command):
            yield "says that there is no plan, and every blank can be bought"

    def _pages(self, command: Sequence[str], code: int) -> Iterator[str]:
        """Yield what the folder of a report lacks; there are all of its files or none."""
        out = command[list(command).index("--out") + 1]
        there = [name for name in _PAGES if (Path(out) / name).exists()]
        if code != 0 and there:
            yield f"ends with {code} and leaves {there} in {out}"
        elif code == 0 and len(there) < len(_PAGES) and (command[0] == "plan" or there):
            yield f"leaves only {there} in {out}"
        elif code == 0 and there:
            self._keep(out, (Path(out) / "plan.json").read_text(encoding="utf-8"), command)

    def _keep(self, path: str, text: str, command: Sequence[str]) -> None:
        read = read_plan_file(Path(path))
        self._plans[path], self._asked[path] = json.loads(text), list(command)
        self._names[path] = Identity(read.identity, read.keys)

    def _replay(self, problem: str) -> str:
        """Return a fault with all that it takes to see it again."""
        said = "\n".join(f"    {line}" for line in self._said)
        return f"{self._name}: {problem}\n{_written(self._job.tables)}\n{said}"


def _written(tables: Tables) -> str:
    """Return the tables of a job as they stand in its files."""
    file = io.StringIO(newline="")
    for name, rows in tables.items():
        file.write(f"    {JOB}/{name}.csv\n")
        for row in rows:
            file.write("      ")
            csv.writer(file, lineterminator="\n").writerow(row)
    return file.getvalue().rstrip("\n")

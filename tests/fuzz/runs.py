"""Many random inputs, each through the program, and what must never come out of it."""

import contextlib
import io
import json
import os
import random
import shutil
import sys
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from cli.main import run
from nesting.errors import LengthError
from nesting.lengths import format_length, parse_length, parse_size
from nesting.model.job import Unit
from tests.fuzz.jobs import fall_short, sound_job, spoil, write_folder, write_job
from tests.fuzz.switches import draw_switches, options, switched_job
from tests.fuzz.texts import length_text

__all__ = ["Figures", "agreeing_jobs", "check_jobs", "lengths", "plan_jobs", "ran", "rule_jobs"]

PATIENCE = 2.0
"""Seconds beyond its limit after which a plan counts as hung."""

SLOW_CHECK = 10.0


@dataclass
class Figures:
    """What was tried, how it ended, and every fault found: what broke, and on which input."""

    tried: int = 0
    ended: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    slowest: float = 0.0

    def __str__(self) -> str:
        """Say it on a line, and a line for each fault."""
        ends = ", ".join(f"{end}: {count}" for end, count in sorted(self.ended.items()))
        return "\n".join(
            [f"{self.tried} tried ({ends}), slowest {self.slowest:.2f} s, {len(self.faults)} faults", *self.faults]
        )


def lengths(count: int, seed: int = 0) -> Figures:
    """Read random texts as lengths: each is a length that reads the same once printed, or a fault."""
    rng, figures = random.Random(seed), Figures()  # noqa: S311 - nothing here is secret
    for _ in range(count):
        text, unit, signed = length_text(rng), rng.choice(list(Unit)), rng.random() < 0.3
        figures.tried += 1
        began = time.perf_counter()
        try:
            length = parse_length(text, unit, signed=signed)
            if not signed and length < 0:
                figures.faults.append(f"{text!r} in {unit} is {length}")
            if length.denominator == 1:
                again = parse_length(format_length(int(length), unit, 1016, mark=True), unit, signed=True)
                if again != length:
                    figures.faults.append(f"{text!r} in {unit} is {length} and reads {again} once printed")
            figures.ended["lengths"] += 1
        except LengthError:
            figures.ended["refused"] += 1
        except Exception:  # noqa: BLE001 - that is what is sought
            figures.faults.append(f"{text!r} in {unit}: {traceback.format_exc(limit=-3)}")
        with contextlib.suppress(LengthError):
            parse_size(text, unit)
        figures.slowest = max(figures.slowest, time.perf_counter() - began)
    return figures


@contextlib.contextmanager
def _bare() -> Iterator[None]:
    """Let nothing be caught that nobody foresaw."""
    before = os.environ.get("WINDOWFALL_DEBUG")
    os.environ["WINDOWFALL_DEBUG"] = "1"
    try:
        yield
    finally:
        del os.environ["WINDOWFALL_DEBUG"]
        if before is not None:
            os.environ["WINDOWFALL_DEBUG"] = before


@contextlib.contextmanager
def _nobody_answers() -> Iterator[None]:
    """Let whoever asks the user something find that there is nobody."""
    before, sys.stdin = sys.stdin, io.StringIO()
    try:
        yield
    finally:
        sys.stdin = before


def ran(arguments: list[str], figures: Figures, name: str, patience: float) -> tuple[int | None, str]:
    """Run a command line in this process; what it prints must be words, and its end one of the three."""
    out, err = io.StringIO(), io.StringIO()
    began, code = time.perf_counter(), None
    figures.tried += 1
    try:
        with _bare(), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), _nobody_answers():
            code = run(arguments)
        if code not in {0, 1, 2} or (code and not err.getvalue().strip()):
            figures.faults.append(f"{name}: ends with {code} and says {err.getvalue()!r}")
        figures.ended[f"exit {code}"] += 1
    except BaseException as error:
        figures.ended["broken"] += 1
        figures.faults.append(f"{name}: {type(error).__name__} {traceback.format_exc(limit=-6)}")
        if isinstance(error, KeyboardInterrupt):
            raise
    taken = time.perf_counter() - began
    figures.slowest = max(figures.slowest, taken)
    if taken > patience:
        figures.faults.append(f"{name}: took {taken:.1f} s")
    if any(sign in out.getvalue() + err.getvalue() for sign in ("\x1b", "\x9b", "\N{RIGHT-TO-LEFT OVERRIDE}")):
        figures.faults.append(f"{name}: passes on control codes")
    return code, out.getvalue()


def check_jobs(count: int, work: Path, seed: int = 0) -> Figures:
    """Let `check` read random jobs, most of them spoilt; those that break it are kept in `work`."""
    figures = Figures()
    for number in range(count):
        rng = random.Random(f"check/{seed}/{number}")  # noqa: S311 - as above
        folder = work / f"check-{seed}-{number}"
        tables = sound_job(rng, rng.randint(1, 6))
        if rng.random() < 0.9:
            spoil(tables, rng)
        before = len(figures.faults)
        ran(["check", str(write_job(tables, folder, rng))], figures, folder.name, SLOW_CHECK)
        if len(figures.faults) == before:
            shutil.rmtree(folder)
    return figures


def agreeing_jobs(count: int, work: Path, seed: int = 0, seconds: float = 0.4) -> Figures:
    """Let `check` read random jobs that are spoilt or fall short, and `plan` plan those that it passes.

    Nothing that `check` passes may be refused by `plan` for a reason that `check` could know: a job that is wrong, or
    pieces that are proven not to be cut.

    Parameters
    ----------
    count, work, seed, seconds
        As of `plan_jobs`.
    """
    figures = Figures()
    for number in range(count):
        rng = random.Random(f"agree/{seed}/{number}")  # noqa: S311 - as above
        folder = work / f"agree-{seed}-{number}"
        tables = sound_job(rng, rng.randint(1, 8))
        (spoil if rng.random() < 0.4 else fall_short)(tables, rng)
        path, before = str(write_folder(tables, folder)), len(figures.faults)
        checked, _ = ran(["check", path], figures, folder.name, SLOW_CHECK)
        if checked == 0:
            said = io.StringIO()
            with contextlib.redirect_stderr(said), contextlib.redirect_stdout(io.StringIO()):
                planned = run(["plan", path, "--seconds", str(seconds)])
            figures.ended[f"passed, then plan exit {planned}"] += 1
            if planned == 2 or (planned == 1 and "was found in the time" not in said.getvalue()):
                figures.faults.append(f"{folder.name}: check passes and plan says {said.getvalue()!r}")
        if len(figures.faults) == before:
            shutil.rmtree(folder)
    return figures


def plan_jobs(
    count: int, work: Path, seed: int = 0, seconds: float = 0.4, *, first: int = 0, keep: bool = False
) -> Figures:
    """Let `plan` plan random jobs, one in four of them of more than fifty pieces; each plan is checked before it comes.

    Parameters
    ----------
    count : int
        How many.
    work : Path
        Where jobs are written; those that break it are kept.
    seed : int
        Of the jobs.
    seconds : float
        The limit of each search.
    first : int
        The number of the first; each number is always the same job.
    keep : bool
        Whether jobs and plans are all kept, to be held against another checker.
    """
    figures = Figures()
    for number in range(first, first + count):
        rng = random.Random(f"plan/{seed}/{number}")  # noqa: S311 - as above
        folder = work / f"plan-{seed}-{number}"
        many = number % 4 == 0
        tables = sound_job(rng, rng.randint(51, 120) if many else rng.randint(1, 30), rng.choice((12, 20, 30)))
        if rng.random() < 0.2:
            spoil(tables, rng)
        before = len(figures.faults)
        command = ["plan", str(write_folder(tables, folder)), "--json", "--seconds", str(seconds), "--later"]
        code, said = ran(command, figures, folder.name, seconds + PATIENCE)
        if code == 0:
            figures.ended["plans of more than 50 rows"] += many
            (folder / "plan.json").write_text(said, encoding="utf-8")
        if len(figures.faults) == before and not keep:
            shutil.rmtree(folder)
    return figures


def rule_jobs(
    count: int, work: Path, seed: int = 0, seconds: float = 0.4, *, first: int = 0, keep: bool = False
) -> Figures:
    """Let `plan` plan small jobs with each rule on or off by chance; all have a plan, and that must be found.

    Parameters
    ----------
    count, work, seed, seconds, first, keep
        As of `plan_jobs`; what the command line said beside the job is kept in `options.txt`.
    """
    figures = Figures()
    for number in range(first, first + count):
        rng = random.Random(f"rules/{seed}/{number}")  # noqa: S311 - as above
        folder = work / f"rules-{seed}-{number}"
        on = draw_switches(rng)
        asked = options(on)
        path = write_folder(switched_job(rng, on), folder)
        (folder / "options.txt").write_text(" ".join(asked), encoding="utf-8")
        before = len(figures.faults)
        command = ["plan", str(path), "--json", "--seconds", str(seconds), "--seed", str(number), *asked]
        code, said = ran(command, figures, folder.name, seconds + PATIENCE)
        if code == 0:
            (folder / "plan.json").write_text(said, encoding="utf-8")
            figures.ended["proven"] += json.loads(said)["purchase"]["proven"]
            figures.ended.update(f"with {switch}" for switch in on)
        elif code is not None:
            figures.faults.append(f"{folder.name}: no plan, exit {code}")
        if len(figures.faults) == before and not keep:
            shutil.rmtree(folder)
    return figures

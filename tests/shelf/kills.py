"""Kills a command that changes a shelf, again and again, each time a little later, and tells what became of the shelf.

First before each of its steps on the disk, then at moments spread in time from its first change of a file to past its
last. Run as a program, so that nothing but the shelf is loaded when it forks: the folder, the command, how many kills.
"""

import contextlib
import io
import itertools
import json
import os
import shutil
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from cli.main import run
from nesting.shelf import store
from nesting.shelf.history import Mark, read_history
from nesting.shelf.text import read_shelf
from tests.handmade import plan
from tests.shelf.shelves import draft, put, write_plan

STEPS = {"open", "os.mkdir", "os.rename", "os.remove", "os.chmod"}
SPREAD = (5**0.5 - 1) / 2  # its multiples, less the whole part, lie evenly however many there are
LATER, EARLIER = 1.05, 0.86  # a disk's pace changes; so about three kills in four fall before the last change


def main(folder: Path, command: str, kills: int) -> None:
    base, work = folder / "base", folder / "work"
    write_plan(plan(), folder / "report")
    put(base / "shelf.csv", draft(count=3), draft("oat"))
    if command == "undo":
        put(base / "shelf.csv", draft("ivory"))
    path = work / "shelf.csv"
    arguments = {
        "add": ["shelf", "add", "sage", "11", "17", "--shelf", str(path)],
        "undo": ["shelf", "undo", "--shelf", str(path)],
        "done": ["done", str(folder / "report"), "--shelf", str(path)],
    }[command]

    def fresh() -> None:
        shutil.rmtree(work, ignore_errors=True)
        shutil.copytree(base, work)

    fresh()
    old = path.read_bytes()
    with contextlib.redirect_stdout(io.StringIO()):
        run(arguments)  # loads all that the command needs, once and not in every child
    fresh()
    window = _timed(arguments, path)
    new = path.read_bytes()
    assert old != new
    seen: Counter[str] = Counter()

    def look() -> str:
        now = path.read_bytes()
        read_shelf(now, str(path))
        seen["broken after"] += not _goes_on(path, now)
        return "old" if now == old else "new" if now == new else "torn"

    steps: list[str] = []
    fresh()
    while _stopped(arguments, path, len(steps) + 1):
        steps.append(look())
        fresh()
    for number in range(kills):
        fresh()
        is_between = _killed(arguments, path, window * (number * SPREAD % 1))
        seen["between"] += is_between
        seen[look()] += 1
        window *= LATER if is_between else EARLIER
    print(json.dumps(seen | {"steps": steps}))  # noqa: T201 - the answer to the test


def _forked(arguments: list[str], path: Path, tell: Callable[[bytes], object]) -> None:
    """Run the command in this process, which is a child, and tell before its first and after its last change."""
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)
    keep, replace, mark = store._keep, Path.replace, store.append_mark

    def first(*told: object) -> None:
        tell(b"a")
        keep(*told)

    def last(part: Path, target: Path) -> Path:
        done = replace(part, target)
        if target == path and "undo" in arguments:
            tell(b"z")
        return done

    def finished(folder: Path, kind: Mark, number: int) -> None:
        mark(folder, kind, number)
        if kind is Mark.FINISHED:
            tell(b"z")

    store._keep, Path.replace, store.append_mark = first, last, finished
    os._exit(run(arguments))


def _timed(arguments: list[str], path: Path) -> float:
    """Return how long the command takes from its first change of a file to its last, and let it end."""
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        _forked(arguments, path, lambda word: os.write(writer, word + b" %d\n" % time.monotonic_ns()))
    os.close(writer)
    with os.fdopen(reader, "rb") as pipe:
        times = [int(line.split()[1]) for line in pipe]
    assert os.waitpid(child, 0)[1] == 0
    return (times[-1] - times[0]) / 1e9


def _stopped(arguments: list[str], path: Path, step: int) -> bool:
    """Let the command kill itself before so many-th of its steps on the disk; return whether it came so far."""
    child = os.fork()
    if not child:
        steps, sync = itertools.count(1), os.fsync

        def next_step() -> None:
            if next(steps) == step:
                os.kill(os.getpid(), signal.SIGKILL)

        def heard(event: str, told: tuple[object, ...]) -> None:
            if event in STEPS and any(str(one).startswith(str(path.parent)) for one in told):
                next_step()

        def synced(descriptor: int) -> None:
            next_step()  # what is written may not have reached the disk
            sync(descriptor)

        sys.addaudithook(heard)
        os.fsync = synced
        _forked(arguments, path, lambda _word: None)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def _killed(arguments: list[str], path: Path, after: float) -> bool:
    """Kill the command so long after its first change of a file; return whether the last was still to come."""
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        os.close(reader)
        _forked(arguments, path, lambda word: os.write(writer, word))
    os.close(writer)
    assert os.read(reader, 1) == b"a"
    until = time.monotonic() + after
    while time.monotonic() < until:
        pass
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(reader, "rb") as pipe:
        return b"z" not in pipe.read()


def _goes_on(path: Path, now: bytes) -> bool:
    """Whether the shelf can be changed after a kill, with labels never given before, and that undone to the byte."""
    given = {label.upper() for label in read_history(path.with_name("shelf.csv.history")).labels}
    new = put(path, draft("umber"))
    store.undo_change(path)
    return new[0].label not in given and path.read_bytes() == now and not list(path.parent.rglob("*.part"))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))

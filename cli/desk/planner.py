"""The server's end of the process that plans: one plan at a time, the rest wait, the newest price wins."""

import asyncio
import json
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any

from cli.desk.worker import COMMAND, STOP

__all__ = ["Planner", "Task"]

_PATIENCE = 0.45
# What is asked for comes before what is said beside it; what comes later gives way, and is begun again after it.
_RANK = {"plan": 0, "spoiled": 0, "price": 1, "row": 2, "pins": 2, "till": 3, "compare": 4}
# Nobody asks again for these; what a row or a pin adds is asked for once the price is there.
_BEGUN_AGAIN = {"price", "till", "compare"}


@dataclass(slots=True)
class Task:
    """Something to be planned, and who is told what becomes of it."""

    wall: str
    kind: str
    asked: dict[str, Any]
    tell: Callable[[dict[str, Any]], None]
    ticket: int = 0
    dropped: bool = field(default=False)


class Planner:
    """Starts the process, gives it one task after another, and starts another where it ended."""

    def __init__(self) -> None:
        self._loop = asyncio.get_running_loop()
        self._tickets = count(1)
        self._waiting: list[Task] = []
        self._now: Task | None = None
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def is_busy(self) -> bool:
        """Whether a plan is sought that someone asked for; a price line keeps no desk open."""
        return any(_RANK[task.kind] == 0 for task in (self._now, *self._waiting) if task)

    def has(self, wall: str, kind: str = "plan") -> bool:
        """Whether a plan of a wall, or another thing, is sought or waits."""
        tasks = [task for task in (self._now, *self._waiting) if task and not task.dropped]
        return any((task.wall, task.kind) == (wall, kind) for task in tasks)

    def start(self) -> None:
        """Start the process; what it loads is loaded beside the page's own work.

        It is of a group of its own, so that Ctrl-C ends the server alone, and the process with it.
        """
        self._process = subprocess.Popen(  # noqa: S603 - this program itself
            [sys.executable, "-c", COMMAND, json.dumps(sys.path)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            start_new_session=True,
            creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
        )
        threading.Thread(target=self._listen, args=(self._process,), daemon=True).start()

    def ask(self, task: Task) -> None:
        """Queue a task; one of the same kind for the same wall takes the place of the one before."""
        task.ticket = next(self._tickets)
        for other in self._waiting:
            other.dropped = (other.wall, other.kind) == (task.wall, task.kind)
        self._waiting = [other for other in self._waiting if not other.dropped]
        self._waiting.append(task)
        running = self._now
        if running and not running.dropped:
            is_same = (running.wall, running.kind) == (task.wall, task.kind)
            gives_way = _RANK[running.kind] > 0 and _RANK[running.kind] >= _RANK[task.kind]
            if is_same or gives_way:
                self._interrupt(running, drop=True)
            if gives_way and not is_same and running.kind in _BEGUN_AGAIN:
                self._waiting.append(replace(running, dropped=False, ticket=next(self._tickets)))
        self._waiting.sort(key=lambda each: _RANK[each.kind])
        self._next()

    def drop(self, wall: str, folder: str | None = None) -> None:
        """Drop what is worked out beside the plans of a wall; with a folder, only what is of the tables in it."""

        def is_stale(task: Task) -> bool:
            is_its = task.wall == wall and folder in {None, task.asked["folder"]}
            return is_its and _RANK[task.kind] > _RANK["price"]

        self._waiting = [task for task in self._waiting if not is_stale(task)]
        if self._now and not self._now.dropped and is_stale(self._now):
            self._interrupt(self._now, drop=True)

    def stop(self, wall: str, *, use: bool) -> None:
        """Stop the plan of a wall, and use the best so far or nothing."""
        self._waiting = [task for task in self._waiting if (task.wall, task.kind) != (wall, "plan")]
        running = self._now
        if running and (running.wall, running.kind) == (wall, "plan"):
            self._interrupt(running, drop=not use)

    def end(self) -> None:
        """End the process."""
        if self._process:
            self._process.kill()
            self._process.wait(2)

    def _interrupt(self, task: Task, *, drop: bool) -> None:
        self._send(STOP)
        if drop and not task.dropped:
            task.dropped = True
            if task.kind == "plan":
                task.tell({"stopped": True})
            self._loop.call_later(_PATIENCE, self._give_up, task)

    def _give_up(self, task: Task) -> None:
        """End a process that does not heed the stop; the next task gets another one."""
        if self._now is task and self._process:
            self._process.kill()

    def _next(self) -> None:
        if self._now is None and self._waiting:
            if self._process is None:
                self.start()
            self._now = self._waiting.pop(0)
            task = self._now
            task.tell({"begun": True})
            self._send({"ticket": task.ticket, **task.asked})

    def _send(self, message: object) -> None:
        """Send a line; that a process has ended is seen where its answers come from."""
        if self._process and self._process.stdin:
            with suppress(OSError):
                self._process.stdin.write(f"{json.dumps(message)}\n".encode())
                self._process.stdin.flush()

    def _listen(self, process: subprocess.Popen[bytes]) -> None:
        for line in process.stdout or ():
            with suppress(ValueError, RuntimeError):  # an empty line, one that a stop cut short, or the desk has ended
                answer = json.loads(line)
                self._loop.call_soon_threadsafe(self._heard, answer)
        process.wait()
        if not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._ended, process)

    def _heard(self, answer: dict[str, Any]) -> None:
        task = self._now
        if task is None or answer.pop("ticket") != task.ticket:
            return
        if not {"progress", "known"} & set(answer):
            self._now = None
        if not task.dropped:
            task.tell(answer)
        self._next()

    def _ended(self, process: subprocess.Popen[bytes]) -> None:
        if self._process is not process:
            return
        self._process, task, self._now = None, self._now, None
        if task and not task.dropped:
            task.tell({"refused": ["Planning ended unexpectedly. Plan again."]})
        self._next()

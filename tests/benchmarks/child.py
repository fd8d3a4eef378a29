"""A process run to its end or to its deadline, and what it took."""

import os
import signal
import subprocess
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
_KIB = 1024


@dataclass(frozen=True, slots=True)
class Ended:
    """What a process wrote, and its cost with its own children: seconds of CPU and of the clock, MiB at its largest."""

    lines: tuple[str, ...]
    errors: str
    exit_code: int
    cpu: float
    wall: float
    memory: int


def run_child(command: Sequence[str], deadline: float, text: str = "") -> Ended:
    """Run a command from the project's root, killed after `deadline` seconds; works where there is ``wait4``.

    Linux counts a process's memory from before it became the command: the figure is never below the caller's own size.
    """
    with tempfile.TemporaryFile() as given, tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as wrong:
        given.write(text.encode())
        given.seek(0)
        began = time.monotonic()
        process = subprocess.Popen(command, stdin=given, stdout=out, stderr=wrong, cwd=ROOT, start_new_session=True)
        usage = _wait(process, began + deadline)
        wall = time.monotonic() - began
        out.seek(0)
        wrong.seek(0)
        lines = tuple(out.read().decode(errors="replace").splitlines())
        errors = wrong.read().decode(errors="replace")
    cpu = usage.ru_utime + usage.ru_stime
    return Ended(lines, errors, process.returncode, cpu, wall, usage.ru_maxrss // _KIB)


def _wait(process: "subprocess.Popen[bytes]", until: float):
    """Wait by hand: only this call tells the CPU and memory of one child among many."""
    pid = 0
    try:
        while not pid and time.monotonic() <= until:
            time.sleep(0.01)
            pid, status, usage = os.wait4(process.pid, os.WNOHANG)
    finally:  # an interrupt does not reach a session of its own
        if not pid:
            os.killpg(process.pid, signal.SIGKILL)
            _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    return usage

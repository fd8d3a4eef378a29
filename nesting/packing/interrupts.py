"""Ctrl-C while something runs that does not hear it: a solver is told to end, other work is finished; none is lost.

CP-SAT takes the signal for itself and afterwards leaves the system's default in place, which ends the program at once
and loses the plan. SCIP takes it too. Both can be told to leave it alone. The compiler of the kernels loses an
interrupt that comes while it calls back into Python.
"""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.linear_solver import pywraplp

__all__ = ["LeaveAlone", "put_off", "solve_interruptibly"]

_LOOK = 0.1
"""Seconds after which a wait for a solver looks for an interrupt: some systems do not end a wait for one."""

_PATIENCE = 0.05
"""Seconds after which a solver is told again to end; it does not hear it before it has begun."""


class LeaveAlone(StrEnum):
    """The parameter, in each solver's own words, that leaves Ctrl-C to the program."""

    CP_SAT = "catch_sigint_signal: false"
    SCIP = "misc/catchctrlc = FALSE"


@contextmanager
def put_off() -> Iterator[None]:
    """Put off the first Ctrl-C until the end of a block; a second one acts at once.

    Raises
    ------
    KeyboardInterrupt
        At the end, if there was one.
    """
    before = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or not callable(before):
        yield
        return
    struck = []

    def note(number: int, _frame: FrameType | None) -> None:
        struck.append(number)
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, note)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if struck:
        raise KeyboardInterrupt


def solve_interruptibly(model: "pywraplp.Solver") -> int:
    """Solve a model and return its status; Ctrl-C ends that within some hundredths of a second.

    The model is solved in a thread of its own, because Python hears no signal while it waits for a solver.

    Raises
    ------
    KeyboardInterrupt
        If there was one.
    """
    if threading.current_thread() is not threading.main_thread():
        return int(model.Solve())
    status: list[int] = []
    ended = threading.Event()  # a thread whose join is interrupted may be taken for one that has ended

    def solve() -> None:
        try:
            status.append(int(model.Solve()))
        finally:
            ended.set()

    solving = threading.Thread(target=solve, daemon=True)
    try:
        solving.start()
        while not ended.wait(_LOOK):
            pass
    except KeyboardInterrupt:
        while solving.ident is not None and not ended.wait(_PATIENCE):
            model.InterruptSolve()
        raise
    return status[0]

"""Ctrl-C is heard whichever solver has run before, and ends a search with the best plan so far."""

import json
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from nesting.packing.interrupts import put_off, solve_interruptibly

ROOT = Path(__file__).parents[2]

# Whoever starts the tests in the background has interrupts ignored, and so has every process they start.
HEEDED = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "

AFTER = """
import os
from ortools.linear_solver import pywraplp
from nesting.packing.interrupts import LeaveAlone

model = pywraplp.Solver.CreateSolver({solver!r})
model.SetNumThreads(1)
model.Maximize(3 * model.IntVar(0, 7, ""))
assert model.SetSolverSpecificParametersAsString(LeaveAlone.{words})
assert model.Solve() == pywraplp.Solver.OPTIMAL
try:
    os.kill(os.getpid(), signal.SIGINT)
except KeyboardInterrupt:
    print("heard")
"""


@pytest.mark.parametrize(("solver", "words"), [("SAT", "CP_SAT"), ("SCIP", "SCIP")])
def test_ctrl_c_is_heard_after_a_solver_has_run(solver: str, words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", HEEDED + AFTER.format(solver=solver, words=words)],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, "heard\n")


def struck(times: int, done: list[int]) -> None:
    """Put off so many interrupts; note that the rest of the block was run."""
    with put_off():
        for _ in range(times):
            signal.raise_signal(signal.SIGINT)
        done.append(times)


def test_ctrl_c_is_put_off_and_not_lost() -> None:
    done: list[int] = []
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        struck(0, done)
        for times in (1, 2):
            with pytest.raises(KeyboardInterrupt):
                struck(times, done)
        assert done == [0, 1]  # the second interrupt of the last acts at once
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGINT, before)


def test_ctrl_c_that_is_ignored_stays_ignored() -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with put_off():
            signal.raise_signal(signal.SIGINT)
    finally:
        signal.signal(signal.SIGINT, before)


def test_ctrl_c_while_it_searches_gives_the_best_plan_so_far(tmp_path: Path) -> None:
    rows = [
        f"piece {n},{11 + n % 7} {n % 8}/8,{13 + n % 5} {n % 4}/4,{5 + n % 4},{7 + n % 3},sage" for n in range(1, 60)
    ]
    heading = "piece,inside width,inside height,picture width,picture height,boards"
    (tmp_path / "pieces.csv").write_text("\n".join([heading, *rows]).replace(" 0/8", "").replace(" 0/4", ""))
    (tmp_path / "offers.csv").write_text(
        "shop,board,sheet width,sheet height,price\nnook,sage,32,40,7.30\nnook,sage,40,60,19.10\nquay,sage,23,31,3.70\n"
    )
    command = [sys.executable, "-c", HEEDED + "from cli.main import main; main()", "plan", str(tmp_path), "--json"]
    with subprocess.Popen(
        [*command, "--seconds", "120"], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8"
    ) as started:
        time.sleep(5)
        assert started.poll() is None, "it was to be interrupted while it searched"
        began = time.monotonic()
        started.send_signal(signal.SIGINT)
        out, wrong = started.communicate(timeout=60)
    assert time.monotonic() - began < 30  # in the middle of the first compiling it may take longest
    if started.returncode == 0:
        assert "You stopped the search; this is the best plan so far" in json.loads(out)["search"]["proof"]
    else:
        assert (started.returncode, out, wrong.splitlines()[-1]) == (1, "", "Stopped before it was done.")


class Slow:
    """A model that is solved once it is told to end, and no earlier; it does not hear that the first time."""

    def __init__(self) -> None:
        self.begun, self.told = threading.Event(), 0

    def Solve(self) -> int:  # noqa: N802 - as the library has it
        self.begun.set()
        while self.told < 2:
            time.sleep(0.001)
        return 7

    def InterruptSolve(self) -> bool:  # noqa: N802
        self.told += 1
        return True


def test_an_interrupt_ends_a_solver_and_is_not_lost() -> None:
    model = Slow()

    def strike() -> None:
        model.begun.wait()
        os.kill(os.getpid(), signal.SIGINT)

    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        threading.Thread(target=strike).start()
        with pytest.raises(KeyboardInterrupt):
            solve_interruptibly(model)
    finally:
        signal.signal(signal.SIGINT, before)
    assert model.told >= 2


def test_without_an_interrupt_the_status_comes_back_from_any_thread() -> None:
    model = Slow()
    model.told = 2
    assert solve_interruptibly(model) == 7
    found: list[int] = []
    thread = threading.Thread(target=lambda: found.append(solve_interruptibly(model)))
    thread.start()
    thread.join()
    assert found == [7]

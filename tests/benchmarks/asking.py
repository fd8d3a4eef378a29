"""The reference library asked from here, in a process of its own and by another interpreter if need be."""

import json
import subprocess

from tests.benchmarks.child import Ended, run_child
from tests.benchmarks.generate import Rectangles

__all__ = ["GRACE", "ask_reference", "has_reference"]

GRACE = 30.0
"""Seconds beyond its limit after which a search is ended; a first run of ours compiles."""


def has_reference(python: str) -> bool:
    """Whether a Python has `packingsolver`."""
    command = [python, "-c", "import packingsolver"]
    try:
        return subprocess.run(command, capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def ask_reference(python: str, asked: Rectangles, seconds: float, *, turn: bool) -> Ended:
    """Return what the reference library said of rectangles within a time limit, a line for each better answer."""
    items = [(*size, count) for size, count in asked.counts.items()]
    command = [python, "-m", "tests.benchmarks.reference", str(seconds), "turn" if turn else "fixed"]
    return run_child(command, seconds + GRACE, json.dumps({"sheet": asked.sheet, "items": items}))

"""Tests that need a program from elsewhere: where it is missing they are left out, and the last lines say so.

Where tests run side by side each worker finds the same tests wanting, and only the process that started them prints.
"""

from collections.abc import Callable
from typing import Any

import pytest

KEY = "left_out"
LINES = pytest.StashKey[list[str]]()


def leave_out(
    config: pytest.Config, items: list[pytest.Item], fixture: str, found: Callable[[], object], why: str
) -> None:
    """Take the tests that use a fixture out of `items` where `found`, asked only for them, finds nothing."""
    wanting = [item for item in items if fixture in getattr(item, "fixturenames", ())]
    if not wanting or found():
        return
    items[:] = [item for item in items if item not in wanting]
    config.hook.pytest_deselected(items=wanting)
    lines = config.stash.setdefault(LINES, [])
    lines.append(f"{len(wanting)} tests {why}")
    if hasattr(config, "workeroutput"):
        config.workeroutput[KEY] = lines


def gather_left_out(node: Any) -> None:
    """Take over what a worker left out, unless another worker has said it."""
    lines = node.config.stash.setdefault(LINES, [])
    lines += [line for line in getattr(node, "workeroutput", {}).get(KEY, []) if line not in lines]


def say_left_out(terminal: pytest.TerminalReporter, config: pytest.Config) -> None:
    lines = config.stash.get(LINES, [])
    if lines:
        terminal.section("LEFT OUT", sep="!", red=True, bold=True)
    for line in lines:
        terminal.line(line, red=True)

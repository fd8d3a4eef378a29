"""Tests that need a program from elsewhere: where it is missing they are left out, and the last lines say so."""

from collections.abc import Callable

import pytest

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
    config.stash.setdefault(LINES, []).append(f"{len(wanting)} tests {why}")


def say_left_out(terminal: pytest.TerminalReporter, config: pytest.Config) -> None:
    lines = config.stash.get(LINES, [])
    if lines:
        terminal.section("LEFT OUT", sep="!", red=True, bold=True)
    for line in lines:
        terminal.line(line, red=True)

"""The reference library for tests that need it; where it is missing they are left out, and the last lines say so."""

import os
import sys
from functools import cache

import pytest

from tests.benchmarks.asking import has_reference

LEFT_OUT = pytest.StashKey[int]()


@cache
def reference_python() -> str | None:
    """Return the Python that WINDOWFALL_REFERENCE names, or this one, if it has packingsolver."""
    python = os.environ.get("WINDOWFALL_REFERENCE") or sys.executable
    return python if has_reference(python) else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    wanting = [item for item in items if "reference" in getattr(item, "fixturenames", ())]
    if not wanting or reference_python():
        return
    items[:] = [item for item in items if item not in wanting]
    config.hook.pytest_deselected(items=wanting)
    config.stash[LEFT_OUT] = len(wanting)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    left_out = config.stash.get(LEFT_OUT, 0)
    if left_out:
        terminalreporter.section("LEFT OUT", sep="!", red=True, bold=True)
        terminalreporter.line(
            f"{left_out} tests against the library packingsolver did NOT run: it was not found. Install it (it needs "
            "Python 3.12: pip install packingsolver) or name a Python that has it in WINDOWFALL_REFERENCE.",
            red=True,
        )


@pytest.fixture(scope="session")
def reference() -> str:
    """Return a Python that has packingsolver."""
    found = reference_python()
    assert found is not None
    return found

"""The reference library for tests that need it; where it is missing they are left out, and the last lines say so."""

import os
import sys
from functools import cache

import pytest

from tests.benchmarks.asking import has_reference
from tests.left_out import leave_out


@cache
def reference_python() -> str | None:
    """Return the Python that WINDOWFALL_REFERENCE names, or this one, if it has packingsolver."""
    python = os.environ.get("WINDOWFALL_REFERENCE") or sys.executable
    return python if has_reference(python) else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    leave_out(
        config,
        items,
        "reference",
        reference_python,
        "against the library packingsolver did NOT run: it was not found. Install it (it needs Python 3.12: "
        "pip install packingsolver) or name a Python that has it in WINDOWFALL_REFERENCE.",
    )


@pytest.fixture(scope="session")
def reference() -> str:
    """Return a Python that has packingsolver."""
    found = reference_python()
    assert found is not None
    return found

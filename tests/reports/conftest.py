"""A browser for the tests that need one; where there is none they are left out, and the last lines say so."""

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.left_out import leave_out

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str | None:
    """Return the path of the system's Chromium, or of the one that WINDOWFALL_CHROMIUM names."""
    named = os.environ.get("WINDOWFALL_CHROMIUM")
    return named or next(filter(None, map(shutil.which, NAMES)), None)


def demanded_chromium() -> str | None:
    found = chromium()
    if not found and os.environ.get("WINDOWFALL_BROWSER") == "must":
        raise pytest.UsageError("no Chromium was found, and WINDOWFALL_BROWSER=must says that there has to be one")
    return found


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    leave_out(
        config,
        items,
        "browser",
        demanded_chromium,
        "of plan.html in a browser did NOT run: no Chromium was found. Install it (Debian, Ubuntu: apt-get install "
        "chromium) or name it in WINDOWFALL_CHROMIUM.",
    )


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as player:
        started = player.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield started
        started.close()

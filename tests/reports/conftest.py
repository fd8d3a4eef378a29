"""A browser for the tests that need one; where there is none they are left out, and the last lines say so."""

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

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
LEFT_OUT = pytest.StashKey[int]()


def chromium() -> str | None:
    """Return the path of the system's Chromium, or of the one that WINDOWFALL_CHROMIUM names."""
    named = os.environ.get("WINDOWFALL_CHROMIUM")
    return named or next(filter(None, map(shutil.which, NAMES)), None)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    wanting = [item for item in items if "browser" in getattr(item, "fixturenames", ())]
    if not wanting or chromium():
        return
    if os.environ.get("WINDOWFALL_BROWSER") == "must":
        raise pytest.UsageError("no Chromium was found, and WINDOWFALL_BROWSER=must says that there has to be one")
    items[:] = [item for item in items if item not in wanting]
    config.hook.pytest_deselected(items=wanting)
    config.stash[LEFT_OUT] = len(wanting)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    left_out = config.stash.get(LEFT_OUT, 0)
    if left_out:
        terminalreporter.section("LEFT OUT", sep="!", red=True, bold=True)
        terminalreporter.line(
            f"{left_out} tests of plan.html in a browser did NOT run: no Chromium was found. Install it (Debian, "
            "Ubuntu: apt-get install chromium) or name it in WINDOWFALL_CHROMIUM.",
            red=True,
        )


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as player:
        started = player.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield started
        started.close()

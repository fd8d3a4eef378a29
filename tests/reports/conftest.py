"""A browser for the tests that need one; where there is none they are left out, and the last lines say so."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.left_out import leave_out
from tests.reports.chromium import chromium, demanded_chromium

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


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

"""Where the browser is that some tests need."""

import os
import shutil

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")


def chromium() -> str | None:
    """Return the path of the system's Chromium, or of the one that WINDOWFALL_CHROMIUM names."""
    named = os.environ.get("WINDOWFALL_CHROMIUM")
    return named or next(filter(None, map(shutil.which, NAMES)), None)


def demanded_chromium() -> str | None:
    """Return the same; without one WINDOWFALL_BROWSER=must ends the tests before they begin."""
    found = chromium()
    if not found and os.environ.get("WINDOWFALL_BROWSER") == "must":
        raise pytest.UsageError("no Chromium was found, and WINDOWFALL_BROWSER=must says that there has to be one")
    return found

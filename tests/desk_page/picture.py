"""The README's picture of the desk, made from the demonstration wall: `python -m tests.desk_page.picture`."""

import tempfile
from pathlib import Path

from playwright.sync_api import expect, sync_playwright

from tests.desk_page.conftest import ROOT, Running
from tests.reports.chromium import demanded_chromium
from tests.reports.conftest import FLAGS

PICTURE = ROOT / "data" / "pictures" / "desk.png"


def draw(picture: Path) -> None:
    """Open the demonstration wall in a new home, wait for its price, and take a picture of the pieces."""
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        started = Running(Path(home))
        try:
            browser = playwright.chromium.launch(executable_path=demanded_chromium(), args=FLAGS)
            page = browser.new_page(viewport={"width": 1100, "height": 560})
            page.goto(started.address)
            page.get_by_role("button", name="Open a copy of the demonstration wall").click()
            expect(page.locator("#price")).to_contain_text("nothing cheaper", timeout=60_000)
            page.locator("#picture svg").wait_for()
            page.screenshot(path=picture)
            browser.close()
        finally:
            started.end()


if __name__ == "__main__":
    draw(PICTURE)

"""The mat from the back on the page of the pieces, while it is typed."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.desk_page.test_bench import Wall
from tests.desk_page.test_day import SOON, cell

expect.set_options(timeout=SOON)
PIECES = "piece,inside width,inside height,picture width,picture height,boards,under boards,reveal\n"


@pytest.fixture(scope="module")
def wall(running):
    wall = Wall(running, "From the back")
    (wall.folder / "pieces.csv").write_text(f"{PIECES}Fern,11 3/4,15,8,11,moss,,\nVetch,16,20,8,10,moss,moss,1/4\n")
    return wall


@pytest.fixture
def opened(running, wall, desk_browser):
    """Return what opens the page of the pieces at a width."""
    context = desk_browser.new_context()
    page = context.new_page()
    page.set_default_timeout(SOON)
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))

    def at(width):
        page.set_viewport_size({"width": width, "height": 900})
        code = running.ask("/again", job=None)["code"]
        page.goto(f"http://127.0.0.1:{running.port}/open#{code}")
        page.wait_for_url("**/")
        page.goto(f"http://127.0.0.1:{running.port}/wall/{wall.id}/pieces")
        return page

    yield at
    context.close()
    assert errors == []


def test_it_follows_what_is_typed_and_keeps_its_last_sound_state(opened):
    """The blank is 1/8 less than the inside: 11 5/8 wide round a window of 7 1/2, so 2 1/16 on each side."""
    page = opened(1280)
    cell(page, "pieces", "inside width", 2).click()
    words = page.locator(".backs figcaption")
    expect(words).to_have_text(["Pencil lines: left 2 1/16, top 2 3/16, right 2 1/16, bottom 2 3/16"])
    expect(page.get_by_role("img", name="Fern, seen from the back")).to_be_visible()
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.type("12 3/")
    expect(page.locator("#picture.old + .back svg")).to_be_visible()
    expect(words).to_contain_text(["left 2 3/16"])  # the last sound width was 12
    page.keyboard.type("4")
    expect(words).to_contain_text(["left 2 9/16"])
    page.keyboard.press("Escape")


def test_an_under_mat_has_a_back_of_its_own_and_a_small_screen_shows_it_when_asked(opened):
    page = opened(390)
    cell(page, "pieces", "piece", 3).click()
    expect(page.locator(".backs svg")).to_have_count(2)
    expect(page.locator(".backs svg").first).to_be_hidden()
    page.locator(".back summary").click()
    expect(page.locator(".backs figcaption").first).to_contain_text("Vetch. Pencil lines: left ")
    expect(page.locator(".backs figcaption").last).to_contain_text("Vetch, under-mat. Pencil lines: left ")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()

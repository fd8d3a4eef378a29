"""Two walls in a browser: the desk ended in the shop, a mat spoiled, and what the first leaves for the second."""

import io
import json
import re
import subprocess
import sys

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from tests.desk_page.conftest import ROOT, START, Running
from tests.desk_page.test_day import SOON, cell, follow, write

# Blanks of 15 7/8 x 19 7/8: four on a sheet of 32 x 40, windows 7 1/2 x 9 1/2, fallouts 7 1/4 x 9 1/4.
LIST = "name,frame width,frame height,art width,art height,board\n" + "".join(
    f"{name},16,20,8,10,mos\n" for name in ("Sedge", "Rush", "Reed", "Flag", "Burr", "Mint")
)


@pytest.fixture
def page(desk_browser):
    page = desk_browser.new_page(viewport={"width": 1280, "height": 900})
    page.set_default_timeout(SOON)
    yield page
    page.close()


def begin(page, name):
    page.get_by_role("link", name="Windowfall").click()
    page.get_by_label("A new wall").fill(name)
    follow(page.get_by_role("button", name="Begin"))
    page.wait_for_url("**/pieces")
    page.wait_for_load_state()


def plan(page):
    follow(page.get_by_role("link", name="Plan", exact=True))
    page.get_by_role("button", name=re.compile("^Plan")).click()
    expect(page.get_by_role("button", name="Take to shop and bench")).to_be_visible()


def tick_all(page, *, but=()):
    for box in page.locator("#now input[data-key]").all():
        if box.get_attribute("data-key") not in but and not box.is_checked():
            with page.expect_response("**/do/tick"):
                box.evaluate("box => box.click()")


def type_and_price(page):
    """Drop a list of six frames, mend the slip in its boards by the buttons, and see the price move with the sale."""
    page.locator("#list").set_input_files({"name": "list.csv", "mimeType": "text/csv", "buffer": LIST.encode()})
    expect(cell(page, "pieces", "piece", 7)).to_have_value("Mint")
    follow(page.get_by_role("link", name="Boards and prices"))
    write(page, "offers", 2, shop="Quay shop", board="moss", sheet_width="32", sheet_height="40", price="8.00")
    follow(page.get_by_role("link", name="Pieces"))
    for row in range(2, 8):
        page.locator(f"#said-pieces-{row}").get_by_role("button", name="boards moss").click()
        expect(page.locator(f"#said-pieces-{row}")).to_have_count(0)
    expect(page.locator("#price")).to_contain_text("2 sheets, $16.00")
    cell(page, "pieces", "piece", 2).click()
    expect(page.locator(".adds")).to_contain_text("This frame adds nothing")
    follow(page.get_by_role("link", name="Boards and prices"))
    page.locator("#sale").fill("50")
    expect(page.locator("#price")).to_contain_text("2 sheets, $8.00")


def come_back(page):
    """Show the page again as browsers do that keep it whole for Back, which the one of these tests does not."""
    page.evaluate(
        "document.body.dataset.kept = true; dispatchEvent(new PageTransitionEvent('pageshow', {persisted: true}))"
    )


def tick_without_the_desk(page, started):
    """End the desk while the page of the shop is open: its tick waits in the page, and goes to the next run."""
    come_back(page)
    expect(page.locator("body[data-kept]")).to_have_count(0)  # loaded anew
    page.wait_for_load_state()
    started.process.kill()
    started.end()
    with page.expect_event("requestfailed", lambda request: request.method == "HEAD"):
        come_back(page)
    expect(page.locator("body[data-kept]")).to_have_count(1)  # without the desk there is nothing else to show
    page.locator(".till").get_by_role("checkbox").check()
    expect(page.locator("#notice")).to_contain_text("The tick is kept here")
    expect(page.locator(".till").get_by_role("checkbox")).to_be_checked()
    again = Running(started.home, started.port)
    page.goto(again.address)
    follow(page.locator("a.wall").first)
    follow(page.get_by_role("link", name="Shop"))
    expect(page.locator("#notice")).to_contain_text("1 tick sent to the desk.")
    (taken,) = (started.home / "windowfall" / "walls" / "Back stairs" / "plans").glob("[0-9]*")
    assert [key[:4] for key in json.loads((taken / "ticks.json").read_text())] == ["buy-"]
    return again


def spoil(page, mat):
    page.locator(f".spoil[data-mat={mat}]").click()
    with page.expect_navigation(url="**/bench?plan=*"):
        page.get_by_role("button", name="Yes, spoiled").click()
    expect(page.locator(".plans strong")).to_have_text(f"Sedge {mat} again")
    page.get_by_role("button", name="Whole sheet").click()


def book(page, words):
    page.get_by_role("button", name="Book on the shelf").click()
    expect(page.locator("#booked")).to_contain_text(words)


def test_two_walls(page, tmp_path):
    started = Running(tmp_path)
    try:
        page.goto(started.address)
        expect(page.get_by_label("A new wall")).to_be_visible()
        begin(page, "Back stairs")
        type_and_price(page)
        plan(page)
        expect(page.locator(".headline")).to_have_text("Buy 2 sheets at Quay shop: $8.00.")
        page.get_by_role("button", name="Take to shop and bench").click()
        page.wait_for_url("**/shop")
        expect(page.locator("[data-aside=till]")).to_contain_text("What else fits")
        margins = dict.fromkeys(("top", "right", "bottom", "left"), "1cm")
        assert len(PdfReader(io.BytesIO(page.pdf(format="A4", margin=margins))).pages) == 1
        started = tick_without_the_desk(page, started)

        follow(page.get_by_role("link", name="Bench"))
        page.get_by_role("button", name="Whole sheet").click()
        tick_all(page, but={"mat-M1"})
        spoil(page, "M1")
        tick_all(page)
        follow(page.get_by_role("link", name="Finish").last)
        book(page, "Booked: ")
        page.get_by_role("link", name=re.compile("^Plan of")).click()
        expect(page.locator("main")).to_contain_text("Spoiled, and cut again by a plan of their own: M1")
        book(page, "Write on it: ")
        page.get_by_role("button", name="Take the last booking back").click()
        expect(page.locator("#booked")).to_contain_text("Taken back: ")
        book(page, "Write on it: ")

        begin(page, "Landing")
        write(page, "pieces", 2, piece="Iris", inside_width="7", inside_height="9", boards="moss")
        plan(page)
        expect(page.locator(".headline")).to_contain_text("Buy nothing")
        assert planned(started, "Landing") == page.locator(".headline").inner_text()
    finally:
        started.end()


def planned(started, wall, *options):
    """Return the first line that the command says of a wall of the desk."""
    folder = started.home / "windowfall" / "walls" / wall
    command = [sys.executable, "-c", START, "plan", str(folder), *options]
    done = subprocess.run(command, cwd=ROOT, env=started.environment(started.home), capture_output=True, check=True)
    return done.stdout.decode().splitlines()[0].strip()

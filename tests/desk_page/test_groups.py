"""Groups filter what is shown and have a page of their own; they change nothing of the plan."""

import pytest
from playwright.sync_api import expect

from tests.desk_page.conftest import Running

PIECES = "piece,group,inside width,inside height,picture width,picture height,boards\n"
ROWS = "Fern,Hall,16,20,8,10,moss\nVetch,<b>Attic</b>,16,20,8,10,moss\nSedge,Hall,16,20,8,10,moss\n"


@pytest.fixture
def planned(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page()
    page.goto(started.address)
    page.get_by_label("A new wall").fill("Rooms")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/pieces")
    folder = tmp_path / "windowfall" / "walls" / "Rooms"
    (folder / "pieces.csv").write_text(PIECES + ROWS)
    (folder / "offers.csv").write_text("shop,board,sheet width,sheet height,price\nQuay shop,any,32,40,9.00\n")
    page.get_by_role("link", name="Plan", exact=True).click()
    page.get_by_role("button", name="Plan", exact=True).click()
    page.get_by_role("button", name="Take to shop and bench").wait_for()
    yield page, started
    page.close()
    started.end()


def test_a_group_is_shown_with_its_total_and_its_page(planned):
    page, _ = planned
    rows = page.locator("tr[data-group]:visible")
    expect(rows).to_have_count(3)
    page.get_by_label("Show").select_option("Hall")
    expect(rows).to_have_count(2)
    expect(page.locator("#grouptotal")).to_have_text("together $6.00")  # two of three like blanks of a sheet of 9.00
    page.get_by_role("link", name="A page of it to print").click()
    expect(page.get_by_role("heading", name="Hall")).to_be_visible()
    expect(page.locator(".framed svg")).to_have_count(2)
    expect(page.locator(".total .n")).to_have_text("$6.00")


def test_a_group_is_text_and_one_that_is_not_there_is_said(planned):
    page, started = planned
    page.get_by_label("Show").select_option("<b>Attic</b>")
    page.get_by_role("link", name="A page of it to print").click()
    expect(page.get_by_role("heading", name="<b>Attic</b>")).to_be_visible()
    address = page.url.rsplit("/", 1)[0]
    assert page.goto(f"{address}/7").status == 404
    assert started.process.poll() is None

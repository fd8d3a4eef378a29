"""The shelf changed by hand on its page, as the command changes it."""

import json
import time

import pytest
from playwright.sync_api import expect

from tests.desk_page.conftest import Running
from tests.desk_page.test_bench import Wall


@pytest.fixture
def desk(tmp_path):
    started = Running(tmp_path)
    started.enter()
    yield started
    started.end()


def change(desk, what, status=200, **asked):
    return desk.ask("/do/shelf", status, change=what, **asked)


def shown(desk, query=""):
    return desk.request("GET", f"/shelf{query}")[1]


def test_a_piece_is_put_on_corrected_taken_off_and_that_undone(desk):
    assert change(desk, "add", board="moss", width="8", height="10 1/2") == {"said": "Write R1 on it."}
    assert "10 1/2" in shown(desk)
    assert change(desk, "correct", label="R1", height="9") == {"said": "R1 is corrected."}
    assert "10 1/2" not in shown(desk)
    change(desk, "take", label="R1")
    assert "Nothing is on your shelf yet" in shown(desk)
    assert change(desk, "undo")["said"].startswith("Undone: take of ")
    assert "R1" in shown(desk)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"board": "", "width": "8", "height": "10"}, "Name the board."),
        ({"board": "moss", "width": "8 1/", "height": "10"}, "'8 1/' is not a length"),
        ({"board": "moss", "width": "0", "height": "10"}, "'0' must be more than 0"),
        ({"board": "moss", "width": "8", "height": "10", "quantity": "many"}, "'many' is not a whole number"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_changed(desk, asked, words):
    assert words in change(desk, "add", 422, **asked)["words"]
    assert "Nothing is on your shelf yet" in shown(desk)


def test_a_label_that_is_not_there_is_said(desk):
    assert "R9" in change(desk, "take", 422, label="R9")["words"]


def test_it_says_what_holds_a_blank_either_way_round(desk):
    change(desk, "add", board="moss", width="8", height="10")
    change(desk, "add", board="moss", width="7", height="20")
    assert shown(desk, "?width=10&height=8").count(">yes</td>") == 1
    assert shown(desk, "?width=7&height=10").count(">yes</td>") == 2
    assert "is not a length" in shown(desk, "?width=x&height=8")


def test_plain_numbers_are_in_the_unit_that_the_page_shows(desk):
    wall = desk.ask("/do/new", name="Metric", unit="cm")["wall"]
    page = shown(desk, f"?wall={wall}")
    assert '<option value="cm" selected>' in page
    assert "Width, cm" in page
    change(desk, "add", board="sand", width="40", height="55", unit="cm")
    assert "40\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}55\N{NO-BREAK SPACE}cm" in shown(desk, f"?wall={wall}")
    assert 'data-width="40 cm" data-height="55 cm"' in shown(desk, f"?wall={wall}")
    assert shown(desk, f"?wall={wall}&width=30&height=40").count(">yes</td>") == 1
    assert shown(desk, "?width=30&height=40&unit=in").count(">yes</td>") == 0
    change(desk, "correct", label="R1", height="50", unit="cm")
    assert 'data-width="400 mm" data-height="500 mm"' in shown(desk, "?unit=mm")
    change(desk, "add", board="sand", width="8", height="10", unit="ells")  # as the shelf itself, which is in cm
    assert 'data-width="8 cm"' in shown(desk)


def test_the_price_of_a_wall_follows_the_shelf(desk):
    wall = Wall(desk, "Shelved", "Fern")

    def price():
        wall.ask("options")
        ends = time.monotonic() + 30
        while "price" not in (found := data(wall.page("pieces"))["price"]) or found.get("busy"):
            assert time.monotonic() < ends
            time.sleep(0.1)
        return found["price"]["total"]

    assert price() == "$8.00"
    change(desk, "add", board="moss", width="20", height="24", unit="in")
    assert price() == "$0.00"
    change(desk, "undo")
    assert price() == "$8.00"


def data(page):
    return json.loads(page.partition('id="data">')[2].partition("</script>")[0])


def test_it_works_in_a_browser(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page()
    try:
        page.goto(started.address)
        page.get_by_role("link", name="Shelf").click()
        for label, text in {"Board": "moss", "Width": "8", "Height": "10"}.items():
            page.locator("#piece").get_by_label(label).fill(text)
        page.get_by_role("button", name="Put it on").click()
        expect(page.locator("#notice")).to_have_text("Write R1 on it.")
        page.get_by_role("button", name="Correct R1").click()
        page.locator("#piece").get_by_label("Height").fill("12")
        page.get_by_role("button", name="Correct it").click()
        expect(page.locator(".pile tbody tr")).to_contain_text("8 \N{MULTIPLICATION SIGN} 12 in")
        page.get_by_role("button", name="Take off R1").click()
        expect(page.locator("main")).to_contain_text("Nothing is on your shelf yet")
        page.get_by_role("button", name="Undo the last change").click()
        expect(page.locator(".pile tbody tr")).to_contain_text("R1")
        long = "aswrittenbyhand" * 6
        with (tmp_path / "windowfall" / "shelf.csv").open("a") as shelf:
            shelf.write(f"{long},{long},4 in,8 in,1,offcut,,2026-01-02,,\n")
        for width in (390, 820, 1280):
            page.set_viewport_size({"width": width, "height": 900})
            page.reload()
            expect(page.locator(".pile").first).to_contain_text(long)
            assert page.evaluate("document.documentElement.scrollWidth") <= width
    finally:
        page.close()
        started.end()

"""Pins: a piece is to have one board; the page marks it, says what it costs, and takes it back."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from cli.desk.pins import NotPinnedError, pins_of, with_pin
from cli.desk.planning import planned
from cli.desk.tables import Tables
from nesting.reading.job import read_job
from tests.desk_page.conftest import Running
from tests.desk_page.test_bench import Wall
from tests.desk_page.test_day import SOON

expect.set_options(timeout=SOON)
# Each fills a sheet of 32 x 40 by itself; chalk costs 3.00 more a sheet than moss.
TWO = "shop,board,sheet width,sheet height,price\nQuay shop,moss,32,40,8.00\nQuay shop,chalk,32,40,11.00\n"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "pieces.csv").write_text(
        "piece,inside width,inside height,boards\nSea holly,30,38,moss / chalk\nA = B,31,39,moss\n"
    )
    (tmp_path / "offers.csv").write_text(TWO)
    return tmp_path


def pin(folder, *pins):
    Tables(folder).choose("pin", *pins)
    return read_job(folder)


def test_a_piece_has_one_pin_at_most_and_keeps_the_spelling_of_its_table(folder):
    job = pin(folder, "sea  HOLLY = Moss", "A = B = chalk")
    assert [(it.piece, it.board, it.is_sound) for it in pins_of(job)] == [
        ("Sea holly", "moss", True),
        ("A = B", "chalk", True),
    ]
    assert with_pin(job, "SEA holly", "CHALK") == ["A = B = chalk", "Sea holly = chalk"]
    assert with_pin(job, "Sea holly", None) == ["A = B = chalk"]


@pytest.mark.parametrize(("piece", "board"), [("Fern", "moss"), ("Sea holly", "slate"), ("", "moss")])
def test_what_the_wall_does_not_have_is_not_pinned(folder, piece, board):
    with pytest.raises(NotPinnedError, match="has no piece"):
        with_pin(read_job(folder), piece, board)


def test_a_board_with_an_equals_sign_is_not_pinned(folder):
    (folder / "boards.csv").write_text("board\nmoss = green\n")
    with pytest.raises(NotPinnedError, match="there is = in its name"):
        with_pin(read_job(folder), "Sea holly", "moss = green")


def test_rows_of_a_choice_are_used_again_and_the_rest_emptied(folder):
    path = folder / "choices.csv"
    path.write_text("name,value\npin,x\nsheets,3\npin,y\n")
    Tables(folder).choose("pin", "one")
    assert path.read_text() == "name,value\npin,one\nsheets,3\npin,\n"
    Tables(folder).choose("pin", "one", "two", "three", "four")
    assert path.read_text() == "name,value\npin,one\nsheets,3\npin,two\npin,three\npin,four\n"
    Tables(folder).choose("pin")
    assert "one" not in path.read_text()


def test_each_pin_is_said_what_it_costs(folder):

    pin(folder, "Sea holly = chalk", "A = B = moss")
    told = []
    planned({"kind": "pins", "folder": str(folder), "version": "1", "shelf": ""}, told.append)
    assert [it["known"] for it in told] == [
        {"pin": "Sea holly = chalk", "words": "costs $3.00 more"},
        {"pin": "A = B = moss", "words": "costs no more"},
    ]


def test_a_pin_is_made_marked_and_taken_back_on_the_page(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page(viewport={"width": 1280, "height": 900})
    page.set_default_timeout(SOON)
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    try:
        started.enter()
        wall = Wall(started, "Pinned")
        (wall.folder / "pieces.csv").write_text(
            "piece,inside width,inside height,boards\nFern,30,38,moss / chalk\nVetch,31,39,moss\n"
        )
        (wall.folder / "offers.csv").write_text(TWO)
        page.goto(started.address.replace(started.code, started.ask("/again", job=None)["code"]))
        page.wait_for_url("**/")
        page.goto(f"http://127.0.0.1:{started.port}/wall/{wall.id}/plan")
        page.get_by_role("button", name="Plan", exact=True).click()
        expect(page.locator(".headline")).to_have_text("Buy 2 sheets at Quay shop: $16.00.")
        assert page.locator("select.pin").count() == 1  # Vetch has no choice
        expect(page.locator("select.pin option")).to_have_text(["any of its boards", "only moss", "only chalk"])
        page.get_by_label("Board of Fern").select_option("chalk")
        expect(page.locator(".pins li")).to_have_count(1)
        expect(page.locator(".pins li")).to_contain_text("Fern is to have only chalk, which costs $3.00 more")
        expect(page.locator(".warn")).to_contain_text("Plan again")
        page.get_by_role("button", name="Plan again").click()
        expect(page.locator(".headline")).to_have_text("Buy 2 sheets at Quay shop: $19.00.")
        expect(page.get_by_label("Board of Fern")).to_have_value("chalk")
        assert "Fern = chalk" in (wall.folder / "choices.csv").read_text()
        for width in (390, 820, 1280):
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate("document.documentElement.scrollWidth") <= width
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()

        pieces = wall.folder / "pieces.csv"
        pieces.write_text(pieces.read_text().replace("Fern", "Bracken"))
        page.reload()
        expect(page.locator(".pins li")).to_contain_text("no such piece and board any more")
        page.get_by_role("button", name=re.compile("^Any of its boards again")).click()
        expect(page.locator(".pins")).to_have_count(0)
        page.get_by_role("button", name="Plan again").click()
        expect(page.locator(".headline")).to_have_text("Buy 2 sheets at Quay shop: $16.00.")
        assert errors == []
    finally:
        page.close()
        started.end()


def test_the_last_of_many_pieces_is_pinned_as_the_first(desk_browser, tmp_path):
    """The rows of a long list come after all that is above them has been shown."""
    started = Running(tmp_path)
    page = desk_browser.new_page()
    page.set_default_timeout(SOON)
    try:
        started.enter()
        wall = Wall(started, "Many")
        rows = "".join(f"P{number},30,38,moss / chalk\n" for number in range(102))
        (wall.folder / "pieces.csv").write_text(f"piece,inside width,inside height,boards\n{rows}")
        (wall.folder / "offers.csv").write_text(TWO)
        wall.ask("plan")
        wall.until("plans/draft.json")
        assert [wall.page(place).count("<tr data-group") for place in ("plan", "costs")] == [40, 62]
        page.goto(started.address.replace(started.code, started.ask("/again", job=None)["code"]))
        page.wait_for_url("**/")
        page.goto(f"http://127.0.0.1:{started.port}/wall/{wall.id}/plan")
        expect(page.locator("tr[data-group]")).to_have_count(102)
        page.get_by_label("Board of P101").select_option("chalk")
        expect(page.locator(".pins li")).to_contain_text("P101 is to have only chalk")
    finally:
        page.close()
        started.end()

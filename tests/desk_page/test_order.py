"""The order in which a piece takes its boards: changed by buttons and by drag, in the table and nowhere else."""

from itertools import count

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.desk_page.conftest import Running
from tests.desk_page.test_bench import Wall
from tests.desk_page.test_day import SOON

expect.set_options(timeout=SOON)
NUMBERS = count(1)
PIECES = "piece;mine;inside width;inside height;boards\r\nFern;x;30;38;moss / chalk, slate\r\nVetch;;31;39;moss\r\n"


@pytest.fixture
def wall(running):
    wall = Wall(running, f"Order {next(NUMBERS)}")
    (wall.folder / "pieces.csv").write_bytes(PIECES.encode())
    return wall


def written(wall):
    return (wall.folder / "pieces.csv").read_bytes().decode()


def order(wall, status, *boards, row=2, piece="Fern", was=("moss", "chalk", "slate")):
    return wall.ask("order", status, row=row, piece=piece, was=list(was), boards=list(boards))


def test_one_cell_is_written_and_it_can_be_undone(wall):
    assert order(wall, 200, "slate", "moss", "chalk") == {"boards": ["slate", "moss", "chalk"]}
    assert written(wall) == PIECES.replace("moss / chalk, slate", "slate or moss or chalk")
    assert wall.ask("undo", table="pieces")["said"] == "Undone: changed the order of the boards of Fern"
    assert written(wall) == PIECES


@pytest.mark.parametrize(
    ("status", "asked"),
    [
        (409, {"was": ("moss", "chalk")}),
        (409, {"piece": "Vetch"}),
        (409, {"row": 9}),
        (422, {"boards": ("moss", "chalk")}),
        (422, {"boards": ("moss", "chalk", "rust")}),
        (422, {"boards": ("moss", "chalk", 7)}),
        (422, {"boards": "moss"}),
    ],
)
def test_what_the_page_does_not_show_is_not_reordered(wall, status, asked):
    usual = {"row": 2, "piece": "Fern", "was": ["moss", "chalk", "slate"], "boards": ["slate", "chalk", "moss"]}
    assert "Traceback" not in wall.ask("order", status, **{**usual, **asked})["words"]
    assert written(wall) == PIECES


def test_boards_that_would_read_as_another_board_stay_as_they_are(wall):
    """In the other order the cell would be the one board "sage or ivory"."""
    table = PIECES.replace("moss / chalk, slate", "ivory or sage")
    (wall.folder / "pieces.csv").write_bytes(table.encode())
    (wall.folder / "boards.csv").write_text("board\nsage or ivory\n")
    words = order(wall, 422, "sage", "ivory", was=("ivory", "sage"))["words"]
    assert "cannot be written in this order" in words
    assert written(wall) == table


@pytest.fixture
def page(desk_browser, tmp_path):
    """Return the page of the prices of a wall, and the wall; nothing on it may go wrong."""
    started = Running(tmp_path)
    page = desk_browser.new_page(viewport={"width": 1280, "height": 900})
    page.set_default_timeout(SOON)
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    try:
        started.enter()
        wall = Wall(started, "In order")
        (wall.folder / "pieces.csv").write_bytes(PIECES.encode())
        page.goto(started.address.replace(started.code, started.ask("/again", job=None)["code"]))
        page.wait_for_url("**/")
        page.goto(f"http://127.0.0.1:{started.port}/wall/{wall.id}/prices")
        yield page, wall
        assert errors == []
    finally:
        page.close()
        started.end()


def said(page, words):
    expect(page.locator("#notice")).to_have_text(words)


def test_it_is_done_by_buttons_with_the_keyboard_and_taken_back(page):
    page, wall = page
    expect(page.locator(".order li")).to_have_count(3)  # Vetch has no choice
    expect(page.get_by_label("Fern: moss earlier")).to_be_disabled()
    page.get_by_label("Fern: moss later").click()
    page.keyboard.press("Enter")  # the arrow keeps the keyboard while its board moves on, saved or not
    said(page, "Fern: chalk, then slate, then moss")
    expect(page.get_by_label("Fern: moss earlier")).to_be_focused()
    assert "chalk or slate or moss" in written(wall)
    # The last step was of the pieces: taken back beside the prices, it shows in both.
    page.locator("[data-table=offers]").get_by_role("button", name="Undo").click()
    said(page, "Undone: changed the order of the boards of Fern")
    expect(page.locator(".order li").nth(1)).to_have_attribute("data-board", "moss")
    assert names(page) == ["chalk", "moss", "slate"]
    expect(page.locator(".net").first).to_contain_text("8.00")
    page.get_by_label("Fern: moss earlier").click()
    said(page, "Fern: moss, then chalk, then slate")


def test_it_is_done_by_drag_and_a_drag_is_given_up(page):
    page, wall = page
    drag(page, "chalk", "moss")
    said(page, "Fern: chalk, then moss, then slate")
    assert "chalk or moss or slate" in written(wall)
    drag(page, "slate", "chalk", leave=False)
    assert names(page) == ["slate", "chalk", "moss"]
    page.keyboard.press("Escape")
    page.mouse.up()
    assert names(page) == ["chalk", "moss", "slate"]
    assert "chalk or moss or slate" in written(wall)


def test_what_was_changed_meanwhile_is_not_written_over_and_it_fits_every_screen(page):
    page, wall = page
    (wall.folder / "pieces.csv").write_bytes(PIECES.replace("moss / chalk, slate", "slate or rust").encode())
    page.get_by_label("Fern: moss later").click()
    expect(page.locator("#notice")).to_contain_text("changed meanwhile")
    assert names(page) == ["moss", "chalk", "slate"]
    assert "slate or rust" in written(wall)
    for width in (390, 820, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def names(page):
    return page.locator(".order li").evaluate_all("boards => boards.map((each) => each.dataset.board)")


def drag(page, board, onto, *, leave=True):
    page.locator(f".order li[data-board={board}] .grip").hover()
    page.mouse.down()
    page.locator(f".order li[data-board={onto}]").hover()
    if leave:
        page.mouse.up()

"""Units, currency and the bench on the page; and what a person does to a table: lists with headings, rows removed."""

import csv
import re
from itertools import count

import pytest
from playwright.sync_api import expect

from tests.desk_page.conftest import Running
from tests.desk_page.test_bench import Wall
from tests.desk_page.test_day import SOON, cell

expect.set_options(timeout=SOON)
NUMBERS = count(1)
PIECES = (
    "piece,inside width,inside height,boards,bottom extra\nFern,30,38,moss,\nVetch,31,39,moss,1\nReed,20,20,moss,\n"
)
OFFERS = "shop,board,sheet width,sheet height,price\nAlder,any,32,40,8.00\nQuay,moss,32,40,9.00\n"


@pytest.fixture
def wall(running):
    wall = Wall(running, f"Measured {next(NUMBERS)}")
    (wall.folder / "pieces.csv").write_text(PIECES)
    (wall.folder / "offers.csv").write_text(OFFERS)
    return wall


def bench(wall):
    return (wall.folder / "bench.csv").read_text()


def test_a_new_wall_measures_in_the_unit_that_is_asked_for(running):
    made = running.ask("/do/new", name="Metric", unit="cm")["wall"]
    assert '<option value="cm" selected>' in running.request("GET", f"/wall/{made}/pieces")[1]
    assert 'data-unit="cm"' in running.request("GET", f"/wall/{made}/pieces")[1]
    running.ask("/do/new", 422, name="Metric", unit="ells")
    made = running.ask("/do/new", name="Euros", unit="cm", currency=" €, ")["wall"]
    assert 'data-currency="€,"' in running.request("GET", f"/wall/{made}/pieces")[1]
    running.ask("/do/new", 422, name="Long", unit="cm", currency="€" * 13)


def test_a_setting_is_written_changed_and_taken_back(wall):
    (wall.folder / "bench.csv").write_text("name,value,notes\nTrim,1/8,as found\n")
    wall.ask("setting", name="trim", value="1/4")
    assert bench(wall) == "name,value,notes\ntrim,1/4,as found\n"
    wall.ask("setting", name="currency", value="€")
    assert bench(wall) == "name,value,notes\ntrim,1/4,as found\ncurrency,€\n"
    assert wall.ask("undo", table="pieces")["said"] == "Undone: changed currency of the bench"
    wall.ask("setting", 422, name="colour", value="red")
    wall.ask("setting", 422, name="trim")


def test_a_setting_that_is_wrong_says_so_beside_it(wall):
    wall.ask("setting", name="trim", value="1/")
    page = wall.running.request("GET", f"/wall/{wall.id}/prices")[1]
    assert "is not a length" in page
    assert "How you measure and cut row 3" in page  # and the price says what it waits for


def test_a_sale_may_be_at_one_shop(wall):
    assert wall.ask("options", discount="Quay=50")["net"] == {"2": "$8.00", "3": "$4.50"}
    assert "Quay=half" not in (wall.folder / "choices.csv").read_text()
    wall.ask("options", 422, discount="Quay=half")


def test_it_is_said_what_happens_at_a_sum_and_what_a_minimum_counts(wall):
    page = " ".join(wall.page("prices").split())
    offers, shops = page.index('data-table="offers"'), page.index('data-table="shops"')
    assert offers < page.index("Each row counts by itself, also where a shop has several.") < shops
    assert shops < page.index("At exactly that sum it is still charged.")


def test_under_the_drawing_it_is_said_why_a_window_is_smaller_than_asked(wall):
    wall.ask("setting", name="unit", value="mm")
    cells = {"piece": "Fern", "inside width": "280", "inside height": "361", "boards": "moss"}
    picture = {"picture width": "200", "picture height": "280"}
    said = wall.ask("draw", row=2, cells=cells | picture)["size"].replace("\N{NO-BREAK SPACE}", " ")
    assert said.endswith("Borders are rounded up to 1 mm, so the window is a little smaller than asked.")
    assert "rounded" not in wall.ask("draw", row=2, cells=cells)["size"]


def waits_for(wall):
    wall.ask("options")
    return wall.running.request("GET", f"/wall/{wall.id}/pieces")[1]


def test_the_price_says_what_it_waits_for(wall):
    (wall.folder / "offers.csv").write_text("shop,board,sheet width,sheet height,price\n")
    assert "once you have written what your shops ask for a sheet, under Boards and prices." in waits_for(wall)
    (wall.folder / "offers.csv").write_text(OFFERS + "Quay,moss,32,,9.00\n")
    assert "once these are right: Prices row 4." in waits_for(wall)
    (wall.folder / "offers.csv").write_text(OFFERS.replace("any", "moss"))
    (wall.folder / "pieces.csv").write_text(PIECES.replace("39,moss", "39,oat"))
    assert "once these are right: Pieces row 3." in waits_for(wall)
    (wall.folder / "offers.csv").write_text(OFFERS + "Quay,moss,32,,9.00\n")
    (wall.folder / "pieces.csv").write_text(
        PIECES.replace("20,20", "20,0").replace("30,38", "30,").replace("31,39", ",39")
    )
    assert "once these are right: Pieces rows 2 to 4, Prices row 4." in waits_for(wall)
    (wall.folder / "pieces.csv").write_text(PIECES.splitlines()[0] + "\n")
    assert "Write your first frame below" in waits_for(wall)
    (wall.folder / "pieces.csv").write_text(PIECES)
    wall.ask("pin", piece="Reed", board="moss")
    (wall.folder / "pieces.csv").write_text(PIECES.replace("Reed", "Rush"))
    assert "once you drop, under Plan, the board chosen for Reed" in waits_for(wall)


def test_names_that_may_be_one_are_said_under_their_row(wall):
    (wall.folder / "pieces.csv").write_text(PIECES.replace("39,moss", "39,mosss"))
    table = wall.running.request("GET", f"/wall/{wall.id}/tables/pieces")[1]
    assert "'mosss' looks like 'moss' (pieces, row 2). If they are one board, write the same name" in table


@pytest.fixture
def page(desk_browser, tmp_path):
    """Return the page of the pieces of a wall, and the wall; nothing on it may go wrong."""
    started = Running(tmp_path)
    page = desk_browser.new_page(viewport={"width": 1280, "height": 900}, locale="de-DE")
    page.set_default_timeout(SOON)
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    try:
        started.enter()
        wall = Wall(started, "Measured")
        (wall.folder / "pieces.csv").write_text(PIECES)
        (wall.folder / "offers.csv").write_text(OFFERS)
        page.goto(started.address.replace(started.code, started.ask("/again", job=None)["code"]))
        page.wait_for_url("**/")
        expect(page.get_by_label("measured in")).to_have_value("cm")  # of the browser's language
        page.goto(f"http://127.0.0.1:{started.port}/wall/{wall.id}/pieces")
        yield page, wall
        assert errors == []
    finally:
        page.close()
        started.end()


def pasted(page, text):
    page.evaluate(
        """text => {
            const clipboardData = new DataTransfer();
            clipboardData.setData("text/plain", text);
            const event = new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true });
            document.activeElement.dispatchEvent(event);
        }""",
        text,
    )


def saved(page):
    expect(page.locator("[data-table=pieces] .saved")).to_have_text("Saved")


def test_a_list_that_is_pasted_with_its_headings_goes_under_them(page):
    page, wall = page
    cell(page, "pieces", "piece", 5).click()
    pasted(page, "Boards\tpiece\tmy column\tInside_Width\tinside height\noak\tTile\tx\t12\t9\n")
    saved(page)
    assert (wall.folder / "pieces.csv").read_text() == PIECES + "Tile,12,9,oak\n"


def test_a_list_without_headings_begins_with_its_names_wherever_it_is_pasted(page):
    page, wall = page
    cell(page, "pieces", "inside width", 5).click()
    pasted(page, "Tile\t2\t12\t9\nSlab\t1\t13\t8\n")
    saved(page)
    written = (wall.folder / "pieces.csv").read_text()
    assert [line.split(",")[0] for line in written.splitlines()[4:]] == ["Tile", "Slab"]
    cell(page, "pieces", "inside width", 2).click()
    pasted(page, "28\t36\n")  # sizes stay where they are pasted
    expect(cell(page, "pieces", "inside height", 2)).to_have_value("36")


def test_a_list_with_headings_of_its_own_is_read_as_a_list(page):
    page, wall = page
    cell(page, "pieces", "quantity", 5).click()
    pasted(page, 'Child\tFrame w\tFraem h\nIda "I"\t12\t9\n')
    expect(page.locator("#notice")).to_contain_text("inside height: is a column that is missing")
    cell(page, "pieces", "quantity", 5).click()
    pasted(page, 'Child\tFrame w\tFrame h\tcolour\nIda "I"\t12\t9\tmoss\n')
    expect(cell(page, "pieces", "piece", 5)).to_have_value('Ida "I"')
    expect(cell(page, "pieces", "inside height", 5)).to_have_value("9")
    assert wall.folder


def test_after_a_row_along_the_tab_key_enter_goes_to_the_next_name(page):
    page, _ = page
    cell(page, "pieces", "piece", 5).click()
    for text in ("Tile", "1", "12"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.keyboard.type("9")
    page.keyboard.press("Enter")
    expect(cell(page, "pieces", "piece", 6)).to_be_focused()
    page.keyboard.type("Slab")
    page.keyboard.press("Enter")
    expect(cell(page, "pieces", "piece", 7)).to_be_focused()


def test_rows_that_are_typed_faster_than_they_are_saved_are_rows_of_their_own(page):
    page, wall = page
    waiting = []
    page.route("**/do/change", lambda route: waiting.append(route.request))
    cell(page, "pieces", "piece", 5).click()
    for name in ("Tile", "Slab", "Brick"):
        for text in (name, "1", "12"):
            page.keyboard.type(text)
            page.keyboard.press("Tab")
        page.keyboard.type("9")
        page.keyboard.press("Enter")
    assert len(waiting) == 1  # the others are asked after it
    page.unroute("**/do/change")  # it goes on
    saved(page)
    rows = list(csv.DictReader((wall.folder / "pieces.csv").read_text().splitlines()))[3:]
    assert [(row["piece"], row["inside height"]) for row in rows] == [("Tile", "9"), ("Slab", "9"), ("Brick", "9")]
    expect(cell(page, "pieces", "piece", 8)).to_be_focused()


def test_what_is_empty_in_a_new_row_is_said_once_one_leaves_it(page):
    page, _ = page
    said = page.locator("#said-pieces-5 p")
    cell(page, "pieces", "piece", 5).click()
    for text in ("Tile", "1", "12 1/"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    expect(said).to_have_count(1)  # what is wrong is said at once, the boards are still to come
    expect(said).to_contain_text("inside width: is not a length.")
    page.keyboard.press("Enter")
    expect(said).to_have_count(2)
    expect(said.last).to_contain_text("boards: is empty.")
    cell(page, "pieces", "inside width", 5).fill("12")  # it was left before, so nothing waits any more
    expect(said.first).to_contain_text("inside height: is empty.")
    expect(said).to_have_count(2)
    cell(page, "pieces", "piece", 6).click()
    page.keyboard.type("Slab")
    page.keyboard.press("Tab")
    saved(page)
    expect(page.locator("#said-pieces-6")).to_have_count(0)
    page.get_by_role("heading", name="Pieces").click(force=True)
    expect(page.locator("#said-pieces-6")).to_contain_text("inside width: is empty.")


def test_a_misspelt_board_that_any_offer_covers_is_mended_by_its_button(page):
    page, wall = page
    (wall.folder / "pieces.csv").write_text(PIECES.replace("31,39,moss", "31,39,mosss or slate"))
    page.reload()
    page.locator("#said-pieces-3").get_by_role("button", name="boards moss or slate").click()
    expect(cell(page, "pieces", "boards", 3)).to_have_value("moss or slate")
    expect(page.locator("#said-pieces-3")).to_have_count(0)


def test_a_click_chooses_a_cell_and_a_second_one_sets_the_caret(page):
    page, _ = page
    width = cell(page, "pieces", "inside width", 2)
    width.click()
    page.keyboard.type("29")
    expect(width).to_have_value("29")
    page.keyboard.press("F2")
    page.keyboard.type(" 1/2")
    expect(width).to_have_value("29 1/2")
    cell(page, "pieces", "inside height", 2).click()
    page.keyboard.press("Home")
    expect(cell(page, "pieces", "piece", 2)).to_be_focused()
    page.keyboard.press("End")
    expect(cell(page, "pieces", "bottom extra", 2)).to_be_focused()


def test_the_name_of_a_row_stays_in_sight(page):
    page, _ = page
    page.set_viewport_size({"width": 390, "height": 800})
    cell(page, "pieces", "bottom extra", 2).click()
    box = cell(page, "pieces", "piece", 2).bounding_box()
    assert 0 <= box["x"] < 60


def test_once_the_desk_is_closed_only_ticks_can_be_made(page):
    page, wall = page
    page.wait_for_timeout(1000)  # a page that has not begun to listen hears nothing, and nothing shows when it has
    wall.running.ask("/do/close")
    expect(page.locator("#notice")).to_have_text("The desk is closed. You can close this page.")
    expect(page.locator("#main")).to_have_attribute("inert", "")


def test_a_colour_is_shown_as_soon_as_it_is_written(page):
    page, _ = page
    page.goto(page.url.replace("/pieces", "/prices"))
    expect(page.locator(".swatches path")).to_have_count(1)
    for heading, text in (("board", "moss"), ("swatch", "#6b7f5a")):
        cell(page, "boards", heading, 2).click()
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    expect(page.locator('.swatches rect[fill="#6b7f5a"]')).to_have_count(1)
    expect(page.locator(".swatches path")).to_have_count(0)


def test_a_colour_is_chosen_by_a_click_on_its_square(page):
    page, wall = page
    (wall.folder / "pieces.csv").write_text(PIECES.replace("20,20,moss", "20,20,oat"))
    (wall.folder / "boards.csv").write_text("board,thickness\nMOSS,1/8\n")
    page.goto(page.url.replace("/pieces", "/prices"))
    for name, colour in (("moss", "#6b7f5a"), ("oat", "#d9c08c")):
        page.locator(".swatches").get_by_label(name).evaluate(
            """(input, colour) => {
                input.focus();
                input.value = colour;
                input.dispatchEvent(new Event("change", { bubbles: true }));
            }""",
            colour,
        )
        expect(page.locator(f'.swatches rect[fill="{colour}"]')).to_have_count(1)
        expect(page.locator(".swatches").get_by_label(name)).to_be_focused()
    assert (wall.folder / "boards.csv").read_text() == "board,thickness,swatch\nMOSS,1/8,#6b7f5a\noat,,#d9c08c\n"


def test_a_row_is_removed_with_what_was_being_typed_in_it(page):
    page, wall = page
    cell(page, "pieces", "boards", 3).click()
    page.keyboard.type("oat")
    page.keyboard.press("Control+Delete")
    saved(page)
    left = PIECES.replace("Vetch,31,39,moss,1\n", "")
    assert (wall.folder / "pieces.csv").read_text() == left
    cell(page, "pieces", "piece", 2).click()
    page.get_by_role("button", name="Remove row 2").click()
    expect(cell(page, "pieces", "piece", 2)).to_have_value("Reed")
    assert (wall.folder / "pieces.csv").read_text() == left.replace("Fern,30,38,moss,\n", "")
    expect(page.locator("#picture .named")).to_have_text("Reed")
    page.get_by_role("button", name="Undo: removed Fern").click()
    expect(page.locator("#notice")).to_have_text("Undone: removed Fern")


def test_where_no_row_is_left_none_is_drawn(page):
    page, _ = page
    for name in ("Fern", "Vetch", "Reed"):
        cell(page, "pieces", "piece", 2).click()
        expect(page.locator("#picture .named")).to_have_text(name)
        page.get_by_role("button", name="Remove row 2").click()
        saved(page)
    expect(page.locator("#picture .named")).to_have_text("")
    expect(page.locator("#picture svg")).to_have_count(0)
    expect(page.locator(".back")).to_be_hidden()


def test_a_column_that_holds_something_is_shown(page):
    page, _ = page
    expect(cell(page, "pieces", "bottom extra", 3)).to_have_value("1")
    expect(page.get_by_role("columnheader", name="row", exact=True)).to_have_attribute(
        "title", re.compile("headings are row 1")
    )
    expect(page.get_by_role("columnheader", name="under boards")).to_have_count(0)


def test_columns_that_are_not_shown_are_named_beside_the_button_that_shows_them(page):
    page, _ = page
    said = page.locator("#more").inner_text()
    headings = ("bottom extra", "under boards", "across", "down", "when")
    assert [heading for heading in headings if heading not in said] == []
    page.get_by_role("button", name="All columns").click()
    shown = page.get_by_role("columnheader").all_inner_texts()
    assert [heading for heading in headings if not any(text.startswith(heading) for text in shown)] == []


def test_units_are_chosen_on_the_page_and_stand_in_the_headings(page):
    page, wall = page
    expect(page.get_by_role("columnheader", name="inside width in")).to_be_visible()
    page.get_by_label("Plain numbers are").select_option("centimetres")
    expect(page.get_by_role("columnheader", name="inside width cm")).to_be_visible()
    assert "unit,cm" in bench(wall)
    page.get_by_label("money is in").fill("€")
    page.keyboard.press("Tab")
    expect(page.get_by_label("money is in")).to_have_value("€")
    expect(page.get_by_role("columnheader", name="frame cost €")).to_be_visible()

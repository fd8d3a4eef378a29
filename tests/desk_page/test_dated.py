"""Cells of which a spreadsheet made a date are named, and what stood in them is offered."""

import re

import pytest
from playwright.sync_api import expect

from cli.desk.dated import dated_cells
from cli.desk.tables import Change, Tables
from nesting.reading.columns import table_named
from nesting.reading.grid import read_grid
from tests.desk_page.conftest import Running


def grid(*cells, heading="moulding width"):
    return read_grid(
        "\n".join((f"piece,{heading}", *(f"Fern,{cell}" for cell in cells))).encode(), table_named("pieces")
    )


@pytest.mark.parametrize(
    "date", ["8-Mar", "08-Mar", "Mar-8", "8. Mrz", "8 mars", "2026-03-08", "3/8/2026", "08.03.2026", "8/3/26"]
)
def test_a_date_of_the_same_day_and_month_gives_back_what_stood_there(date):
    (found,) = dated_cells(grid("1/2", date), [grid("1/2", "3/8")])
    assert (found.row, found.heading, found.now, found.before) == (3, "moulding width", date, "3/8")


@pytest.mark.parametrize(
    ("now", "before"),
    [
        ("9-Mar", "3/8"),
        ("8-Mar", "11 3/8"),
        ("3/8", "8/3"),
        ("11 3/8", "3/8"),
        ("3 8 in", "3/8"),
        ("2026-03-08", "2026-03-08"),
        ("8 marigolds here", "3/8"),
        ("", "3/8"),
        ("3-8-", "3/8"),
    ],
)
def test_what_did_not_become_a_date_is_left_alone(now, before):
    assert list(dated_cells(grid(now), [grid(before)])) == []


def test_columns_may_have_changed_places_and_the_last_that_fits_is_taken():
    before = read_grid(b"moulding width,piece\n3-8,Fern\n", table_named("pieces"))
    (found,) = dated_cells(grid("8-Mar"), [grid("8-Mar"), before, grid("3/8")])
    assert found.before == "3-8"


def test_all_cells_are_offered_still_when_one_of_them_is_mended(tmp_path):
    path = tmp_path / "pieces.csv"
    path.write_text("piece,moulding width\nFern,\nVetch,5/8\n")
    tables = Tables(tmp_path)
    tables.change("pieces", tables.read("pieces").version(), Change("typed", ((2, "moulding width", "3/8"),)))
    path.write_text("piece,moulding width\nFern,8-Mar\nVetch,8-May\n")

    def offered():
        return [(it.row, it.before) for it in dated_cells(tables.read("pieces"), tables.earlier("pieces"))]

    assert offered() == [(2, "3/8"), (3, "5/8")]
    tables.change("pieces", tables.read("pieces").version(), Change("mended", ((2, "moulding width", "3/8"),)))
    assert offered() == [(3, "5/8")]


def test_the_page_offers_it_by_a_button(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page()
    try:
        page.goto(started.address)
        page.get_by_label("A new wall").fill("Loft")
        page.get_by_role("button", name="Begin").click()
        page.wait_for_url("**/pieces")
        page.wait_for_load_state()
        cell = page.get_by_label("moulding width, row 2", exact=True)
        cell.fill("3/8")
        cell.press("Tab")
        expect(page.locator("[data-table=pieces] .saved")).to_have_text("Saved")
        (path,) = tmp_path.glob("windowfall/walls/Loft/pieces.csv")
        path.write_text(path.read_text().replace("3/8", "8-Mar"))
        page.reload()
        said = re.compile("moulding width: a spreadsheet made the date 8-Mar of 3/8[.]")
        expect(page.locator("#said-pieces-2")).to_have_text(said)
        page.get_by_role("button", name="moulding width 3/8").click()
        expect(cell).to_have_value("3/8")
        expect(page.locator("#said-pieces-2")).not_to_contain_text("spreadsheet")
        assert "8-Mar" not in path.read_text()
    finally:
        page.close()
        started.end()

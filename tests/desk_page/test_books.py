"""A workbook comes in as a wall, and a wall goes out as one and back with nothing changed."""

import base64
import datetime as dt
import io

import openpyxl
import pytest
from playwright.sync_api import expect

from cli.desk.books import NoWorkbookError, as_workbook, from_workbook
from cli.desk.tables import Tables
from cli.desk.walls import Walls
from nesting.identity import identity_of
from nesting.plan import make_plan
from nesting.reading.job import read_job
from tests.desk_page.conftest import Running


@pytest.fixture
def walls(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return Walls()


def brought(walls, data, name="Loft.xlsx"):
    return from_workbook(walls, name, base64.b64encode(data).decode())


def made(**sheets):
    book, file = openpyxl.Workbook(), io.BytesIO()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(file)
    return file.getvalue()


def test_the_demonstration_wall_goes_out_and_comes_back_to_the_same_plan(walls):
    wall = walls.copy_demo()
    again, said = brought(walls, as_workbook(wall))
    assert said == ()
    plans = [make_plan(read_job(each.folder), rounds=20, seconds=60) for each in (wall, again)]
    assert identity_of(plans[0]).plan == identity_of(plans[1]).plan


def test_odd_cells_come_back_as_they_were_typed(walls):
    wall = walls.make("Odd")
    cells = ["3/8", "=1+1", "0012", "11 1/4", "two\nlines", "http://example.org", "12,5", 'say "so"']
    quoted = [cell.replace('"', '""') for cell in cells]
    rows = ["piece,my own,inside width,inside height,boards", *(f'"{cell}",x,8,10,moss' for cell in quoted)]
    (wall.folder / "pieces.csv").write_text("\n".join(rows) + "\n")
    again, _ = brought(walls, as_workbook(wall))
    before, after = (Tables(each.folder).read("pieces") for each in (wall, again))
    assert [line.cells[0] for line in after.lines[1:]] == cells
    assert after.headings == before.headings


def test_sheets_of_ones_own_are_named_and_dates_are_pointed_at(walls):
    pieces = [("piece", "inside width", "inside height", "boards"), ("Fern", dt.datetime(2026, 3, 8), 10, "moss")]  # noqa: DTZ001
    wall, said = brought(walls, made(pieces=pieces, shopping=[("milk",)]))
    assert wall.name == "Loft"
    assert any("shopping" in words for words in said)
    assert "Look at pieces B2: a spreadsheet made a date of it." in said
    assert (wall.folder / "history" / "brought in.xlsx").is_file()


@pytest.mark.parametrize(
    ("data", "words"),
    [(b"no workbook", "is no workbook that can be opened"), (made(shopping=[("milk",)]), "has no sheet of a job")],
)
def test_what_is_no_workbook_of_a_job_makes_no_wall(walls, data, words):
    with pytest.raises(NoWorkbookError, match=words):
        brought(walls, data)
    assert walls.known() == ()


def test_a_file_that_did_not_arrive_whole_is_refused(walls):
    with pytest.raises(NoWorkbookError, match="did not arrive whole"):
        from_workbook(walls, "Loft.xlsx", "%%%")


def test_it_works_in_a_browser(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page()
    try:
        page.goto(started.address)
        page.get_by_role("button", name="Open a copy").click()
        page.wait_for_url("**/pieces")
        page.get_by_role("link", name="Windowfall").click()
        with page.expect_download() as download:
            page.get_by_text("More for Demonstration wall").click()
            page.get_by_role("link", name="Save as a workbook").click()
        assert download.value.suggested_filename == "Demonstration wall.xlsx"
        page.locator("#book").set_input_files(download.value.path())
        page.wait_for_url("**/pieces")
        expect(page.get_by_label("piece, row 2", exact=True)).to_have_value("Sea holly")
    finally:
        page.close()
        started.end()

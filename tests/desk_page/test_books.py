"""A workbook comes in as a wall, and a wall goes out as one and back with nothing changed."""

import base64
import datetime as dt
import io

import openpyxl
import pytest
import xlsxwriter
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


def test_the_demonstration_wall_goes_out_and_comes_back_to_the_same_plan(walls, tmp_path):
    wall = walls.copy_demo()
    again, said = brought(walls, as_workbook(wall))
    assert said == ()
    (tmp_path / "wall.xlsx").write_bytes(as_workbook(wall))
    paths = (wall.folder, tmp_path / "wall.xlsx", again.folder)
    plans = [make_plan(read_job(path), rounds=20, seconds=60) for path in paths]
    assert len({identity_of(plan).plan for plan in plans}) == 1


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


def test_rows_keep_their_numbers_and_ones_own_columns_their_places(walls, tmp_path):
    wall = walls.make("Odd")
    text = (
        ",,,,,\n\nmine,piece,inside width,inside height,boards,also mine\n"
        "3/8,Fern,11 1/4,15,moss,-1\n\n,,,,,\n1-2,Vetch,9 1/8,12 3/8,moss,+x\n"
    )
    (wall.folder / "pieces.csv").write_text(text)
    with (wall.folder / "offers.csv").open("a") as offers:
        offers.write("Quay shop,moss,32,40,8.00,50%\n")
    again, said = brought(walls, as_workbook(wall))
    assert said == ()
    before, after = (dict(Tables(each.folder).read("pieces").rows()) for each in (wall, again))
    assert {number: line.cells for number, line in after.items()} == {
        number: line.cells for number, line in before.items()
    }
    assert sorted(after) == [4, 7]
    (tmp_path / "wall.xlsx").write_bytes(as_workbook(wall))
    jobs = [read_job(path) for path in (wall.folder, tmp_path / "wall.xlsx", again.folder)]
    assert jobs[0].pieces
    assert jobs[0].pieces == jobs[1].pieces == jobs[2].pieces


def test_formulas_come_as_their_values_and_the_file_is_kept_as_it_was(walls):
    file = io.BytesIO()
    book = xlsxwriter.Workbook(file)
    sheet = book.add_worksheet("Pieces")
    sheet.write_row(0, 0, ("piece", "inside width"))
    sheet.write_row(1, 0, ("Fern", "3/8"))
    sheet.write_string(2, 0, "Vetch")
    sheet.write_formula(2, 1, "=10+1.25", None, 11.25)
    book.close()
    wall, said = brought(walls, file.getvalue())
    assert said == ()
    assert (wall.folder / "pieces.csv").read_text() == "piece,inside width\nFern,3/8\nVetch,11.25\n"
    assert (wall.folder / "history" / "brought in.xlsx").read_bytes() == file.getvalue()


def test_a_row_far_out_does_not_make_a_file_of_empty_rows(walls):
    file = io.BytesIO()
    book = openpyxl.load_workbook(io.BytesIO(made(pieces=[("piece", "boards"), ("Fern", "moss")])))
    book["pieces"]["A40000"] = "Vetch"
    book.save(file)
    wall, _ = brought(walls, file.getvalue())
    assert (wall.folder / "pieces.csv").read_text() == "piece,boards\nFern,moss\nVetch,\n"


def test_a_sheet_with_more_rows_than_are_read_is_refused_whole(walls):
    with pytest.raises(NoWorkbookError, match="pieces: 'pieces' has 10002 rows, more than the 10000 that are read"):
        brought(walls, made(pieces=[("piece", "boards")] + [("Fern", "moss")] * 10_001, offers=[("shop",)]))
    assert list(walls.home.iterdir() if walls.home.is_dir() else ()) == []


def test_of_two_sheets_of_one_name_the_second_is_named(walls):
    wall, said = brought(walls, made(pieces=[("piece",), ("Fern",)], **{"Pieces ": [("piece",), ("Vetch",)]}))
    assert any("is there twice" in words for words in said)
    assert (wall.folder / "pieces.csv").read_text() == "piece\nFern\n"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"piece\n\xff\n", r"pieces\.csv is not in UTF-8"),
        (b"piece\nFern\n" + b"x" * 32_768 + b"\n", r"pieces\.csv, row 3: a cell is longer than a workbook holds"),
        (b"piece\n" + b"\n" * 10_000, r"pieces\.csv has more than the 10000 rows"),
    ],
    ids=["letters", "long", "rows"],
)
def test_what_no_workbook_can_hold_is_said(walls, data, words):
    wall = walls.make("Odd")
    (wall.folder / "pieces.csv").write_bytes(data)
    with pytest.raises(NoWorkbookError, match=words):
        as_workbook(wall)


def test_a_sign_that_no_workbook_may_hold_leaves_one_that_can_be_opened(walls):
    wall = walls.make("Odd")
    (wall.folder / "pieces.csv").write_text("piece\nSea\x01holly\n")
    again, _ = brought(walls, as_workbook(wall))
    assert Tables(again.folder).read("pieces").lines[1].cells == ("Sea\N{REPLACEMENT CHARACTER}holly",)


def test_a_wall_that_cannot_be_written_whole_is_not_there(walls, monkeypatch):
    def full(path, _data):
        if path.name == "brought in.xlsx":
            raise OSError(28, "No space left on device")

    monkeypatch.setattr("cli.desk.walls.replace_with", full)
    with pytest.raises(OSError, match="No space left"):
        brought(walls, made(pieces=[("piece",), ("Fern",)]))
    assert list(walls.home.iterdir()) == []


def test_it_may_be_dropped_on_the_page_and_what_is_worth_a_look_stays_to_be_read(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page()
    data = made(pieces=[("piece", "inside width"), ("Fern", "3/8")], **{"<b>milk": [("milk",)]})
    drop = """(coded) => {
        const bytes = Uint8Array.from(atob(coded), (letter) => letter.charCodeAt(0));
        const dropped = new DataTransfer();
        dropped.items.add(new File([bytes], "Loft.xlsx"));
        document.body.dispatchEvent(new DragEvent("drop", { dataTransfer: dropped, bubbles: true, cancelable: true }));
    }"""
    try:
        page.goto(started.address)
        page.get_by_label("A new wall").wait_for()
        page.wait_for_load_state()
        page.evaluate(drop, base64.b64encode(data).decode())
        expect(page.locator("#brought")).to_contain_text("Left out, as they are no tables of a job: <b>milk.")
        page.get_by_role("link", name="To the wall").click()
        expect(page.get_by_label("inside width, row 2", exact=True)).to_have_value("3/8")
        page.goto(f"http://127.0.0.1:{started.port}/")
        page.wait_for_load_state()
        page.evaluate(drop, base64.b64encode(b"no workbook").decode())
        expect(page.locator("#notice")).to_contain_text("is no workbook that can be opened")
    finally:
        page.close()
        started.end()


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

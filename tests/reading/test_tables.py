import datetime as dt
from fractions import Fraction

import pytest

from nesting.reading.job import read_job
from tests.jobs import OFFERS, PIECES, faults

INCH = 16256


def test_workbook_is_read_like_a_folder(workbook):
    def number_formats(book):
        book["offers"]["F2"].number_format = "0.0%"
        book["offers"]["G2"].number_format = '0"%"'

    path = workbook(
        number_formats,
        pieces=[PIECES.split(","), ["fern", 11.25, "17 1/2", "sage"], [None, " ", None, None], [12, 5, 7.0, "sage"]],
        offers=[[*OFFERS.split(","), "discount", "at most"], ["nook", "any", 31, 41, 7.4, 0.07, 30]],
        bench=[["name", "value"], ["use fallout", False], ["trim", 0.1 + 0.2]],
        elsewhere=[["anything"], ["at all"]],
    )
    job = read_job(path)
    assert [(piece.name, piece.row) for piece in job.pieces] == [("fern", 2), ("12", 4)]
    assert job.pieces[0].inside == (INCH * Fraction(45, 4), INCH * Fraction(35, 2))
    assert (job.offers[0].price, job.offers[0].discount, job.offers[0].at_most) == (740, 7, 30)
    assert not job.bench.use_fallout
    # Three tenths of an inch are 4876.8 ticks, which is up to 4877.
    assert job.bench.trim == 4877
    assert job.warnings == ()


def test_cells_that_a_spreadsheet_spoilt(workbook):
    path = workbook(
        pieces=[
            [*PIECES.split(","), "group", "notes"],
            ["fern", dt.date(2024, 3, 8), 17, "sage", None, dt.date(2024, 3, 8)],
            ["moss", "#DIV/0!", 17, "sage", None, "#N/A"],
            ["ivy", 5, "=C2/2", "sage", None, None],
            ["reed", 5, 7, "sage", dt.datetime(2024, 3, 8, 9, 30), None],  # noqa: DTZ001 - cells have no zone
        ]
    )
    assert faults(path) == [
        (
            "pieces, row 2, inside width, cell B2: '2024-03-08' is a date: a spreadsheet turned the fraction into a "
            "date. Format the column as Text, then write it again, such as 8 3/8."
        ),
        (
            "pieces, row 3, inside width, cell B3: '#DIV/0!' is an error of a spreadsheet's formula. "
            "Mend the formula, or write the value itself."
        ),
        (
            "pieces, row 4, inside height, cell C4: '=C2/2' is a formula whose value was never computed. "
            "Open the workbook in a spreadsheet program and save it, or write the value itself."
        ),
        (
            "pieces, row 5, group, cell E5: '2024-03-08 09:30:00' is a date: a spreadsheet turned what was written "
            "into a date. Format the column as Text, then write it again."
        ),
    ]


def test_faults_of_a_workbook_name_the_cell(workbook):
    path = workbook(
        pieces=[[*PIECES.split(","), "colour"], ["fern", "1,234", None, "sage", None, "stray"]],
        offers=[OFFERS.split(","), ["nook", "sage", 31, 41, 7.405]],
    )
    assert faults(path) == [
        (
            "pieces, row 2, cell F2: 'stray' stands under no heading. "
            "Give its column a heading, or delete it; in a CSV file a value with a comma goes in quotes."
        ),
        (
            "pieces, row 2, inside width, cell B2: '1,234' has a comma that may mean thousands or decimals. "
            "Write 1234 if it means thousands, otherwise 1.234."
        ),
        (
            "offers, row 2, price, cell E2: '7.405' may mean thousands or decimals. "
            "Write 7405 if it means thousands; otherwise write it again with two decimals, such as 74.05."
        ),
    ]


def test_two_sheets_of_one_name(workbook):
    path = workbook(lambda book: book.create_sheet("Pie ces"))
    assert faults(path) == ["pieces: 'Pie ces' is there twice. Keep one and rename the other."]


def test_a_sheet_nearly_named_like_a_table_is_told(workbook):
    job = read_job(workbook(shelfs=[["label"]], addresses=[["name"]]))
    assert job.warnings == ("'shelfs' was passed over. If it is the table shelf, name it shelf",)


def test_a_merged_cell_counts_for_all_that_it_covers(workbook):
    def merge(book):
        book["pieces"].merge_cells("E2:E6")
        book["pieces"].merge_cells("B4:C4")

    headings = [*PIECES.split(","), "group"]
    rows = [["fern", 11, 17, "sage", "hall"], ["moss", 11, 17, "sage"], ["reed", "16x24", None, "sage"]]
    job = read_job(workbook(merge, pieces=[headings, *rows, ["rush", 11, 17, "sage"]]))
    assert [(piece.name, piece.group) for piece in job.pieces] == [
        ("fern", "hall"),
        ("moss", "hall"),
        ("reed", "hall"),
        ("rush", "hall"),
    ]  # row 6 lies under the merged cell and has nothing in it
    assert job.pieces[2].inside == (16 * INCH, 24 * INCH)


def test_merged_headings_are_no_headings_twice(workbook):
    path = workbook(
        lambda book: book["pieces"].merge_cells("D1:E1"),
        pieces=[[*PIECES.split(","), None], ["fern", 11, 17, "sage", None]],
    )
    assert [piece.name for piece in read_job(path).pieces] == ["fern"]


def test_a_sheet_that_is_a_table_by_its_headings_is_told(workbook):
    wall = [[*PIECES.split(","), "group"], ["fern", 11, 17, "sage", "hall"]]
    path = workbook(lambda book: book.remove(book["pieces"]), people=[["name"], ["Ida"]], Sheet1=wall)
    assert faults(path) == [
        (
            "pieces: this table is missing. If 'Sheet1' is it, rename it 'pieces'; otherwise write a table pieces with "
            "a row for each framed piece."
        )
    ]
    held = [["label", "board", "width", "height"], ["R1", "sage", 5, 7]]
    assert read_job(workbook(leftovers=held)).warnings == (
        "'leftovers' was passed over. If it is the table shelf, name it shelf",
    )


def test_what_is_no_workbook(tmp_path):
    path = tmp_path / "job.xlsx"
    path.write_text("hello")
    assert faults(path) == [
        (
            f"job: {str(path)!r} is no workbook that can be opened: it is damaged, protected by a password or of "
            "another kind. Open it in a spreadsheet program and save it as a workbook (.xlsx) without a password."
        )
    ]


@pytest.mark.parametrize(
    ("name", "remedy"),
    [("job.xls", "Save it as a workbook (.xlsx)"), ("pieces.csv", "Give the folder that holds it")],
)
def test_what_is_neither_workbook_nor_folder(tmp_path, name, remedy):
    path = tmp_path / name
    path.write_text("hello")
    assert faults(path) == [f"job: {str(path)!r} is neither a workbook (.xlsx) nor a folder of .csv files. {remedy}."]


def test_nothing_there(tmp_path):
    path = tmp_path / "nowhere"
    assert faults(path) == [
        f"job: {str(path)!r} is not there. Give the path of a workbook (.xlsx) or of a folder of .csv files."
    ]


def test_a_folder_that_only_holds_the_workbook(workbook):
    path = workbook().parent
    assert faults(path) == [
        f"job: {str(path)!r} is a folder without .csv files. Give the workbook in it, job.xlsx, instead."
    ]


def test_a_file_that_cannot_be_opened(folder, monkeypatch):
    path = folder()

    def refuse(_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.read_bytes", refuse)
    assert faults(path) == [f"job: {str(path)!r} cannot be opened: Permission denied. Close it elsewhere, or copy it."]


def test_encodings_that_could_only_be_guessed(folder):
    assert faults(
        folder(pieces=f"{PIECES}\nfern,11,17,sage\nmoss,5 \N{VULGAR FRACTION ONE HALF},7,sage".encode("cp1252"))
    ) == [
        (
            "pieces, row 3: 'pieces.csv' is not in UTF-8, so its accents and fractions cannot be read for certain. "
            "Save it as 'CSV UTF-8'."
        )
    ]


def test_a_file_of_bytes(folder):
    assert faults(folder(pieces=b"PK\0\0")) == [
        "pieces: 'pieces.csv' is not a text file. Save the table as 'CSV UTF-8'."
    ]


def test_a_quotation_mark_left_open(folder):
    assert faults(folder(pieces=f'{PIECES}\nfern,"11,17,sage\n')) == [
        (
            "pieces, row 2: 'pieces.csv' has a row that is not well-formed CSV (unexpected end of data). "
            "Save the table as CSV again; a quotation mark within quotes is written twice."
        )
    ]


def test_a_workbook_that_cannot_be_opened(workbook, monkeypatch):
    path = workbook()

    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", refuse)
    assert faults(path) == [f"job: {str(path)!r} cannot be opened: Permission denied. Close it elsewhere, or copy it."]


def test_a_cell_longer_than_any_table_has(folder):
    assert faults(folder(pieces="x" * 200_000)) == [
        (
            "pieces, row 1: 'pieces.csv' has a row that is not well-formed CSV "
            "(field larger than field limit (131072)). "
            "Save the table as CSV again; a quotation mark within quotes is written twice."
        )
    ]

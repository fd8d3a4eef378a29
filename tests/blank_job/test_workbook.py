"""The workbook to fill in, looked at as a spreadsheet program would."""

import csv

import openpyxl
import pytest

from cli.blank_job.guide import GUIDE_SHEET, MEASURING_SHEET
from nesting.model.job import Unit
from nesting.plan import make_plan
from nesting.reading.columns import BENCH, TABLES, Kind
from nesting.reading.job import read_job
from nesting.reading.plain_list import read_list
from nesting.sizing import size_pieces, warnings
from tests.blank_job.written import written

LENGTHS = {Kind.SIDE, Kind.LENGTH, Kind.SIGNED, Kind.SIZE}
NUMBERS = {Kind.COUNT, Kind.WHOLE, Kind.MONEY, Kind.PERCENT}


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return openpyxl.load_workbook(written(tmp_path_factory.mktemp("blank") / "wall.xlsx"))


def lists(sheet):
    return {str(rule.sqref).split(":")[0]: rule for rule in sheet.data_validations.dataValidation}


def letter(sheet, heading):
    return next(cell.column_letter for cell in sheet[1] if cell.value == heading)


@pytest.mark.parametrize("unit", list(Unit))
def test_the_examples_make_a_job_that_can_be_checked_and_planned(tmp_path, unit):
    job = read_job(written(tmp_path / "wall.xlsx", unit))
    assert len(job.pieces) == len(job.offers) == len(job.shops) == len(job.shelf) == len(job.boards) == 2
    assert job.bench.unit is unit
    assert not job.warnings
    assert not warnings(job)
    assert all(
        "example" in name for name in [piece.name for piece in job.pieces] + [board.name for board in job.boards]
    )
    made = make_plan(job, seconds=1)
    assert len(made.mats) == sum(piece.quantity for piece in job.pieces) == 3


def test_sheets_stand_in_the_order_of_the_contract_between_what_to_do_and_what_to_measure(book):
    assert book.sheetnames == [GUIDE_SHEET, *(table.name for table in TABLES), MEASURING_SHEET]


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_heading_has_a_note_and_stays_in_sight(book, table):
    sheet = book[table.name]
    assert [cell.value for cell in sheet[1]] == [column.heading for column in table.columns]
    for cell, column in zip(sheet[1], table.columns, strict=True):
        assert cell.comment.text == "\n".join(column.note_in(Unit.IN))
        assert cell.font.bold == column.required
    assert sheet.freeze_panes == "B2"


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
@pytest.mark.parametrize("row", [2, 3, 4, 150, 301])
def test_lengths_and_names_are_text_far_beyond_the_examples(book, table, row):
    formats = {c.heading: book[table.name].cell(row, n).number_format for n, c in enumerate(table.columns, 1)}
    for column in table.columns:
        assert formats[column.heading] == ("General" if column.kind in NUMBERS else "@")
    assert table.name in {"shops", "bench"} or any(column.kind in LENGTHS for column in table.columns)


def test_a_whole_column_is_text_so_that_no_row_is_the_last(book):
    sheet = book["pieces"]
    assert sheet.column_dimensions[letter(sheet, "inside width")].number_format == "@"


@pytest.mark.parametrize(
    ("table", "heading", "source", "only"),
    [
        ("pieces", "boards", "boards!$A$2:$A$301", False),
        ("pieces", "under boards", "boards!$A$2:$A$301", False),
        ("pieces", "backing", "boards!$A$2:$A$301", False),
        ("pieces", "when", '"now,later"', True),
        ("offers", "shop", "shops!$A$2:$A$301", False),
        ("offers", "board", "boards!$A$2:$A$301", False),
        ("shelf", "board", "boards!$A$2:$A$301", False),
        ("shelf", "kind", '"sheet,offcut,fallout"', True),
        ("boards", "turn", '"yes,no"', True),
        ("bench", "name", f'"{",".join(setting.heading for setting in BENCH)}"', True),
    ],
)
def test_lists_to_choose_from(book, table, heading, source, only):
    sheet = book[table]
    rule = lists(sheet)[f"{letter(sheet, heading)}2"]
    assert rule.formula1 == source
    assert bool(rule.showErrorMessage) == only
    assert str(rule.sqref).endswith("301")


def test_settings_of_the_bench_that_are_chosen(book):
    sheet = book["bench"]
    rows = {row[0].value: row[0].row for row in sheet.iter_rows(min_row=2, max_row=len(BENCH) + 1)}
    assert list(rows) == [setting.heading for setting in BENCH]
    assert lists(sheet)[f"B{rows['unit']}"].formula1 == '"in,mm,cm"'
    assert lists(sheet)[f"B{rows['use fallout']}"].formula1 == '"yes,no"'
    assert [sheet.cell(row, 2).value for row in rows.values()] == ["in"] + [None] * (len(BENCH) - 1)
    assert sheet.cell(rows["kerf"], 3).value.startswith("What the blade removes at a cut")


def test_widths_let_every_word_of_a_heading_be_read(book):
    for table in TABLES:
        for cell in book[table.name][1]:
            width = book[table.name].column_dimensions[cell.column_letter].width
            assert max(len(word) for word in cell.value.split()) + 1 < width < 50


def test_eight_lines_say_what_to_do(book):
    lines = [row[1].value for row in book[GUIDE_SHEET].iter_rows(min_row=2) if row[1].value]
    assert len(lines) == 8
    assert [line for line in lines if "wall.xlsx" in line] == lines[-2:]
    assert all(any(f"{table.name}: " in line for line in lines) for table in TABLES)
    assert "to measure" in lines[1]


def test_what_a_list_holds_is_written_as_it_stands_and_never_a_formula(tmp_path):
    path = tmp_path / "list.csv"
    rows = [
        ["name", "frame width", "frame height", "copies"],
        ["=1+1", "9 3/8", "11 1/2", "2"],
        ["http://moss", "A3", "", ""],
    ]
    with path.open("w", newline="") as file:
        csv.writer(file).writerows(rows)
    book = openpyxl.load_workbook(written(tmp_path / "wall.xlsx", listed=read_list(path, Unit.IN)))
    pieces = [[cell.value for cell in row[:5]] for row in book["pieces"].iter_rows(min_row=2, max_row=4)]
    assert pieces == [
        ["=1+1", 2, None, "9 3/8", "11 1/2"],
        ["http://moss", None, None, "A3", None],
        [None] * 5,
    ]
    assert book["pieces"]["A2"].data_type == "s"
    frames = [row[0].value for row in book[MEASURING_SHEET].iter_rows(min_row=9, max_row=12)]
    assert frames == ["=1+1, 1 of 2", "=1+1, 2 of 2", "http://moss", None]


def test_the_same_job_to_fill_in_is_the_same_file(tmp_path):
    one, two = (written(tmp_path / "wall.xlsx").read_bytes() for _ in range(2))
    assert one == two


def test_a_mat_of_the_examples_has_even_borders(tmp_path):
    for mat in size_pieces(read_job(written(tmp_path / "wall.xlsx")), "now"):
        assert mat.borders.left == mat.borders.right
        assert mat.borders.bottom > mat.borders.top

"""The job to fill in, opened and saved again by a spreadsheet program."""

from fractions import Fraction

import openpyxl

from nesting.reading.job import read_job
from tests.blank_job.written import written
from tests.jobs import OFFERS, PIECES, faults

INCH = 16256


def without_path(job):
    return (job.pieces, job.offers, job.shops, job.shelf, job.boards, job.bench, job.warnings)


def test_a_job_to_fill_in_is_the_same_job_once_resaved(tmp_path, resaved):
    path = written(tmp_path / "wall.xlsx")
    again = resaved(path)
    assert without_path(read_job(again)) == without_path(read_job(path))
    pieces = openpyxl.load_workbook(again)["pieces"]
    letters = {cell.value: cell.column_letter for cell in pieces[1]}
    rules = pieces.data_validations.dataValidation
    lists = {str(rule.sqref).split(":")[0].rstrip("0123456789"): rule.formula1 for rule in rules}
    assert "later" in lists[letters["when"]]
    assert "boards" in lists[letters["boards"]]
    assert all(cell.comment for cell in pieces[1])
    # It keeps the format of cells with nothing in them once for the whole column.
    assert pieces.column_dimensions[letters["inside width"]].number_format == "@"


def test_a_fraction_typed_as_text_stays_a_fraction(tmp_path, resaved):
    path = written(tmp_path / "wall.xlsx")
    book = openpyxl.load_workbook(path)
    pieces = book["pieces"]
    column = {cell.value: cell.column for cell in pieces[1]}
    for heading, value in {
        "piece": "fern",
        "inside width": "9 3/8",
        "inside height": "11 1/2",
        "boards": "sage",
        "moulding width": "3/8",
    }.items():
        pieces.cell(4, column[heading], value)
    book["offers"].append(["nook", "sage", "31", "41", 7.4])
    book.save(path)
    again = resaved(path)
    fern = read_job(again).pieces[-1]
    assert (fern.name, fern.row, fern.moulding_width) == ("fern", 4, Fraction(3, 8) * INCH)
    assert openpyxl.load_workbook(again)["pieces"].cell(4, column["moulding width"]).number_format == "@"


def test_three_eighths_that_a_spreadsheet_program_took_for_a_date_is_named_with_its_cell(tmp_path, resaved):
    folder = tmp_path / "typed"
    folder.mkdir()
    pieces = folder / "pieces.csv"
    pieces.write_text(f"{PIECES},moulding width\nfern,11,17,sage,3/8\n")
    # Recognising dates as it does for what is typed: comma, quotation mark, UTF-8, from line 1, English of the US.
    eaten = resaved(pieces, "--infilter=CSV:44,34,76,1,,1033,false,true")
    book = openpyxl.load_workbook(eaten)
    offers = book.create_sheet("offers")
    for row in (OFFERS.split(","), ["nook", "sage", 31, 41, 7.4]):
        offers.append(row)
    book.save(eaten)
    (fault,) = faults(eaten)
    assert fault.startswith("pieces, row 2, moulding width, cell E2: '")
    assert fault.endswith(
        "-03-08' is a date: a spreadsheet turned the fraction into a date. "
        "Format the column as Text, then write it again, such as 8 3/8."
    )

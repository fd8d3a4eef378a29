"""A job to fill in as a workbook: headings with notes, lists to choose from, lengths kept as text."""

import datetime as dt
import re
from decimal import Decimal
from pathlib import Path
from typing import BinaryIO

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from cli.blank_job.content import BlankJob, Cells, Filled
from cli.blank_job.guide import GUIDE_SHEET, MEASURING_SHEET, guide
from cli.blank_job.layout import placed_notes, row_height
from cli.blank_job.measuring import HEADINGS, TITLE, explained, measuring_rows
from nesting.model.job import Unit
from nesting.reading.columns import BENCH, Column, Kind
from nesting.signs import printable

__all__ = ["write_blank_workbook"]

# The same job to fill in gives the same file, whatever the day.
_DAY = dt.datetime(2000, 1, 1)  # noqa: DTZ001 - a workbook has no time zone
# So many rows have lists to choose from and keep their text; a wall of more pieces than this is none.
_ROWS = 300
_NUMBERS = frozenset({Kind.COUNT, Kind.WHOLE, Kind.MONEY, Kind.PERCENT})
_NUMBER = re.compile(r"[0-9]{1,9}(\.[0-9]+)?")
_WIDE = {Kind.BOARDS: 26, Kind.NAME: 26, Kind.TEXT: 18}
_NOTES_WIDE, _MANY = 44, 12
_GUIDE_WIDE, _FRAME_WIDE, _MEASURE_WIDE = 100, 30, 13
_LARGE = 12
_PAPER = {Unit.IN: 1, Unit.MM: 9, Unit.CM: 9}  # letter and A4, as a workbook numbers them


class _Formats:
    """The formats of one workbook."""

    def __init__(self, book: xlsxwriter.Workbook) -> None:
        heading = {"bold": True, "text_wrap": True, "valign": "top", "bottom": 2, "num_format": "@"}
        self.title = book.add_format({"bold": True, "font_size": 16})
        self.line = book.add_format({"text_wrap": True, "valign": "top", "font_size": _LARGE})
        self.needed = book.add_format(heading | {"bg_color": "#dfe7f2"})
        self.optional = book.add_format(heading | {"bold": False})
        self.text = book.add_format({"num_format": "@", "valign": "top"})
        self.wrapped = book.add_format({"num_format": "@", "valign": "top", "text_wrap": True})
        self.number = book.add_format({"valign": "top"})
        self.boxed = book.add_format({"num_format": "@", "border": 1, "valign": "vcenter", "text_wrap": True})
        self.result = book.add_format({"num_format": "@", "border": 2, "valign": "vcenter", "text_wrap": True})


def write_blank_workbook(job: BlankJob, path: Path, file: BinaryIO) -> None:
    """Write a job to fill in as a workbook.

    Nothing that a list of frames holds is ever a formula or a link.

    Parameters
    ----------
    job : BlankJob
        What stands in it.
    path : Path
        Where it will stand, for the lines that say what to do.
    file : BinaryIO
        Open for writing.
    """
    plain = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = xlsxwriter.Workbook(file, {"in_memory": True, **plain})
    book.set_properties({"title": "A job to fill in", "created": _DAY})
    formats = _Formats(book)
    _write_guide(book.add_worksheet(GUIDE_SHEET), formats, guide(job.unit, path))
    for filled in job.tables:
        _write_table(book.add_worksheet(filled.table.name), formats, filled, job.unit)
    _write_measuring(book.add_worksheet(MEASURING_SHEET), formats, job)
    book.close()


def _write_guide(sheet: Worksheet, formats: _Formats, lines: tuple[str, ...]) -> None:
    sheet.hide_gridlines(2)
    sheet.set_column(0, 0, 4)
    sheet.set_column(1, 1, _GUIDE_WIDE)
    sheet.write_string(0, 0, "Begin here", formats.title)
    for number, line in enumerate(lines, start=1):
        sheet.set_row(number + 1, row_height(line, _GUIDE_WIDE, _LARGE))
        sheet.write_number(number + 1, 0, number, formats.line)
        sheet.write_string(number + 1, 1, line, formats.line)
    sheet.fit_to_pages(1, 1)


def _write_table(sheet: Worksheet, formats: _Formats, filled: Filled, unit: Unit) -> None:
    columns = filled.table.columns
    sheet.set_row(0, max(row_height(column.heading, _width(column), bold=True) for column in columns))
    for number, row in enumerate(filled.rows, start=1):
        sheet.set_row(number, row_height(row.get("notes", ""), _NOTES_WIDE))
    for note in placed_notes(["\n".join(column.note_in(unit)) for column in columns], [*map(_width, columns)]):
        sheet.write_comment(0, note.place, note.words, note.options)
    for place, column in enumerate(columns):
        _write_heading(sheet, formats, place, column)
        _write_cells(sheet, formats, place, column, filled.rows)
        _offer_choices(sheet, place, filled.table.name, column)
    if filled.table.name == "bench":
        _offer_settings(sheet, filled.rows)
    sheet.freeze_panes(1, 1)
    sheet.set_landscape()
    sheet.set_paper(_PAPER[unit])
    sheet.fit_to_pages(1 if len(filled.table.columns) < _MANY else 2, 0)
    sheet.repeat_rows(0)
    # Whoever types 11 into a column of text means it.
    sheet.ignore_errors({"number_stored_as_text": f"A1:{xl_col_to_name(place)}{_ROWS + 1}"})


def _width(column: Column) -> int:
    """Return how wide a column is, in letters."""
    if column.heading == "notes":
        return _NOTES_WIDE
    return max(_WIDE.get(column.kind, 10), max(map(len, column.heading.split())) + 3)


def _write_heading(sheet: Worksheet, formats: _Formats, place: int, column: Column) -> None:
    sheet.set_column(place, place, _width(column), formats.number if column.kind in _NUMBERS else formats.text)
    sheet.write_string(0, place, column.heading, formats.needed if column.required else formats.optional)


def _write_cells(sheet: Worksheet, formats: _Formats, place: int, column: Column, rows: tuple[Cells, ...]) -> None:
    """Write what stands in a column, and format what does not stand there yet."""
    is_number = column.kind in _NUMBERS
    for number in range(1, max(_ROWS, len(rows)) + 1):
        text = rows[number - 1].get(column.heading, "") if number <= len(rows) else ""
        if is_number and _NUMBER.fullmatch(text):
            sheet.write_number(number, place, Decimal(text), formats.number)
        elif text:
            sheet.write_string(
                number, place, printable(text), formats.wrapped if column.heading == "notes" else formats.text
            )
        elif not is_number:
            sheet.write_blank(number, place, None, formats.text)


def _offer_choices(sheet: Worksheet, place: int, table: str, column: Column) -> None:
    """Hang a list on a column; where other words are right too, what is not in the list is taken without a word."""
    if column.choices:
        _list(sheet, (1, place, _ROWS, place), list(column.choices), column.choices)
    elif table == "bench" and column.heading == "name":
        names = [setting.heading for setting in BENCH]
        _list(sheet, (1, place, _ROWS, place), names, tuple(names))
    elif column.kind is Kind.BOARDS or (column.heading == "board" and table != "boards"):
        _list(sheet, (1, place, _ROWS, place), f"=boards!$A$2:$A${_ROWS + 1}", ())
    elif column.heading == "shop" and table != "shops":
        _list(sheet, (1, place, _ROWS, place), f"=shops!$A$2:$A${_ROWS + 1}", ())


def _offer_settings(sheet: Worksheet, rows: tuple[Cells, ...]) -> None:
    choices = {setting.heading: setting.choices for setting in BENCH}
    for number, row in enumerate(rows, start=1):
        if choices[row["name"]]:
            _list(sheet, (number, 1, number, 1), list(choices[row["name"]]), choices[row["name"]])


def _list(sheet: Worksheet, area: tuple[int, int, int, int], source: list[str] | str, only: tuple[str, ...]) -> None:
    message = f"Choose {' or '.join(only)}." if len(only) < 5 else "Choose a name from the list."
    sheet.data_validation(
        *area,
        {
            "validate": "list",
            "source": source,
            "show_error": bool(only),
            "error_title": "Not in the list",
            "error_message": message,
        },
    )


def _write_measuring(sheet: Worksheet, formats: _Formats, job: BlankJob) -> None:
    last = len(HEADINGS) - 1
    sheet.set_column(0, 0, _FRAME_WIDE)
    sheet.set_column(1, last, _MEASURE_WIDE)
    sheet.write_string(0, 0, TITLE, formats.title)
    lines = explained(job.unit)
    for number, line in enumerate(lines, start=1):
        sheet.set_row(number, row_height(line, _FRAME_WIDE + last * _MEASURE_WIDE, _LARGE))
        sheet.merge_range(number, 0, number, last, line, formats.line)
    top = len(lines) + 2
    rows = [HEADINGS, *measuring_rows(job.unit, job.frames)]
    for number, row in enumerate(rows, start=top):
        sheet.set_row(number, 48 if number == top else 26)
        for place, cell in enumerate(row):
            box = formats.result if place > last - 2 else formats.boxed
            if cell:
                sheet.write_string(number, place, printable(cell), box)
            else:
                sheet.write_blank(number, place, None, box)
    sheet.freeze_panes(top + 1, 1)
    sheet.set_landscape()
    sheet.set_paper(_PAPER[job.unit])
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(top)
    sheet.print_area(0, 0, top + len(rows) - 1, last)

"""A wall from a workbook, and as a workbook: the way to a spreadsheet and back, on which no length becomes a date."""

import base64
import binascii
import csv
import io
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from cli.blank_job.guide import GUIDE_SHEET, MEASURING_SHEET
from cli.desk.files import replace_with
from cli.desk.tables import Tables
from cli.desk.walls import Wall, Walls
from nesting.errors import JobError, WindowfallError, grouped
from nesting.reading.columns import EVERY_TABLE
from nesting.reading.tables import Cell, RawJob, RawTable, State, raw_tables

__all__ = ["NoWorkbookError", "as_workbook", "from_workbook"]

_ODD = {
    State.DATE: "a spreadsheet made a date of it",
    State.ERROR: "it is the error of a formula",
    State.NOT_COMPUTED: "its formula was never computed",
}
_NAMED = 6
_WIDE = 14


class NoWorkbookError(WindowfallError):
    """A file that cannot be brought in."""


def from_workbook(walls: Walls, name: str, encoded: str) -> tuple[Wall, tuple[str, ...]]:
    """Bring a workbook in as a new wall: formulas come as their values, and the file is kept beside the tables.

    Parameters
    ----------
    walls : Walls
        Where it goes.
    name : str
        Of its file.
    encoded : str
        The file in base64.

    Returns
    -------
    tuple of Wall and tuple of str
        The wall, and what is worth a look: sheets that are no tables of a job, and cells that a spreadsheet changed.

    Raises
    ------
    NoWorkbookError
        If it is none that can be read, or has no table of a job.
    """
    try:
        data = base64.b64decode(encoded, validate=True)
    except (binascii.Error, ValueError):
        raise NoWorkbookError("The file did not arrive whole. Choose it again.") from None
    raw = _read(data)
    if not raw.tables:
        sheets = ", ".join(table.name for table in EVERY_TABLE[:2])
        raise NoWorkbookError(f"The workbook has no sheet of a job. Name its sheets {sheets} and so on.")
    wall = walls.make(Path(name).stem or "Workbook")
    for table in EVERY_TABLE:
        if table.name in raw.tables:
            replace_with(wall.folder / f"{table.name}.csv", _csv(raw.tables[table.name]))
    replace_with(wall.folder / "history" / "brought in.xlsx", data)
    own = [name for name in raw.others if name not in {GUIDE_SHEET, MEASURING_SHEET}]
    left = (f"Left out, as they are no tables of a job: {', '.join(own)}.",) if own else ()
    return wall, (*left, *_odd(raw))


def _read(data: bytes) -> RawJob:
    with tempfile.TemporaryDirectory(prefix="windowfall-") as folder:
        path = Path(folder) / "workbook.xlsx"
        path.write_bytes(data)
        try:
            return raw_tables(path, EVERY_TABLE)
        except JobError as error:
            raise NoWorkbookError(" ".join(grouped(error.faults)).replace(str(path), "The file")) from None


def _csv(table: RawTable) -> bytes:
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\n")
    writer.writerows([cell.text for cell in row.cells] for row in (table.headings, *table.rows))
    return file.getvalue().encode()


def _odd(raw: RawJob) -> Iterator[str]:
    """Name the cells of which a spreadsheet made something else, by its own addresses."""
    for state, words in _ODD.items():
        cells = [f"{name} {_address(cell)}" for name, table in raw.tables.items() for cell in _cells(table, state)]
        if cells:
            others = f" and {len(cells) - _NAMED} more" if len(cells) > _NAMED else ""
            yield f"Look at {', '.join(cells[:_NAMED])}{others}: {words}."


def _cells(table: RawTable, state: State) -> Iterator[Cell]:
    return (cell for row in table.rows for cell in row.cells if cell.state is state)


def _address(cell: Cell) -> str:
    return cell.address or f"row {cell.row}"


def as_workbook(wall: Wall) -> bytes:
    """Return a wall as a workbook: a sheet for each table, every cell as text, so that what is typed stays so."""
    import xlsxwriter  # noqa: PLC0415 - the desk does without until one is asked for

    file, tables = io.BytesIO(), Tables(wall.folder)
    options: Mapping[str, Any] = {"strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(file, {**options, "in_memory": True})
    text, head = book.add_format({"num_format": "@"}), book.add_format({"num_format": "@", "bold": True, "bottom": 1})
    for table in EVERY_TABLE:
        grid = tables.read(table.name)
        if not grid.headings:
            continue
        sheet = book.add_worksheet(table.name)
        sheet.set_column(0, max(1, len(grid.headings)) - 1, _WIDE, text)
        for place, line in enumerate(grid.lines):
            for column, cell in enumerate(line.cells):
                if cell:
                    sheet.write_string(place, column, cell, head if place == grid.head else text)
        sheet.freeze_panes(grid.head + 1, 1)
    book.close()
    return file.getvalue()

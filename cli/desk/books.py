"""A wall from a workbook, and as a workbook: the way to a spreadsheet and back, on which no length becomes a date."""

import base64
import binascii
import csv
import io
import tempfile
import threading
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from cli.blank_job.guide import GUIDE_SHEET, MEASURING_SHEET
from cli.desk.tables import Tables
from cli.desk.walls import Wall, Walls
from nesting.errors import JobError, WindowfallError, grouped
from nesting.reading.columns import EVERY_TABLE
from nesting.reading.grid import Grid
from nesting.reading.limits import LARGEST_CSV, MOST_ROWS
from nesting.reading.tables import Cell, RawJob, RawTable, State, UnreadableFileError, raw_tables
from nesting.signs import printable

__all__ = ["NoWorkbookError", "as_workbook", "from_workbook"]

_ODD = {
    State.DATE: "a spreadsheet made a date of it",
    State.ERROR: "it is the error of a formula",
    State.NOT_COMPUTED: "its formula was never computed",
}
_NAMED = 6
_WIDE = 14
_LONGEST = 32_767
# A large workbook takes much memory while it is read.
_ONE = threading.Lock()


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
    with _ONE:
        raw = _read(data)
    wall = walls.put(Path(name).stem or "Workbook", {**_tables(raw), "history/brought in.xlsx": data})
    own = [name for name in raw.others if name not in {GUIDE_SHEET, MEASURING_SHEET}]
    left = (f"Left out, as they are no tables of a job: {', '.join(own)}.",) if own else ()
    return wall, (*left, *map(str, raw.faults), *_odd(raw))


def _read(data: bytes) -> RawJob:
    with tempfile.TemporaryDirectory(prefix="windowfall-") as folder:
        path = Path(folder) / "workbook.xlsx"
        path.write_bytes(data)
        try:
            raw = raw_tables(path, EVERY_TABLE)
        except JobError as error:
            raise NoWorkbookError(" ".join(grouped(error.faults)).replace(str(path), "The file")) from None
    lost = tuple(fault for fault in raw.faults if fault.table not in raw.tables)
    if lost:
        raise NoWorkbookError(" ".join(grouped(lost)))
    if not raw.tables:
        sheets = ", ".join(table.name for table in EVERY_TABLE[:2])
        raise NoWorkbookError(f"The workbook has no sheet of a job. Name its sheets {sheets} and so on.")
    return raw


def _tables(raw: RawJob) -> dict[str, bytes]:
    files = {f"{name}.csv": _csv(table) for name, table in raw.tables.items()}
    for name, data in files.items():
        if len(data) > LARGEST_CSV:
            raise NoWorkbookError(f"{name} would be larger than {LARGEST_CSV // 1_000_000} MB: bring it in in parts.")
    return files


def _csv(table: RawTable) -> bytes:
    """Return a table as a file; every row keeps its number, unless it lies further out than a table goes."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\n")
    rows = (table.headings, *table.rows)
    keeps_numbers, written = rows[-1].number <= MOST_ROWS, 0
    for row in rows:
        if keeps_numbers:
            file.write("\n" * (row.number - written - 1))
        writer.writerow([cell.text for cell in row.cells])
        written = row.number
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
    """Return a wall as a workbook: a sheet for each table, every cell as text, so that what is typed stays so.

    Raises
    ------
    NoWorkbookError
        If a table cannot be read, or has a cell that no workbook can hold.
    """
    import xlsxwriter  # noqa: PLC0415 - the desk does without until one is asked for

    file, tables = io.BytesIO(), Tables(wall.folder)
    options: Mapping[str, Any] = {"strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(file, {**options, "in_memory": True})
    text, head = book.add_format({"num_format": "@"}), book.add_format({"num_format": "@", "bold": True, "bottom": 1})
    for table in EVERY_TABLE:
        grid = _grid(tables, table.name)
        if grid.headings:
            _write(book.add_worksheet(table.name), grid, text, head)
    book.close()
    return file.getvalue()


def _grid(tables: Tables, name: str) -> Grid:
    """Return a table of which every cell fits into a workbook."""
    try:
        grid = tables.read(name)
    except UnreadableFileError as error:
        raise NoWorkbookError(f"{name}.csv {error.problem}. {error.remedy}.") from None
    if len(grid.lines) > MOST_ROWS:
        raise NoWorkbookError(f"{name}.csv has more than the {MOST_ROWS} rows that are read. Remove the empty ones.")
    for number, line in enumerate(grid.lines, 1):
        if any(len(cell) > _LONGEST for cell in line.cells):
            raise NoWorkbookError(f"{name}.csv, row {number}: a cell is longer than a workbook holds. Shorten it.")
    return grid


def _write(sheet: Any, grid: Grid, text: Any, head: Any) -> None:
    wide = max(len(line.cells) for line in grid.lines)
    sheet.set_column(0, wide - 1, _WIDE, text)
    for place, line in enumerate(grid.lines):
        for column, cell in enumerate(line.cells):
            if cell:
                sheet.write_string(place, column, printable(cell), head if place == grid.head else text)
    sheet.freeze_panes(grid.head + 1, 1)
    # Sizes stay text on purpose; without this each of them would carry a warning mark.
    sheet.ignore_errors({"number_stored_as_text": f"A1:{_address_of(len(grid.lines) - 1, wide - 1)}"})


def _address_of(row: int, column: int) -> str:
    from xlsxwriter.utility import xl_rowcol_to_cell  # noqa: PLC0415 - as above

    return str(xl_rowcol_to_cell(row, column))

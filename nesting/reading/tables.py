"""A workbook or a folder of CSV files as raw tables: every cell as shown, with the place it stands in."""

import csv
import difflib
import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, time
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from nesting.errors import Fault, JobError
from nesting.reading.columns import TABLES, Table, plain_key
from nesting.reading.limits import LARGEST_CSV, LARGEST_UNPACKED, LARGEST_WORKBOOK, MOST_CELLS, MOST_ROWS

if TYPE_CHECKING:
    from openpyxl.cell import Cell as WorkbookCell
    from openpyxl.cell import MergedCell
    from openpyxl.worksheet.worksheet import Worksheet

__all__ = ["Cell", "RawJob", "RawRow", "RawTable", "State", "UnreadableFileError", "csv_rows", "fit", "raw_tables"]

_ERRORS = frozenset({"#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#SPILL!", "#CALC!"})
_SEPARATORS = (",", ";", "\t")
_WORKBOOKS = frozenset({".xlsx", ".xlsm"})
_CLOSE = 0.75
_FITS = Fraction(3, 5)
"""The share of the headings it needs by which a table is known whatever its name is."""
# Marks that pasting from web pages leaves within words, and that no one sees.
_UNSEEN = dict.fromkeys(
    map(
        ord,
        "\N{SOFT HYPHEN}\N{ARABIC LETTER MARK}\N{ZERO WIDTH SPACE}\N{LEFT-TO-RIGHT MARK}\N{RIGHT-TO-LEFT MARK}"
        "\N{WORD JOINER}\N{ZERO WIDTH NO-BREAK SPACE}",
    )
)

_T = TypeVar("_T")


class State(StrEnum):
    """What a spreadsheet made of a cell."""

    SOUND = "sound"
    DATE = "date"
    ERROR = "error"
    NOT_COMPUTED = "not computed"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell as shown, without the spaces round it; `address` only in a workbook."""

    row: int
    text: str
    state: State = State.SOUND
    address: str | None = None
    is_covered: bool = False
    """Whether it lies under a merged cell, of which `text` is."""

    @property
    def is_blank(self) -> bool:
        """Whether nothing stands in it."""
        return not self.text and self.state is State.SOUND


class RawRow(NamedTuple):
    """A row with something in it, numbered as a spreadsheet numbers rows."""

    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class RawTable:
    """A table as it stands: the first row with something in it holds the headings."""

    headings: RawRow
    rows: tuple[RawRow, ...]


@dataclass(frozen=True, slots=True)
class RawJob:
    """The tables found, by name, and what is wrong or unusual about how they are stored."""

    tables: Mapping[str, RawTable]
    faults: tuple[Fault, ...]
    warnings: tuple[str, ...]
    others: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """What was passed over: its name and its headings."""

    def fitting(self, table: Table) -> str | None:
        """Return which of what was passed over has the headings that a table needs, or nearly so; None if none has."""
        best = max(self.others, key=lambda name: fit(table, self.others[name]), default=None)
        return best if best is not None and fit(table, self.others[best]) >= _FITS else None


def fit(table: Table, headings: Sequence[str]) -> Fraction:
    """Return how much of what a table needs stands in headings, from 0 to 1; 0 where it needs one heading alone."""
    there = set(map(plain_key, headings))
    needed = [plain_key(column.heading) for column in table.columns if column.required]
    return Fraction(len(there & set(needed)), len(needed)) if len(needed) > 1 else Fraction(0)


class UnreadableFileError(Exception):
    """A file that is no table; becomes a fault where the table is known."""

    def __init__(self, problem: str, remedy: str, row: int | None = None) -> None:
        super().__init__(problem)
        self.problem, self.remedy, self.row = problem, remedy, row


def raw_tables(path: Path, known: Sequence[Table] = TABLES) -> RawJob:
    """Return the tables of a workbook or of a folder of CSV files, cell by cell, not yet understood.

    Parameters
    ----------
    path : Path
        A workbook, or a folder.
    known : sequence of Table
        The tables to look for, in the order in which they are to come; others are passed over.

    Returns
    -------
    RawJob
        Without an entry for a table that is not there or has nothing in it.

    Raises
    ------
    JobError
        If there is nothing at `path`, or neither a folder nor a workbook, or it cannot be opened.
    """
    try:
        if path.is_dir():
            return _folder(path, known)
        if path.is_file():
            return _workbook(path, known)
    except OSError as error:
        raise _job_error(path, f"cannot be opened: {error.strerror}", "Close it elsewhere, or copy it") from None
    if path.exists():
        raise _job_error(path, "is no file of a kind that can hold a job", "Give a workbook (.xlsx) or a folder")
    raise _job_error(path, "is not there", "Give the path of a workbook (.xlsx) or of a folder of .csv files")


def _job_error(path: Path, problem: str, remedy: str) -> JobError:
    return JobError((Fault("job", None, None, None, str(path), problem, remedy),))


def _folder(path: Path, known: Sequence[Table]) -> RawJob:
    """Read the files of a folder that are named like tables; others are passed over."""
    files = sorted(file for file in path.iterdir() if file.suffix.casefold() == ".csv" and file.is_file())
    books = sorted(file.name for file in path.iterdir() if file.suffix.casefold() in _WORKBOOKS)
    if not files and books:
        raise _job_error(path, "is a folder without .csv files", f"Give the workbook in it, {books[0]}, instead")
    tables: dict[str, RawTable] = {}
    faults: list[Fault] = []
    named, also = _named(((file.stem, file) for file in files), known)
    for table, file in named:
        try:
            found = _raw_table(csv_rows(_bytes(file), table))
        except UnreadableFileError as error:
            faults.append(Fault(table.name, error.row, None, None, file.name, error.problem, error.remedy))
            continue
        if found:
            tables[table.name] = found
    others = {file.stem: _headings_of(file) for file in files if _is_other(file.stem, known)}
    return RawJob(tables, (*also, *faults), _passed_over(others, known, tables), others)


def _headings_of(file: Path) -> tuple[str, ...]:
    """Return the headings of a file that is no table of the job; none if it cannot be read."""
    try:
        found = _raw_table(csv_rows(_bytes(file), Table(file.stem, "", ())))
    except UnreadableFileError:
        return ()
    return _words(found)


def _words(table: RawTable | None) -> tuple[str, ...]:
    return tuple(cell.text for cell in table.headings.cells) if table else ()


def _bytes(file: Path) -> bytes:
    """Read a file that is no larger than a table can be."""
    if file.stat().st_size > LARGEST_CSV:
        raise UnreadableFileError(
            f"is larger than {LARGEST_CSV // 1_000_000} MB, the largest table that is read",
            "Keep the rows of this job alone in it",
        )
    return file.read_bytes()


def _named(items: Iterable[tuple[str, _T]], known: Sequence[Table]) -> tuple[list[tuple[Table, _T]], tuple[Fault, ...]]:
    """Find the tables among named files or sheets, in the order of `known`; one name twice is a fault."""
    found: dict[str, _T] = {}
    faults = []
    for name, item in items:
        key = plain_key(name)
        if key in found and any(table.name == key for table in known):
            faults.append(Fault(key, None, None, None, name, "is there twice", "Keep one and rename the other"))
        found.setdefault(key, item)
    return [(table, found[table.name]) for table in known if table.name in found], tuple(faults)


def _passed_over(
    others: Mapping[str, tuple[str, ...]], known: Sequence[Table], found: Mapping[str, RawTable]
) -> tuple[str, ...]:
    """Warn of files or sheets that are passed over though their names or headings nearly are those of tables."""
    names = [table.name for table in known]
    missing = [table for table in known if table.name not in found]
    said = []
    for name, headings in others.items():
        best = max(missing, key=lambda table: fit(table, headings), default=None)
        near = difflib.get_close_matches(plain_key(name), names, n=1, cutoff=_CLOSE)
        if best is not None and fit(best, headings) >= _FITS:
            near = [best.name]
        if near:
            said.append(f"{name!r} was passed over. If it is the table {near[0]}, name it {near[0]}")
    return tuple(said)


def _is_other(name: str, known: Sequence[Table]) -> bool:
    return all(plain_key(name) != table.name for table in known)


def _raw_table(rows: Iterable[RawRow]) -> RawTable | None:
    """Set the headings apart and leave out the rows with nothing in them; None if there is nothing at all."""
    filled = [row for row in rows if not all(cell.is_blank or cell.is_covered for cell in row.cells)]
    if len(filled) > MOST_ROWS:
        raise UnreadableFileError(
            f"has {len(filled)} rows, more than the {MOST_ROWS} that are read", "Keep the rows of this job alone in it"
        )
    return RawTable(filled[0], tuple(filled[1:])) if filled else None


def csv_rows(data: bytes, table: Table) -> list[RawRow]:
    """Return the rows of a CSV file, counted as a spreadsheet counts them: a line break within quotes starts no row.

    Parameters
    ----------
    data : bytes
        What the file holds, in UTF-8 or UTF-16.
    table : Table
        Whose headings tell which separator it was saved with.

    Returns
    -------
    list of RawRow
        Those with nothing in them too.

    Raises
    ------
    UnreadableFileError
        If it is not in an encoding that can be told for certain, or not well-formed CSV.
    """
    text = _decoded(data)
    rows: list[RawRow] = []
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=_separator(text, table), skipinitialspace=True, strict=True
    )
    try:
        for number, cells in enumerate(reader, 1):
            rows.append(RawRow(number, tuple(_csv_cell(number, cell) for cell in cells)))
    except csv.Error as error:
        raise UnreadableFileError(
            f"has a row that is not well-formed CSV ({error})",
            "Save the table as CSV again; a quotation mark within quotes is written twice",
            len(rows) + 1,
        ) from None
    return rows


def _csv_cell(row: int, text: str) -> Cell:
    plain = _seen(text)
    return Cell(row, plain, State.ERROR if plain.upper() in _ERRORS else State.SOUND)


def _seen(text: str) -> str:
    """Leave out what no one sees: spaces round the text, and marks without width."""
    return text.strip() if text.isascii() else text.translate(_UNSEEN).strip()


def _decoded(data: bytes) -> str:
    """Text of a file in UTF-8 or UTF-16; any other encoding could only be guessed, and fractions would suffer."""
    encoding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise UnreadableFileError(
            "is not in UTF-8, so its accents and fractions cannot be read for certain",
            "Save it as 'CSV UTF-8'",
            data.count(b"\n", 0, error.start) + 1 if encoding == "utf-8-sig" else None,
        ) from None
    if "\0" in text:
        raise UnreadableFileError("is not a text file", "Save the table as 'CSV UTF-8'")
    return text


def _separator(text: str, table: Table) -> str:
    """Find the separator under which most headings are known, or else the one that parts most of them."""
    known = {plain_key(column.heading) for column in table.columns}

    def fit(separator: str) -> tuple[int, int]:
        lines = csv.reader(io.StringIO(text.lstrip(), newline=""), delimiter=separator, skipinitialspace=True)
        try:
            headings = [plain_key(heading) for heading in next(lines, [])]
        except csv.Error:
            return 0, 0
        return sum(heading in known for heading in headings), len(headings)

    return max(_SEPARATORS, key=fit)


def _workbook(path: Path, known: Sequence[Table]) -> RawJob:
    """Read the sheets of a workbook that are named like tables; others are passed over."""
    if path.suffix.casefold() not in _WORKBOOKS:
        remedy = (
            "Give the folder that holds it" if path.suffix.casefold() == ".csv" else "Save it as a workbook (.xlsx)"
        )
        raise _job_error(path, "is neither a workbook (.xlsx) nor a folder of .csv files", remedy)
    import openpyxl  # noqa: PLC0415 - slow to load, and a folder of CSV files does without

    try:
        with warnings.catch_warnings(), path.open("rb") as file:
            warnings.simplefilter("ignore")  # lists to choose from and other extras that reading may drop
            _refuse_huge(path, zipfile.ZipFile(file))
            shown = openpyxl.load_workbook(file, data_only=True)
            written = openpyxl.load_workbook(file)
    except (OSError, JobError):
        raise
    except Exception:  # noqa: BLE001 - a damaged file can trip its reader anywhere
        raise _job_error(
            path,
            "is no workbook that can be opened: it is damaged, protected by a password or of another kind",
            "Open it in a spreadsheet program and save it as a workbook (.xlsx) without a password",
        ) from None
    named, faults = _named(((sheet.title, sheet) for sheet in shown.worksheets), known)
    far = tuple(_far(table, sheet) for table, sheet in named if sheet.max_row * sheet.max_column > MOST_CELLS)
    if far:
        raise JobError((*faults, *far))
    tables: dict[str, RawTable] = {}
    for table, sheet in named:
        try:
            found = _raw_table(_sheet_rows(sheet, written[sheet.title]))
        except UnreadableFileError as error:
            faults += (Fault(table.name, error.row, None, None, sheet.title, error.problem, error.remedy),)
            continue
        if found:
            tables[table.name] = found
    others = {
        sheet.title: _sheet_headings(sheet, written[sheet.title])
        for sheet in shown.worksheets
        if _is_other(sheet.title, known)
    }
    return RawJob(tables, faults, _passed_over(others, known, tables), others)


def _sheet_headings(shown: "Worksheet", written: "Worksheet") -> tuple[str, ...]:
    """Return the first row with something in it of a sheet that is no table of the job."""
    if shown.max_row * shown.max_column > MOST_CELLS:
        return ()
    try:
        return _words(_raw_table(_sheet_rows(shown, written)))
    except UnreadableFileError:
        return ()


def _refuse_huge(path: Path, packed: zipfile.ZipFile) -> None:
    """Refuse a workbook that would fill the memory; what unpacks to more than its parts say is damaged."""
    parts = packed.infolist()
    tables = sum(part.file_size for part in parts if part.filename.endswith(".xml"))
    for size, most in ((sum(part.file_size for part in parts), LARGEST_UNPACKED), (tables, LARGEST_WORKBOOK)):
        if size > most:
            raise _job_error(
                path,
                f"unpacks to {size // 1_000_000} MB, more than the {most // 1_000_000} MB that are read",
                "Save the tables of this job alone, without pictures, as a workbook of their own",
            )


def _far(table: Table, sheet: "Worksheet") -> Fault:
    from openpyxl.utils import get_column_letter  # noqa: PLC0415 - as openpyxl itself

    return Fault(
        table.name,
        None,
        None,
        f"{get_column_letter(sheet.max_column)}{sheet.max_row}",
        None,
        "is the last cell in use, further out than a table goes",
        "Delete the rows and columns beyond the table, with their colours and lines, and save the workbook",
    )


def _sheet_rows(shown: "Worksheet", written: "Worksheet") -> list[RawRow]:
    """Rows of a sheet; `written` has the formulas whose values `shown` has."""
    rows = [
        RawRow(number, tuple(_sheet_cell(number, cell, written[cell.coordinate]) for cell in row))
        for number, row in enumerate(shown.iter_rows(min_row=1), 1)
    ]
    return _uncovered(rows, shown)


def _uncovered(rows: list[RawRow], sheet: "Worksheet") -> list[RawRow]:
    """Let a merged cell below the first row with something in it count for all that it covers."""
    top = next((row.number for row in rows if not all(cell.is_blank for cell in row.cells)), 0)
    for area in sheet.merged_cells.ranges:
        if area.min_row <= top or area.min_row > len(rows) or area.min_col > len(rows[area.min_row - 1].cells):
            continue
        corner = rows[area.min_row - 1].cells[area.min_col - 1]
        for number in range(area.min_row, min(area.max_row, len(rows)) + 1):
            cells = list(rows[number - 1].cells)
            for place in range(area.min_col - 1, min(area.max_col, len(cells))):
                if (number, place) != (area.min_row, area.min_col - 1):
                    under = cells[place]
                    cells[place] = replace(corner, row=number, address=under.address, is_covered=True)
            rows[number - 1] = RawRow(number, tuple(cells))
    return rows


def _sheet_cell(row: int, shown: "WorkbookCell | MergedCell", written: "WorkbookCell | MergedCell") -> Cell:
    """Make of a workbook's cell what its reader sees in it."""
    value = shown.value
    text, state = "", State.SOUND
    # A formula that yields an empty text has a value too, and its cell another type than a number's.
    if value is None and written.data_type == "f" and shown.data_type == "n":
        text, state = str(written.value), State.NOT_COMPUTED
    elif shown.data_type == "d":
        text, state = _date_text(value), State.DATE
    elif shown.data_type == "e" or (isinstance(value, str) and value.strip().upper() in _ERRORS):
        text, state = str(value), State.ERROR
    elif isinstance(value, int | float) and not isinstance(value, bool):
        text = _number_text(value, shown.number_format)
    elif value is not None:
        text = _seen(str(value))
    return Cell(row, text, state, shown.coordinate)


def _date_text(value: object) -> str:
    """Write a date as a date, without a time of day that no one wrote."""
    if isinstance(value, datetime) and value.time() == time():
        return value.date().isoformat()
    return str(value)


def _number_text(value: float, number_format: str) -> str:
    """Write a number in the fifteen digits that spreadsheets keep, so 0.1 + 0.2 is 0.3; per cent as shown."""
    number = Decimal(f"{value:.15g}") if isinstance(value, float) else Decimal(value)
    is_percent = "%" in re.sub(r'"[^"]*"|\\.', "", number_format)
    plain = format((number * 100 if is_percent else number).normalize(), "f")
    return f"{plain}%" if is_percent else plain

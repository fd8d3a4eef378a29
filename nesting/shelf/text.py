"""The shelf file as text: a CSV that any spreadsheet opens and a person may mend, and back to the same values.

Row 1 says what the file is and what keeps its labels unique; row 2 has the headings. Lengths carry their unit, so that
no spreadsheet takes a fraction for a date.
"""

import csv
import io
import re
from collections.abc import Iterator, Sequence
from datetime import date, datetime

from nesting.errors import Fault, ShelfError
from nesting.geometry import Size
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, format_length
from nesting.model.job import ShelfKind, Unit
from nesting.reading.columns import ANY, NOTES, Column, Kind, Table, plain_key
from nesting.reading.fields import Row, rows_of
from nesting.reading.rows import sheet_of
from nesting.reading.tables import RawRow, RawTable, UnreadableFileError, csv_rows
from nesting.shelf.held import HeldPiece, Shelf, label_number
from nesting.spelling import Spellings, fold

__all__ = ["COLUMNS", "FORMAT", "read_shelf", "shelf_text", "size_text"]

FORMAT = 1
"""The version of the shelf file that is written and read."""
_MARK = "windowfall shelf"
_WHERE = "shelf file"
_RULERS = {Unit.IN: TICKS_PER_INCH // 16, Unit.MM: TICKS_PER_MM, Unit.CM: TICKS_PER_MM}
_ISO = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NUMBERED = re.compile("(?P<one>[0-9]{1,2})[./-](?P<other>[0-9]{1,2})[./-](?P<year>[0-9]{4})")
_FORMULA = re.compile("'*[=+\\-@\t\r\uff1d\uff0b\uff0d\uff20]")
_NAMED = ("%d %b %Y", "%d-%b-%Y", "%d %B %Y", "%d-%B-%Y", "%b %d %Y", "%B %d %Y", "%d-%b-%y")

COLUMNS = (
    Column("label", Kind.NAME, "What is written on the piece, once in the file.", required=True),
    Column("board", Kind.NAME, "Which board it is.", required=True),
    Column("width", Kind.SIDE, "Its width.", required=True),
    Column("height", Kind.SIDE, "Its height.", required=True),
    Column("quantity", Kind.COUNT, "How many such pieces.", default="1"),
    Column(
        "kind",
        Kind.CHOICE,
        "A sheet still has its factory edges; an offcut or fallout is squared already.",
        default="offcut",
        choices=tuple(ShelfKind),
    ),
    Column("from", Kind.TEXT, "Where it came from."),
    Column("put there", Kind.TEXT, "When it was put there, such as 2026-03-31."),
    Column("last used", Kind.TEXT, "When one of them was last taken, such as 2026-03-31."),
    NOTES,
)
"""The columns of the shelf file."""
_TABLE = Table(_WHERE, "A row for each piece of board that is held.", COLUMNS)


def size_text(size: Size, unit: Unit) -> str:
    """Return a width and a height exactly, with the unit once where it is the same.

    Examples
    --------
    >>> size_text(Size(16256, 24384), Unit.IN)
    '1 × 1 1/2 in'
    """
    width, height = (_length(side, unit) for side in size)
    mark = f" {unit}"
    return f"{width.removesuffix(mark) if height.endswith(mark) else width} × {height}"


def _length(ticks: int, unit: Unit) -> str:
    return format_length(ticks, unit, _RULERS[unit], mark=True)


def shelf_text(shelf: Shelf) -> bytes:
    """Return the shelf file of a shelf, in UTF-8 with the mark by which spreadsheets know it.

    Reading it gives the same shelf.
    """
    file = io.StringIO(newline="")
    writer = csv.writer(file)
    writer.writerow([_MARK, "format", FORMAT, "unit", shelf.unit, "change", shelf.change, "next", shelf.next_number])
    writer.writerow([column.heading for column in COLUMNS])
    writer.writerows(_cells(piece, shelf.unit) for piece in shelf.pieces)
    return file.getvalue().encode("utf-8-sig")


def _cells(piece: HeldPiece, unit: Unit) -> Iterator[object]:
    yield from (_inert(piece.label), _inert(piece.board), *(_length(side, unit) for side in piece.size))
    yield from (piece.quantity, piece.kind, _inert(piece.origin), piece.put or "", piece.used or "")
    yield _inert(piece.notes)


def _inert(text: str) -> str:
    """Put an apostrophe before what a spreadsheet would take for a formula, and before what has one already."""
    return f"'{text}" if _FORMULA.match(text) else text


def _bared(text: str) -> str:
    """Take the apostrophe away again."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text


def read_shelf(data: bytes, path: str) -> Shelf:
    """Return the shelf that a shelf file holds.

    Parameters
    ----------
    data : bytes
        The file.
    path : str
        Where it stands, for the error.

    Returns
    -------
    Shelf
        Lengths in ticks, down to the tick.

    Raises
    ------
    ShelfError
        With every fault and its place; or if a newer program wrote the file.
    """
    try:
        rows = [row for row in csv_rows(data, _TABLE) if not all(cell.is_blank for cell in row.cells)]
    except UnreadableFileError as error:
        raise ShelfError(path, (_fault(error.row, None, error.problem, error.remedy),)) from None
    if not rows:
        raise ShelfError(path, (_no_mark(1, None),))
    faults: list[Fault] = []
    unit, numbers = _first_row(path, rows[0], faults)
    if len(rows) == 1:
        faults.append(_fault(2, None, "the row of headings is missing", f"Write: {_headings()}"))
    pieces = _pieces(rows[1:], unit, faults) if len(rows) > 1 else ()
    if faults:
        faults.sort(key=lambda fault: fault.row or 0)
        raise ShelfError(path, tuple(faults))
    following = max([numbers.get("next", 1), *(label_number(piece.label) + 1 for piece in pieces)])
    return Shelf(unit, numbers.get("change", 0), following, pieces)


def _headings() -> str:
    return ", ".join(column.heading for column in COLUMNS)


def _fault(row: int | None, given: str | None, problem: str, remedy: str, column: str | None = None) -> Fault:
    return Fault(_WHERE, row, column, None, given, problem, remedy)


def _no_mark(row: int, given: str | None) -> Fault:
    return _fault(
        row,
        given,
        "this is no shelf file: its first row does not begin with windowfall shelf",
        "Write in the cells of row 1: windowfall shelf, format, 1, unit, in (or mm); and the headings in row 2",
    )


def _first_row(path: str, row: RawRow, faults: list[Fault]) -> tuple[Unit, dict[str, int]]:
    """Read the row that says what the file is; a newer format stops everything, as nothing else in it is certain."""
    texts = [cell.text for cell in row.cells]
    if not texts or fold(texts[0]) != _MARK:
        faults.append(_no_mark(row.number, texts[0] or None if texts else None))
        return Unit.IN, {}
    told = dict(zip(map(plain_key, texts[1::2]), texts[2::2], strict=False))
    _refuse_newer(path, row.number, told.get("format", ""))
    unit = told.get("unit") or Unit.IN.value
    if unit.casefold() not in {one.value for one in Unit}:
        faults.append(_fault(row.number, unit, "is no unit of a shelf file", "Write in, mm or cm", "unit"))
        unit = Unit.IN
    numbers = {}
    for name in ("change", "next"):
        text = told.get(name) or str(int(name == "next"))
        if not re.fullmatch("[0-9]{1,12}", text):
            faults.append(_fault(row.number, text, "is not a whole number", f"Leave the cell after {name} empty", name))
            text = "0"
        numbers[name] = int(text)
    return Unit(unit.casefold()), numbers


def _refuse_newer(path: str, row: int, version: str) -> None:
    if version == str(FORMAT):
        return
    if version.isdecimal() and int(version) > FORMAT:
        said = (
            f"the shelf file is of format {version}, written by a newer Windowfall; this one knows format {FORMAT}. "
            "Bring the program up to date"
        )
        raise ShelfError(path, (said,))
    fault = _fault(row, version or None, "is no format of a shelf file", f"Write {FORMAT} after format", "format")
    raise ShelfError(path, (fault,))


def _pieces(rows: Sequence[RawRow], unit: Unit, faults: list[Fault]) -> tuple[HeldPiece, ...]:
    before = len(faults)
    passed_over: list[str] = []
    listed = rows_of(_TABLE, RawTable(rows[0], tuple(rows[1:])), unit, faults, passed_over)
    faults.extend(_unknown(rows[0], {fault.given for fault in faults}))
    remedy = "Take it out, as it would be lost when the file is written again"
    faults.extend(_fault(None, None, said, remedy) for said in passed_over if "a total" in said)
    if len(faults) > before and any(fault.row == rows[0].number for fault in faults[before:]):
        return ()
    first: dict[str, int] = {}
    for row in listed:
        label = row.cell("label").text
        earlier = first.setdefault(fold(label), row.number)
        if label and earlier != row.number:
            row.fault("label", f"is in row {earlier} already", "Write on each piece a label of its own")
    boards = Spellings()
    return tuple(_piece(row, boards) for row in listed)


def _unknown(headings: RawRow, told: set[str | None]) -> Iterator[Fault]:
    """Yield a fault for each column that writing the file again would lose, unless it has a fault already."""
    known = {plain_key(column.heading) for column in COLUMNS}
    for cell in headings.cells:
        if not cell.is_blank and plain_key(cell.text) not in known and cell.text not in told:
            remedy = f"The headings are {_headings()}; what you wish to remember goes under notes"
            yield _fault(headings.number, cell.text, "is not a heading of this table", remedy)


def _piece(row: Row, boards: Spellings) -> HeldPiece:
    board = _bared(row.name("board"))
    if fold(board) == ANY:
        row.fault("board", "names no board", "Name the board")
    return HeldPiece(
        label=_bared(" ".join(row.name("label").split())),
        board=boards.spell(board) if board else board,
        size=sheet_of(row),
        quantity=row.count("quantity"),
        kind=ShelfKind(row.choice("kind")),
        origin=_bared(row.text("from") or ""),
        put=_day(row, "put there"),
        used=_day(row, "last used"),
        notes=_bared(row.notes() or ""),
    )


def _day(row: Row, heading: str) -> date | None:
    """Read a day in any form that can mean only one; spreadsheets like to rewrite them."""
    text = row.text(heading)
    if not text:
        return None
    days = _days(" ".join(text.replace(",", " ").split()))
    if len(days) != 1:
        problem = "is not a day" if not days else "may be either of two days"
        row.fault(heading, problem, "Write year, month and day, such as 2026-03-31")
        return None
    return days.pop()


def _days(text: str) -> set[date]:
    """Return every day that a text may mean."""
    if _ISO.fullmatch(text):
        return _valid([text.split("-")])
    numbered = _NUMBERED.fullmatch(text)
    if numbered:
        year, one, other = numbered["year"], numbered["one"], numbered["other"]
        return _valid([[year, one, other], [year, other, one]])
    found = set()
    for form in _NAMED:
        try:
            found.add(datetime.strptime(text, form).date())  # noqa: DTZ007 - a day has no time zone
        except ValueError:
            continue
    return found


def _valid(parts: Sequence[Sequence[str]]) -> set[date]:
    found = set()
    for year, month, day in parts:
        try:
            found.add(date(int(year), int(month), int(day)))
        except ValueError:
            continue
    return found

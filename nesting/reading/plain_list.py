"""A plain list of frames and pictures, as people keep one, as the pieces of a job to be filled in."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from nesting.errors import Fault, JobError
from nesting.model.job import Bench, Piece, Unit
from nesting.reading.alternatives import BoardNames
from nesting.reading.columns import Column, Table, plain_key, table_named
from nesting.reading.fields import Row, rows_of
from nesting.reading.headings import near_heading, nearest
from nesting.reading.job import refuse_twice
from nesting.reading.rows import bench_of, piece_of
from nesting.reading.tables import Cell, RawRow, RawTable, UnreadableFileError, csv_rows

__all__ = ["Listed", "read_list"]

# What a column is often called by who has no job yet; where its own heading stands too, these mean something else.
_ALSO_CALLED = {
    "piece": ("name", "title", "frame", "picture"),
    "quantity": ("copies", "count"),
    "group": ("room", "class"),
    "inside width": ("frame width", "frame w", "inside w"),
    "inside height": ("frame height", "frame h", "inside h"),
    "picture width": ("art width", "print width", "picture w"),
    "picture height": ("art height", "print height", "picture h"),
    "boards": ("board", "colour", "color"),
    "notes": ("note", "remarks"),
}


@dataclass(frozen=True, slots=True)
class Listed:
    """A row of the list: the piece that it asks for, and its cells as written, by the headings of the pieces table."""

    piece: Piece
    cells: Mapping[str, str]


def read_list(path: str | Path, unit: Unit) -> tuple[Listed, ...]:
    """Return the rows of a CSV file that lists frames and pictures.

    Headings are those of the pieces table, or what people often write for them (``name``, ``frame width``); boards may
    be left out, as they are seldom chosen yet.

    Parameters
    ----------
    path : str or Path
        The file.
    unit : Unit
        The unit of its bare numbers.

    Returns
    -------
    tuple of Listed
        At least one, in the order of the file.

    Raises
    ------
    JobError
        With every fault, its row and its column as the file calls it.
    """
    path = Path(path)
    raw = _raw(path)
    table, headings, called = _named_alike(path.name, raw.headings)
    faults: list[Fault] = []
    rows = rows_of(table, replace(raw, headings=headings), unit, faults)
    refuse_twice(rows, "piece")
    bench, spellings = _bench(unit), BoardNames()
    listed = tuple(Listed(piece_of(row, bench, spellings), _cells(row, table)) for row in rows)
    if not listed and not faults:
        faults.append(_fault(path, None, "has no rows below its headings", "Write a row for each frame"))
    if faults:
        shown = (_with_hint(_as_called(fault, called)) for fault in sorted(faults, key=lambda fault: fault.row or 0))
        raise JobError(tuple(shown))
    return listed


def _raw(path: Path) -> RawTable:
    """Read the file cell by cell; the first row with something in it holds the headings."""
    pieces = table_named("pieces")
    names = {name: column for column in pieces.columns for name in (column.heading, *_also(column.heading))}
    try:
        rows = csv_rows(path.read_bytes(), Table(path.name, "", tuple(_called(c, name) for name, c in names.items())))
    except UnreadableFileError as error:
        raise JobError((_fault(path, error.row, error.problem, error.remedy),)) from None
    filled = [row for row in rows if not all(cell.is_blank for cell in row.cells)]
    if not filled:
        raise JobError((_fault(path, None, "has nothing in it", "Write a row of headings and a row for each frame"),))
    return RawTable(filled[0], tuple(filled[1:]))


def _also(heading: str) -> tuple[str, ...]:
    return _ALSO_CALLED.get(heading, ())


def _called(column: Column, name: str) -> Column:
    return replace(column, heading=name)


def _fault(path: Path, row: int | None, problem: str, remedy: str) -> Fault:
    return Fault(path.name, row, None, None, None, problem, remedy)


def _named_alike(name: str, written: RawRow) -> tuple[Table, RawRow, dict[str, str]]:
    """Give each heading the name that the pieces table has for it, and keep what the file calls it."""
    found = {plain_key(cell.text): cell.text for cell in written.cells}
    called: dict[str, str] = {}
    for column in table_named("pieces").columns:
        if plain_key(column.heading) in found:
            continue
        for alias in _also(column.heading):
            if plain_key(alias) in found:
                called[column.heading] = found[plain_key(alias)]
                break
    if "piece" not in called and "piece" not in found:
        called |= _named_first(written)
    back = {plain_key(alias): heading for heading, alias in called.items()}
    cells = tuple(replace(cell, text=back.get(plain_key(cell.text), cell.text)) for cell in written.cells)
    columns = tuple(
        replace(column, required=column.required and column.heading != "boards")
        for column in table_named("pieces").columns
    )
    return Table(name, "", columns), RawRow(written.number, cells), called


def _named_first(written: RawRow) -> dict[str, str]:
    """Take the first column for the names where no heading says that it is, and it is no other column misspelt."""
    known = [name for column in table_named("pieces").columns for name in (column.heading, *_also(column.heading))]
    first = written.cells[0].text
    is_known = plain_key(first) in map(plain_key, known) or near_heading(first, known) is not None
    return {} if is_known or not first.strip() else {"piece": first}


def _bench(unit: Unit) -> Bench:
    """Make a bench of this unit on which all else is as usual."""
    headings = RawRow(1, (Cell(1, "name"), Cell(1, "value")))
    unit_row = RawRow(2, (Cell(2, "unit"), Cell(2, str(unit))))
    return bench_of(rows_of(table_named("bench"), RawTable(headings, (unit_row,)), Unit.IN, []), [])


def _cells(row: Row, table: Table) -> dict[str, str]:
    texts = {column.heading: row.cell(column.heading).text for column in table.columns}
    return {heading: text for heading, text in texts.items() if text}


def _as_called(fault: Fault, called: Mapping[str, str]) -> Fault:
    """Name the column of a fault, and the heading that was given, as the file does."""
    is_heading = fault.column is None and fault.given in called
    return replace(
        fault,
        column=fault.column and called.get(fault.column, fault.column),
        given=called[str(fault.given)] if is_heading else fault.given,
    )


def _with_hint(fault: Fault) -> Fault:
    """Hint at the nearest heading, those that a list may have in place of the table's own included."""
    if fault.column is not None or fault.given is None:
        return fault
    headings = [column.heading for column in table_named("pieces").columns]
    known = [*headings, *(alias for heading in headings for alias in _also(heading))]
    if plain_key(fault.given) in map(plain_key, known):
        return fault
    return replace(fault, remedy=nearest(fault.given, known))

"""The headings of a table and what stands beside its rows: titles, the user's own columns, totals, stray cells."""

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation

from nesting.errors import Fault
from nesting.reading.columns import Table, plain_key
from nesting.reading.named_sizes import is_size
from nesting.reading.tables import Cell, RawRow, RawTable, State
from nesting.spelling import fold

__all__ = ["below_title", "headings_of", "is_total", "near_heading", "nearest", "stray_cells"]

_TITLE_ROWS = 5
# How alike two headings are: one that the table lacks is meant more probably than one that it has already.
_CLOSE, _VERY_CLOSE = 0.75, 0.9
_LIKELY = 0.51
_SHORT = {"qty": "quantity", "qnty": "quantity", "copies": "quantity", "count": "quantity"}
_TOTALS = frozenset({"total", "totals", "sum", "subtotal", "sub total", "grand total", "in all", "altogether"})


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the sentence that names the known word nearest to `word`, or all of them where none is near."""
    words = tuple(known)
    near = difflib.get_close_matches(fold(word), words, n=1)
    return f"Did you mean {near[0]}? Then write that" if near else f"Write one of: {', '.join(words)}"


def near_heading(text: str, missing: Iterable[str], there: Iterable[str] = ()) -> str | None:
    """Return which heading `text` nearly is; None where it is a heading of the user's own.

    Parameters
    ----------
    text : str
        A heading that the table does not know.
    missing : iterable of str
        The headings that the table might have and has not.
    there : iterable of str
        Those that it has, which `text` must be nearer to.

    Returns
    -------
    str or None

    Examples
    --------
    >>> near_heading("picture widht", ["picture width", "quantity"]), near_heading("artist", ["quantity"])
    ('picture width', None)
    >>> near_heading("price", ["piece"]), near_heading("price", [], ["piece"])
    ('piece', None)
    """
    lacking, known = ({plain_key(heading): heading for heading in its} for its in (missing, there))
    if _SHORT.get(plain_key(text)) in lacking:
        return _SHORT[plain_key(text)]
    for keys, cutoff in ((lacking, _CLOSE), (known, _VERY_CLOSE)):
        for near in difflib.get_close_matches(plain_key(text), keys, n=1, cutoff=cutoff):
            return keys[near]
    return None


def below_title(table: Table, raw: RawTable, faults: list[Fault]) -> RawTable:
    """Find the headings a little further down where a title, which is a fault, stands above them; all is read then."""
    known = {plain_key(column.heading) for column in table.columns}
    if any(plain_key(cell.text) in known for cell in raw.headings.cells):
        return raw
    for place, row in enumerate(raw.rows[:_TITLE_ROWS]):
        if sum(plain_key(cell.text) in known for cell in row.cells) > 1:
            above = next(cell for cell in raw.headings.cells if not cell.is_blank)
            problem, remedy = "stands above the headings", f"Delete all above row {row.number}, where the headings are"
            faults.append(Fault(table.name, above.row, None, above.address, above.text or None, problem, remedy))
            return RawTable(row, raw.rows[place + 1 :])
    return raw


def headings_of(table: Table, raw: RawTable, faults: list[Fault], passed_over: list[str]) -> dict[str, int]:
    """Return the place of each heading; one nearly known, repeated or missing is a fault, others are the user's own.

    Parameters
    ----------
    table : Table
        Which headings there may be.
    raw : RawTable
        The table as it stands.
    faults : list of Fault
        Where faults are added.
    passed_over : list of str
        Where a sentence is added that names the user's own columns.

    Returns
    -------
    dict of str to int
        Headings in the table's own spelling; one nearly known is read as if it were spelt right.
    """
    known = {plain_key(column.heading): column.heading for column in table.columns}
    written = [(index, cell) for index, cell in enumerate(raw.headings.cells) if not cell.is_blank]
    there = {known[plain_key(cell.text)] for _, cell in written if plain_key(cell.text) in known}
    missing = [heading for heading in known.values() if heading not in there]
    found: dict[str, int] = {}
    own: list[str] = []
    for index, cell in written:
        heading, near = known.get(plain_key(cell.text)), near_heading(cell.text, missing, there)
        if heading is not None and heading not in found:
            found[heading] = index
        elif heading is None and near is None and cell.state is State.SOUND:
            own.append(cell.text)
        else:
            faults.append(_no_heading(table, cell, near, is_twice=heading is not None))
            if near in missing:  # read as if it were spelt right, so that every fault is found at once
                found[near] = index
                missing.remove(near)
    faults.extend(_missing(table, raw, found, own))
    if own:
        names, one = ", ".join(map(repr, own)), len(own) == 1
        are, columns = ("was", "column") if one else ("were", "columns")
        passed_over.append(f"{table.name}: {names} {are} passed over: this table has no such {columns}")
    return found


def _no_heading(table: Table, cell: Cell, near: str | None, *, is_twice: bool) -> Fault:
    """Say what is wrong with a heading."""
    if is_twice:
        problem, remedy = "is there twice", "Keep one column of this heading"
    elif near is not None:
        problem, remedy = "is not a heading of this table", f"Did you mean {near}? Then write that"
    else:
        problem, remedy = "is not a heading of this table", nearest(cell.text, (its.heading for its in table.columns))
    return Fault(table.name, cell.row, None, cell.address, cell.text, problem, remedy)


def _missing(table: Table, raw: RawTable, found: Mapping[str, int], own: Sequence[str]) -> Iterator[Fault]:
    """Find needed headings that are not there; a height may be left out where every width is a size, as 8x10."""
    for column in table.columns:
        width = found.get(column.heading.replace("height", "width"), None)
        sizes = width is not None and all(is_size(row.cells[width].text) for row in raw.rows if width < len(row.cells))
        if not column.required or column.heading in found or (column.heading.endswith("height") and sizes):
            continue
        likely = difflib.get_close_matches(column.heading, own, n=1, cutoff=_LIKELY)
        other = f"; if {likely[0]!r} is it, name it {column.heading}" if likely else ""
        remedy = f"Add a column with this heading: {column.meaning[0].lower()}{column.meaning[1:-1]}{other}"
        yield Fault(table.name, raw.headings.number, column.heading, None, None, "is a column that is missing", remedy)


def is_total(table: Table, headings: Mapping[str, int], row: RawRow, rows: Sequence[RawRow]) -> bool:
    """Return whether a row is a total of the rows above it.

    It lacks something that every row needs, and either says so in a word or holds nothing but sums of its columns.
    """
    needed = [headings[column.heading] for column in table.columns if column.required and column.heading in headings]
    filled = [(place, cell) for place, cell in enumerate(row.cells) if not (cell.is_blank or cell.is_covered)]
    if len(needed) < 2 or all(place in {its for its, _ in filled} for place in needed):
        return False
    words = [cell for _, cell in filled if _number(cell) is None]
    if words:
        return any(_is_total_word(cell.text) for cell in words)
    above = rows[: next(place for place, its in enumerate(rows) if its.number == row.number)]
    return len(above) > 1 and all(_number(cell) == _sum(above, place) for place, cell in filled)


def _is_total_word(text: str) -> bool:
    return re.sub(r"[^\w ]", "", fold(text)).strip() in _TOTALS or text.upper().startswith("=SUM(")


def _sum(rows: Sequence[RawRow], place: int) -> Decimal:
    numbers = (_number(row.cells[place]) for row in rows if place < len(row.cells))
    return sum((number for number in numbers if number is not None), Decimal(0))


def _number(cell: Cell) -> Decimal | None:
    """Read a plain number, with or without the sign of a currency."""
    try:
        number = Decimal(cell.text.strip("$€£ "))
    except InvalidOperation:
        return None
    return number if number.is_finite() else None


def stray_cells(table: Table, raw: RawTable, row: RawRow) -> Iterator[Fault]:
    """Yield a fault for each cell of a row that stands under no heading."""
    headings = raw.headings.cells
    for place, cell in enumerate(row.cells):
        if not (cell.is_blank or cell.is_covered) and (place >= len(headings) or headings[place].is_blank):
            yield _stray(table, cell)


def _stray(table: Table, cell: Cell) -> Fault:
    return Fault(
        table.name,
        cell.row,
        None,
        cell.address,
        cell.text,
        "stands under no heading",
        "Give its column a heading, or delete it; in a CSV file a value with a comma goes in quotes",
    )

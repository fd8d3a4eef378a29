"""Rows with typed getters: each reads one column of a row, and notes what is wrong with it and where."""

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction
from typing import TypeVar

from nesting.errors import Fault, LengthError, UnreadableError
from nesting.geometry import ExactSize
from nesting.lengths import parse_length, parse_size
from nesting.model.job import Unit
from nesting.money import parse_money, parse_percent
from nesting.reading.alternatives import BoardNames
from nesting.reading.colours import COLOURS, colour_named
from nesting.reading.columns import NOTES, Column, Kind, Table
from nesting.reading.headings import below_title, headings_of, is_total, nearest, stray_cells
from nesting.reading.limits import LONGEST_NAME
from nesting.reading.named_sizes import size_named
from nesting.reading.tables import Cell, RawTable, State
from nesting.spelling import fold

__all__ = ["Row", "rows_of"]

_T = TypeVar("_T")

_MOST = 999_999
_STAND_IN_LENGTH = Fraction(1)
# Codes that steer a terminal or turn the reading order round, so that what is seen is not what is there.
_UNPRINTABLE = re.compile("[\0-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_YES_NO = {"true": "yes", "y": "yes", "1": "yes", "false": "no", "n": "no", "0": "no"}


class Row:
    """A row of a table, or the whole bench table as one row, read column by column.

    A getter never stops at a fault: it adds it to the faults of the job and returns a stand-in, which no one sees, as
    a job with faults is refused. `is_sound` tells whether the values can be compared with each other.

    Parameters
    ----------
    table : str
        Name of the table.
    number : int
        Row as a spreadsheet numbers it.
    columns : mapping of str to Column
        What each heading means.
    cells : mapping of str to Cell
        The cells by heading; a heading that the table lacks is missing here too.
    unit : Unit
        The job's unit.
    faults : list of Fault
        Where faults are added.
    """

    def __init__(
        self,
        table: str,
        number: int,
        columns: Mapping[str, Column],
        cells: Mapping[str, Cell],
        *,
        unit: Unit,
        faults: list[Fault],
    ) -> None:
        self._table = table
        self.number = number
        self._columns = columns
        self._cells = cells
        self._unit = unit
        self._faults = faults
        self.is_sound = True

    def fault(self, heading: str, problem: str, remedy: str) -> None:
        """Note that something is wrong in this column of the row."""
        self._faults.append(self._faulty(heading, problem, remedy))
        self.is_sound = False

    def _faulty(self, heading: str, problem: str, remedy: str) -> Fault:
        cell = self._cells.get(heading)
        row, address, given = (cell.row, cell.address, cell.text or None) if cell else (self.number, None, None)
        return Fault(self._table, row, heading, address, given, problem, remedy)

    def cell(self, heading: str) -> Cell:
        """Return the cell itself, to be read as another column's."""
        return self._cells.get(heading, Cell(self.number, ""))

    def text(self, heading: str) -> str | None:
        """Return a text as it stands, or None."""
        return self._read(heading, _short, "")

    def name(self, heading: str) -> str:
        """Return a name, which must be there."""
        return self.text(heading) or ""

    def notes(self) -> str | None:
        """Return the notes, in which nothing can be wrong."""
        cell = self._cells.get(NOTES.heading)
        return _UNPRINTABLE.sub("\N{REPLACEMENT CHARACTER}", cell.text) or None if cell else None

    def maybe_count(self, heading: str) -> int | None:
        """Return a whole number, or None where nothing stands and nothing stands in for it."""
        least = 0 if self._columns[heading].kind is Kind.WHOLE else 1
        return self._read(heading, lambda text: _count(text, least), 1)

    def count(self, heading: str) -> int:
        """Return a whole number from 1."""
        return _sure(self.maybe_count(heading), 1)

    def maybe_length(self, heading: str) -> Fraction | None:
        """Return a length in exact ticks, or None where nothing stands and nothing stands in for it."""
        kind = self._columns[heading].kind
        return self._read(heading, lambda text: _length(text, self._unit, kind), _STAND_IN_LENGTH)

    def length(self, heading: str) -> Fraction:
        """Return a length in exact ticks."""
        return _sure(self.maybe_length(heading), _STAND_IN_LENGTH)

    def sides(self, what: str = "") -> tuple[Fraction | None, Fraction | None]:
        """Return width and height of the frame's inside, the picture or the like, in exact ticks; None if empty.

        A size under the width, as 16x24 or A4, stands for both. Where the width is at fault and the height is empty,
        that is one mistake.
        """
        width, height = (f"{what} {side}".strip() for side in ("width", "height"))
        stand_in: Fraction | ExactSize = _STAND_IN_LENGTH
        before = len(self._faults)
        first = self._read(width, self._side_or_size, stand_in)
        if not isinstance(first, ExactSize):
            if len(self._faults) > before and not self._given(height):
                return first, _STAND_IN_LENGTH
            return first, self._read(height, lambda text: self._second_side(text, width, height), _STAND_IN_LENGTH)
        if self._given(height) and self._given(height) != self._given(width):
            self.fault(
                height,
                f"stands beside {self.cell(width).text!r}, which is a width and a height already",
                f"Leave this empty, or write a length alone under {width}",
            )
        return first

    def _side_or_size(self, text: str) -> Fraction | ExactSize:
        try:
            return _length(text, self._unit, Kind.SIDE)
        except LengthError:
            size = size_named(text, self._unit)
            if size is None:
                raise
            _refuse_nothing(*size)
            return size

    def _second_side(self, text: str, width: str, height: str) -> Fraction:
        found = self._side_or_size(text)
        if isinstance(found, ExactSize):
            raise UnreadableError(
                "is a width and a height, and stands where only a height may",
                f"Write it under {width} and leave {height} empty",
            )
        return found

    def size(self, heading: str) -> ExactSize:
        """Return a width and a height that stand in one cell, in exact ticks."""
        read = self._read(heading, lambda text: parse_size(text, self._unit), (_STAND_IN_LENGTH, _STAND_IN_LENGTH))
        return ExactSize(*_sure(read, (_STAND_IN_LENGTH, _STAND_IN_LENGTH)))

    def maybe_money(self, heading: str) -> int | None:
        """Return a sum in cents, or None where nothing stands and nothing stands in for it."""
        return self._read(heading, parse_money, 0)

    def money(self, heading: str) -> int:
        """Return a sum in cents."""
        return _sure(self.maybe_money(heading), 0)

    def percent(self, heading: str) -> Decimal:
        """Return a per cent from 0 to 100."""
        return _sure(self._read(heading, parse_percent, Decimal(0)), Decimal(0))

    def choice(self, heading: str) -> str:
        """Return one of the words that the column allows."""
        choices = self._columns[heading].choices
        return _sure(self._read(heading, lambda text: _choice(text, choices), choices[0]), choices[0])

    def swatch(self, heading: str) -> str | None:
        """Return a colour as ``#rrggbb`` in small letters, or None."""
        return self._read(heading, _swatch, "")

    def boards(self, heading: str, boards: BoardNames) -> tuple[str, ...]:
        """Return the boards of ``sage or ivory``, each as first spelt and once, the best liked first."""
        none: tuple[str, ...] = ()
        listed = _sure(self._read(heading, lambda text: tuple(map(_short, boards.listed(text))), none), none)
        text = self.cell(heading).text
        unknown = boards.unknown(text, listed)
        if listed and unknown:
            problem = f"is read as {' or '.join(listed)}, though no other table names {' or '.join(unknown)}"
            remedy = "If it is one board, give it a row of its own in the table boards"
            boards.doubt(self._faulty(heading, problem, remedy))
        return tuple(dict.fromkeys(map(boards.spell, listed)))

    def _given(self, heading: str) -> str:
        """Return what stands under a heading; nothing where it is the word for an empty cell."""
        column, cell = self._columns[heading], self._cells.get(heading)
        text = cell.text if cell else ""
        is_default = not column.required and column.kind is not Kind.TEXT and fold(text) == column.otherwise
        return "" if is_default else text

    def _read(self, heading: str, read: Callable[[str], _T], stand_in: _T) -> _T | None:
        """Read the cell under a heading, or what stands in for an empty one; None if there is neither."""
        column = self._columns[heading]
        cell = self._cells.get(heading)
        if cell and cell.state is not State.SOUND:
            self.fault(heading, *_state_words(cell.state, column))
            return stand_in
        text = self._given(heading) or column.default_in(self._unit) or ""
        if not text:
            if column.required and cell:
                self.fault(heading, "is empty", f"Write here: {column.meaning[0].lower()}{column.meaning[1:-1]}")
            return None
        try:
            _refuse_unprintable(text)
            return read(text)
        except UnreadableError as error:
            self.fault(heading, error.problem, error.remedy)
            return stand_in


def rows_of(
    table: Table, raw: RawTable, unit: Unit, faults: list[Fault], passed_over: list[str] | None = None
) -> list[Row]:
    """Return the rows of a table, with what is wrong with its headings added to the faults.

    Parameters
    ----------
    table : Table
        Which columns there may be.
    raw : RawTable
        The table as it stands.
    unit : Unit
        The unit of bare numbers.
    faults : list of Fault
        Where faults are added.
    passed_over : list of str, optional
        Where sentences are added about the user's own columns and about rows that are totals.

    Returns
    -------
    list of Row
        Without rows that are totals of those above them.
    """
    raw = below_title(table, raw, faults)
    said = [] if passed_over is None else passed_over
    headings = headings_of(table, raw, faults, said)
    columns = {column.heading: column for column in table.columns}
    rows: list[Row] = []
    for row in raw.rows:
        if is_total(table, headings, row, raw.rows):
            said.append(f"{table.name}, row {row.number} was passed over: it is a total of the rows above it")
            continue
        faults.extend(stray_cells(table, raw, row))
        blank = Cell(row.number, "")
        found = {its: row.cells[place] if place < len(row.cells) else blank for its, place in headings.items()}
        rows.append(Row(table.name, row.number, columns, found, unit=unit, faults=faults))
    return rows


def _sure(value: _T | None, stand_in: _T) -> _T:
    """Read a value of a column that is needed or has a default; without one the fault is noted already."""
    return stand_in if value is None else value


def _state_words(state: State, column: Column) -> tuple[str, str]:
    """Say what a spreadsheet did to a cell, and what to do about it."""
    if state is State.DATE:
        is_length = column.kind in {Kind.SIDE, Kind.LENGTH, Kind.SIGNED, Kind.SIZE}
        what = "the fraction" if is_length else "what was written"
        example = ", such as 8 3/8" if is_length else ""
        return (
            f"is a date: a spreadsheet turned {what} into a date",
            f"Format the column as Text, then write it again{example}",
        )
    if state is State.ERROR:
        return "is an error of a spreadsheet's formula", "Mend the formula, or write the value itself"
    return (
        "is a formula whose value was never computed",
        "Open the workbook in a spreadsheet program and save it, or write the value itself",
    )


def _refuse_unprintable(text: str) -> None:
    found = _UNPRINTABLE.search(text)
    if found:
        problem = f"has a character that cannot be printed (U+{ord(found[0]):04X})"
        raise UnreadableError(problem, "Delete what is in the cell and type it again by hand")


def _short(text: str) -> str:
    if len(text) > LONGEST_NAME:
        raise UnreadableError(f"is longer than {LONGEST_NAME} characters", "Write a shorter name; notes may be longer")
    return text


def _count(text: str, least: int) -> int:
    found = re.fullmatch(r"(?P<whole>[0-9]{1,12})(?:\.0*)?", text)
    if found is None or not least <= int(found["whole"]) <= _MOST:
        raise UnreadableError(f"is not a whole number from {least} to {_MOST}", "Write a whole number, such as 2")
    return int(found["whole"])


def _length(text: str, unit: Unit, kind: Kind) -> Fraction:
    length = parse_length(text, unit, signed=kind in {Kind.SIDE, Kind.SIGNED})
    if kind is Kind.SIDE:
        _refuse_nothing(length)
    return length


def _refuse_nothing(*sides: Fraction) -> None:
    if min(sides) < 1:
        raise UnreadableError("must be more than 0", "Write a length such as 11 1/4 or 285 mm")


def _choice(text: str, choices: tuple[str, ...]) -> str:
    word = fold(text)
    if "yes" in choices:
        word = _YES_NO.get(word, word)
    if word not in choices:
        raise UnreadableError(f"is not one of {', '.join(choices)}", nearest(text, choices))
    return word


def _near_colour(text: str) -> str:
    """Return the colour word most like a text, in spelling or because it is part of it."""
    near = [word for word in COLOURS if word in text.casefold()]
    return max(near, key=len, default="") or next(iter(get_close_matches(text.casefold(), COLOURS, n=1)), "green")


def _swatch(text: str) -> str:
    named = colour_named(text)
    if named is not None:
        return named
    if not re.fullmatch("#[0-9a-fA-F]{6}", text):
        raise UnreadableError(
            "is not a colour",
            f"Write a plain colour word such as {_near_colour(text)}, or # and six digits or letters from a to f, such"
            " as #8fa58c",
        )
    return text.lower()

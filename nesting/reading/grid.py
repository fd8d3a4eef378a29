"""A table of a wall as its file has it: a changed cell changes its own row in the file and nothing else."""

import csv
import hashlib
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from nesting.reading.columns import Table, plain_key
from nesting.reading.tables import RawRow, csv_rows

__all__ = ["Grid", "Line", "read_grid"]

_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the file: its text to the byte, and its cells."""

    text: str
    cells: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in it."""
        return not any(cell.strip() for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Grid:
    """The rows of a file with how it was saved: encoding, mark at the beginning, separator and line ends."""

    lines: tuple[Line, ...]
    encoding: str
    mark: str
    separator: str
    end: str

    @property
    def head(self) -> int:
        """The place of the headings: the first row with something in it."""
        return next((place for place, line in enumerate(self.lines) if not line.is_empty), 0)

    @property
    def headings(self) -> tuple[str, ...]:
        """The headings as written; none in an empty file."""
        return self.lines[self.head].cells if self.lines else ()

    def data(self) -> bytes:
        """Return the file."""
        return (self.mark + "".join(line.text for line in self.lines)).encode(self.encoding)

    def version(self) -> str:
        """Return what tells this state of the file from any other."""
        return hashlib.sha256(self.data()).hexdigest()[:20]

    def raw(self, table: Table) -> list[RawRow]:
        """Return the rows as the library reads them."""
        return csv_rows(self.data(), table)

    def column(self, heading: str) -> int | None:
        """Return the place of a column, whatever the case and spaces of its heading; None where it is not there."""
        keys = [plain_key(cell.strip()) for cell in self.headings]
        return keys.index(plain_key(heading)) if plain_key(heading) in keys else None

    def rows(self) -> Iterator[tuple[int, Line]]:
        """Yield the rows below the headings with something in them, each with its number in a spreadsheet."""
        for number, line in enumerate(self.lines, 1):
            if number > self.head + 1 and not line.is_empty:
                yield number, line

    def with_cell(self, number: int, heading: str, text: str) -> "Grid":
        """Return the grid with a cell changed; a column that is not there comes last, and so does a row."""
        place = self.column(heading)
        if place is None:
            place = len(self.headings)
            return self.with_text(self.head, place, heading).with_cell(number, heading, text)
        grid = self
        while len(grid.lines) < number:
            grid = grid.with_line(len(grid.lines) + 1, ())
        return grid.with_text(number - 1, place, text)

    def with_line(self, number: int, cells: Sequence[str]) -> "Grid":
        """Return the grid with a new row that gets this number."""
        lines = list(self._closed())
        lines.insert(number - 1, Line(self._written(cells), tuple(cells)))
        return replace(self, lines=tuple(lines))

    def without(self, numbers: Sequence[int]) -> "Grid":
        """Return the grid without rows of these numbers; the headings stay."""
        gone = set(numbers) - {self.head + 1}
        return replace(self, lines=tuple(line for number, line in enumerate(self.lines, 1) if number not in gone))

    def _closed(self) -> tuple[Line, ...]:
        """Give the last row a line end, so that another one can follow it."""
        if not self.lines or self.lines[-1].text.endswith(("\n", "\r")):
            return self.lines
        return (*self.lines[:-1], replace(self.lines[-1], text=self.lines[-1].text + self.end))

    def with_text(self, place: int, column: int, text: str) -> "Grid":
        """Return the grid with another text in a cell, its row and column counted from 0."""
        lines = list(self.lines) or [Line("", ())]
        cells = list(lines[place].cells)
        parts, end = _parts(lines[place].text, self.separator)
        missing = [""] * (column + 1 - len(cells))
        cells, parts = cells + missing, parts[: len(cells)] + missing
        cells[column], parts[column] = text, self._cell(text)
        lines[place] = Line(self.separator.join(parts) + end, tuple(cells))
        return replace(self, lines=tuple(lines))

    def _written(self, cells: Sequence[str]) -> str:
        return self.separator.join(map(self._cell, cells)) + self.end

    def _cell(self, text: str) -> str:
        """Return a cell as a file has it, in quotes where it needs them."""
        file = io.StringIO()
        csv.writer(file, delimiter=self.separator, lineterminator="").writerow([text])
        return file.getvalue() if text else ""


def read_grid(data: bytes, table: Table) -> Grid:
    """Return a file as a grid.

    Parameters
    ----------
    data : bytes
        What the file holds; nothing makes a grid without rows.
    table : Table
        Whose headings tell which separator it was saved with.

    Returns
    -------
    Grid

    Raises
    ------
    nesting.reading.tables.UnreadableFileError
        If it cannot be read for certain.
    """
    rows = csv_rows(data, table)
    encoding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8"
    text = data.decode(encoding)
    mark = _MARK if text.startswith(_MARK) else ""
    text = text.removeprefix(_MARK)
    separator = _separator(text, rows)
    lines = tuple(_lines(text, separator))
    return Grid(lines, encoding, mark, separator, "\r\n" if "\r\n" in text else "\n")


def _separator(text: str, rows: Sequence[RawRow]) -> str:
    """Return the separator under which the rows are those that the library reads."""
    wanted = [[cell.text for cell in row.cells] for row in rows[:50]]
    for separator in (",", ";", "\t"):
        lines = [[cell.strip() for cell in line.cells] for line in islice(_lines(text, separator), len(wanted))]
        if lines == wanted:
            return separator
    return max(",;\t", key=text.count)


def _parts(text: str, separator: str) -> tuple[list[str], str]:
    """Return the cells of a row as the file has them, quotes and spaces with them, and the row's line end."""
    row = text.rstrip("\r\n")
    cell = re.compile(rf' *"(?:[^"]|"")*"|[^{re.escape(separator)}]*')
    parts, place = [], -1
    while place < len(row):
        found = cell.match(row, place + 1)
        assert found is not None  # noqa: S101 - the second kind of cell may be empty
        parts.append(found.group())
        place = found.end()
    return parts, text[len(row) :]


def _lines(text: str, separator: str) -> Iterator[Line]:
    taken: list[str] = []

    def given() -> Iterator[str]:
        for part in io.StringIO(text, newline=""):
            taken.append(part)
            yield part

    for cells in csv.reader(given(), delimiter=separator, skipinitialspace=True):
        yield Line("".join(taken), tuple(cells))
        taken.clear()

"""Where the columns and rows of a table stand on a printed page, and how its cells are broken into lines."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from cli.reports.pages.booklet import Column, Row, Table
from cli.reports.pages.pen import TENTH, Pen

__all__ = ["FIGURE", "LEAD", "SMALL", "TEXT", "Cell", "Columns", "Line", "parts", "row_height", "shared"]

TEXT, LARGE, FIGURE, SMALL, LEAD = 10.0, 13.0, 15.0, 8.5, 1.21
"""Sizes of letters in points, and from line to line in sizes."""
_MM = 10 * TENTH
_TICK, _LOOK, _PAD, _BOXES = 7 * _MM, 16 * _MM, 0.5 * _MM, 6 * _MM
_BOX_GAP = 2.5 * _MM
_GAP, _NARROW_GAP, _LEAST_FIGURE = 2.5 * _MM, 1.7 * _MM, 12 * _MM
# Letters as large as those of figures need more room after them to stand apart than a space of the small ones gives.
_FIGURE_GAP = 3.2 * _MM


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a cell: words, or the names beside boxes to tick, all of one size."""

    words: str
    size: float
    bold: bool
    boxes: tuple[str, ...] = ()

    @property
    def height(self) -> float:
        """How much of the page it takes."""
        return _BOXES if self.boxes else self.size * LEAD


Cell = list[Line]
"""The lines of a cell, from the top."""


class Columns:
    """Where the columns of a table stand, from the left edge of the table.

    Parameters
    ----------
    pen : Pen
        Knows how wide words are.
    table : Table
        The table.
    room : float
        How wide it is, in points.
    """

    def __init__(self, pen: Pen, table: Table, room: float) -> None:
        self.pen, self.room = pen, room
        self.look = _TICK if any(row.tick for row in table.rows) else 0.0
        x = self.look + (_LOOK if any(row.drawing for row in table.rows) else 0.0)
        gap = _NARROW_GAP if x > _TICK or table.halved else _GAP
        figures = [self._figure_width(table, place) for place in range(len(table.columns))]
        shares = sum(column.share for column in table.columns if not column.figure)
        share = (room - x - sum(figures)) / shares if shares else 0.0
        places: list[tuple[Column, float, float]] = []
        for column, figure in zip(table.columns, figures, strict=True):
            wide = figure if column.figure else column.share * share
            places.append((column, x, wide - (0.0 if len(places) == len(figures) - 1 else gap)))
            x += wide
        self.places = tuple(places)
        self.heads = tuple(self._head(column.heading, wide, gap) for column, _, wide in places)
        deepest = max(map(len, self.heads), default=0)
        self.head_height = deepest * SMALL * 1.3 + 1 * _MM if deepest else 0.0

    def _head(self, heading: str, wide: float, gap: float) -> tuple[str, ...]:
        """Break a heading between words; a word that is a little too wide may reach into the gap."""
        widest = max((self.pen.width_of(word, SMALL, bold=True) for word in heading.split()), default=0.0)
        return self.pen.wrapped(heading, SMALL, wide if widest <= wide else wide + gap, bold=True)

    def _figure_width(self, table: Table, place: int) -> float:
        """Return how wide a column of figures is, with the gap after it; nothing for another column."""
        if not table.columns[place].figure:
            return 0.0
        said = (row.cells[place].partition("\n")[0] for row in table.rows)
        widest = max((self.pen.width_of(words, FIGURE, bold=True) for words in said), default=0.0)
        heading = self.pen.width_of(table.columns[place].heading, SMALL, bold=True)
        return min(max(widest, heading, _LEAST_FIGURE), self.room / 2) + _FIGURE_GAP

    def cells(self, row: Row) -> list[Cell]:
        """Return for each cell of a row its lines."""
        cells = [
            list(self._lines(column, wide, cell))
            for (column, _, wide), cell in zip(self.places, row.cells, strict=True)
        ]
        if row.boxes:
            first = sum(line.bold for line in cells[-1])
            column, _, wide = self.places[-1]
            cells[-1][first:first] = self._boxes(row, wide, large=column.large)
        return cells

    def _lines(self, column: Column, wide: float, cell: str) -> Iterator[Line]:
        said = cell.split("\n")
        for number, words in enumerate(said):
            figure = column.figure and number == 0
            bold = figure or (number == 0 and len(said) > 1)
            size = FIGURE if figure else LARGE if column.large else TEXT
            for line in self.pen.wrapped(words, size, wide, bold=bold):
                yield Line(line, size, bold)

    def _boxes(self, row: Row, wide: float, *, large: bool) -> list[Line]:
        lines: list[Line] = []
        for _, name in row.boxes:
            longer = replace(lines[-1], boxes=(*lines[-1].boxes, name)) if lines else None
            if longer and sum(self.box_width(longer, each) for each in longer.boxes) - _BOX_GAP <= wide:
                lines[-1] = longer
            else:
                lines.append(Line("", FIGURE if large else TEXT, bold=large, boxes=(name,)))
        return lines

    def box_width(self, line: Line, name: str) -> float:
        """Return how wide a box to tick is with the name beside it and the gap after it."""
        return self.pen.width_of(name, line.size, bold=line.bold) + 6.5 * _MM + _BOX_GAP


def parts(row: Row, cells: list[Cell], page: float) -> Iterator[tuple[Row, list[Cell]]]:
    """Yield a row whole, or where no page holds it in parts that pages do, the box to tick at the first."""
    if row_height(row, cells) <= page:
        yield row, cells
        return
    most = int((page - 2 * _PAD) / (FIGURE * LEAD))
    rest = replace(row, tick=None, drawing=None, heavy=False)
    for first in range(0, max(map(len, cells)), most):
        yield rest if first else row, [cell[first : first + most] for cell in cells]


def row_height(row: Row, cells: Sequence[Cell]) -> float:
    """Return how much of a page a row takes."""
    words = max((sum(line.height for line in cell) for cell in cells), default=0.0)
    drawing = 0.0 if row.drawing is None else row.drawing.height * TENTH
    return max(words, drawing, 6 * _MM if row.tick else 0.0) + 2 * (_PAD if row.tick or row.boxes else 0.16 * _MM)


def shared(heights: Sequence[float], room: float) -> tuple[int, int]:
    """Return how many rows stand in the left and in the right of two columns, as even as the room allows.

    Parameters
    ----------
    heights : sequence of float
        Of all rows that are left.
    room : float
        How high a column may be.

    Returns
    -------
    tuple of int
        Both may be 0 where not even the first row has room.
    """
    splits = ((max(sum(heights[:left]), sum(heights[left:])), -left) for left in range(1, len(heights) + 1))
    high, left = min(splits, default=(room, 0))
    if high <= room:
        return -left, len(heights) + left
    left = _fitting(heights, room)
    return left, _fitting(heights[left:], room)


def _fitting(heights: Sequence[float], room: float) -> int:
    reach = 0.0
    for number, height in enumerate(heights):
        reach += height
        if reach > room:
            return number
    return len(heights)

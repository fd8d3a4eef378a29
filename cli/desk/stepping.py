"""One step of the history, taken back or again: its own cells, whatever else was changed in their table since."""

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.reading.grid import Grid

__all__ = ["stepped"]


@dataclass(frozen=True, slots=True)
class _Cell:
    row: int
    heading: str
    left: str
    wanted: str


def stepped(now: Grid, there: Grid, wanted: Grid) -> Grid | None:
    """Return a table with the cells of one step changed, and nothing else.

    Rows keep their numbers in a step that removes none, so the cells are found by number and heading. Someone may have
    sorted the table since, or put a row in: a row is taken for the same one only if the first cell that the step left
    alone is the same too.

    Parameters
    ----------
    now : Grid
        The table as it is.
    there : Grid
        As the step found it, on the way that is taken now.
    wanted : Grid
        As the step left it then.

    Returns
    -------
    Grid or None
        None if a cell is not what the step would find, or stands in another row.
    """
    if now == there:
        return wanted
    cells = tuple(_cells(there, wanted))
    if not all(_text(now, cell.row, cell.heading) == cell.left for cell in cells):
        return None
    if not all(_is_same_row(now, there, row, cells) for row in {cell.row for cell in cells}):
        return None
    for cell in cells:
        now = now.with_cell(cell.row, cell.heading, cell.wanted)
    return now


def _cells(there: Grid, wanted: Grid) -> Iterator[_Cell]:
    """Yield the cells below the headings that differ; a row or a column that one does not have is empty there."""
    headings = dict.fromkeys((*there.headings, *wanted.headings))
    for row in range(there.head + 2, max(len(there.lines), len(wanted.lines)) + 1):
        is_same = there.lines[row - 1 : row] == wanted.lines[row - 1 : row]
        for heading in () if is_same else headings:
            left, right = _text(there, row, heading), _text(wanted, row, heading)
            if left != right:
                yield _Cell(row, heading, left, right)


def _is_same_row(now: Grid, there: Grid, row: int, cells: tuple[_Cell, ...]) -> bool:
    own = {cell.heading for cell in cells if cell.row == row}
    others = (heading for heading in there.headings if heading not in own and _text(there, row, heading))
    first = next(others, None)
    return first is None or _text(now, row, first) == _text(there, row, first)


def _text(grid: Grid, row: int, heading: str) -> str:
    place = grid.column(heading) if grid.lines else None
    cells = grid.lines[row - 1].cells if row <= len(grid.lines) else ()
    return cells[place] if place is not None and place < len(cells) else ""

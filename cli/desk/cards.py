"""What the list of walls says of each: how many pieces, when it was changed, and whether a plan is at the bench."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from cli.desk.bookings import to_book
from cli.desk.drafts import Drafts
from cli.desk.tables import Tables
from cli.desk.walls import Wall, Walls
from nesting.reading.columns import EVERY_TABLE
from nesting.reading.grid import Grid
from nesting.reading.tables import UnreadableFileError

__all__ = ["card"]

_MOST_DIGITS = 4


def card(walls: Walls, wall: Wall) -> Mapping[str, Any]:
    """Return what the list says of a wall; its tables are counted, not understood, so that a long list is quick."""
    return {
        "id": wall.id,
        "name": wall.name,
        "pieces": _pieces(wall),
        "changed": _changed(wall),
        "bench": _at_bench(wall),
        "own": walls.owns(wall),
    }


def _at_bench(wall: Wall) -> str:
    """Say what is to be done at the bench or after it."""
    there = Drafts(wall.folder).at_the_bench()
    if any(taken.is_open for taken in there):
        return "a plan is at the bench"
    return "cut, and not booked yet" if any(to_book(taken) for taken in there) else ""


def _pieces(wall: Wall) -> str:
    try:
        grid = Tables(wall.folder).read("pieces")
    except (OSError, UnreadableFileError):
        return "its table pieces cannot be read"
    count = _count(grid)
    return f"{count or 'no'} {'piece' if count == 1 else 'pieces'}"


def _count(grid: Grid) -> int:
    """Count the copies of all rows that have a size; a quantity that is no whole number counts as one."""
    quantity, sizes = grid.column("quantity"), [grid.column("inside width"), grid.column("picture width")]
    rows = [line.cells for _, line in grid.rows()]
    sized = [cells for cells in rows if any(_cell(cells, place) for place in sizes)]
    return sum(_copies(_cell(cells, quantity)) for cells in sized)


def _cell(cells: tuple[str, ...], place: int | None) -> str:
    return cells[place].strip() if place is not None and place < len(cells) else ""


def _copies(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS else 1


def _changed(wall: Wall) -> str:
    """Return the day and time at which a table was changed last; nothing where there is none."""
    tables = {table.name for table in EVERY_TABLE}
    files = [path for path in wall.folder.glob("*.[cC][sS][vV]") if path.stem.casefold() in tables and path.is_file()]
    if not files:
        return ""
    last = datetime.fromtimestamp(max(path.stat().st_mtime for path in files)).astimezone()
    return f"{last.day} {last:%B %Y, %H:%M}"

"""The tables of a wall: what is drawn while one types, and what is changed."""

from collections.abc import Callable, Mapping
from typing import Any

from cli.desk.answers.asked import (
    LONGEST,
    LONGEST_CELL,
    MOST_CELLS,
    NOT_UNDERSTOOD,
    Asked,
    AskedWrongError,
    row_of,
    table_of,
    text_of,
)
from cli.desk.desk import Desk
from cli.desk.listed import read_dropped
from cli.desk.settings import change_setting
from cli.desk.shown import drawn_row, net_prices, table_view
from cli.desk.tables import Change, ChangedOutsideError
from cli.desk.walls import Wall
from nesting.reading.columns import BENCH

__all__ = ["OF_TABLES"]


def _draw(desk: Desk, wall: Wall, asked: Asked) -> Any:
    cells = asked.get("cells")
    if not isinstance(cells, dict) or not all(isinstance(text, str) for text in cells.values()):
        raise AskedWrongError(NOT_UNDERSTOOD)
    return drawn_row(desk, wall, row_of(asked.get("row")), cells)


def _change(desk: Desk, wall: Wall, asked: Asked) -> Any:
    name, cells, removed = table_of(asked.get("table")), asked.get("cells", []), asked.get("removed", [])
    if not isinstance(cells, list) or not isinstance(removed, list) or len(cells) + len(removed) > MOST_CELLS:
        raise AskedWrongError("That is more than a table can hold.")
    change = Change(text_of(asked, "name"), tuple(map(_one_cell, cells)), tuple(map(row_of, removed)))
    desk.tables(wall).change(name, text_of(asked, "version"), change)
    return _after(desk, wall, name)


def _one_cell(cell: Any) -> tuple[int, str, str]:
    match cell:
        case [int(row), str(heading), str(text)] if heading.strip() and len(heading) <= LONGEST:
            return row_of(row), heading, text
        case _:
            raise AskedWrongError(NOT_UNDERSTOOD)


def _after(desk: Desk, wall: Wall, changed: str, shown: str | None = None) -> Any:
    """Tell all pages of a table that was changed, and return it, or the one that the page shows in its place."""
    desk.price(wall)
    tables = desk.tables(wall)
    undo, redo = tables.steps()
    version = tables.read(changed).version()
    desk.events.tell("table", wall=wall.id, table=changed, version=version, undo=undo, redo=redo)
    name = shown or changed
    answer: dict[str, Any] = {"table": table_view(desk, wall, name)}
    if name == "offers":
        answer["net"] = net_prices(desk, wall)
    if name == "boards":
        answer["swatches"] = {board.name: board.swatch for board in desk.look(wall).job.boards}
    return answer


def _undo(desk: Desk, wall: Wall, asked: Asked) -> Any:
    return _stepped(desk, wall, asked, again=False)


def _redo(desk: Desk, wall: Wall, asked: Asked) -> Any:
    return _stepped(desk, wall, asked, again=True)


def _stepped(desk: Desk, wall: Wall, asked: Asked, *, again: bool) -> Any:
    """Take a step back or again, and answer with the table that asked; the step may be of another one."""
    name = table_of(asked.get("table"))
    step = desk.tables(wall).undo(again=again)
    said = f"{'Done again' if again else 'Undone'}: {step.name}"
    return {"said": said, **_after(desk, wall, step.table, name)}


def _list(desk: Desk, wall: Wall, asked: Asked) -> Any:
    """Add the rows of a plain list of frames to the pieces."""
    listed = read_dropped(text_of(asked, "text", 2_000_000), desk.look(wall).job.bench.unit)
    grid = desk.tables(wall).read("pieces")
    first = max(len(grid.lines), 1) + 1
    cells = tuple((first + place, heading, text) for place, row in enumerate(listed) for heading, text in row.items())
    name = f"added {len(listed)} rows of a list"
    desk.tables(wall).change("pieces", text_of(asked, "version"), Change(name, cells))
    return _after(desk, wall, "pieces")


def _order(desk: Desk, wall: Wall, asked: Asked) -> Any:
    """Write the boards of a piece in another order, if they stand as the page shows them."""
    row, was, wanted = row_of(asked.get("row")), _names(asked.get("was")), _names(asked.get("boards"))
    piece = desk.look(wall).seen.get(row)
    if piece is None or piece.boards != was or piece.name != text_of(asked, "piece", LONGEST_CELL):
        raise ChangedOutsideError("The boards of this piece were changed meanwhile. Load the page again.")
    if sorted(wanted) != sorted(was):
        raise AskedWrongError(NOT_UNDERSTOOD)
    tables = desk.tables(wall)
    change = Change(f"changed the order of the boards of {piece.name}", ((row, "boards", " or ".join(wanted)),))
    tables.change("pieces", tables.read("pieces").version(), change)
    if desk.look(wall).seen[row].boards != wanted:  # a board whose name is other boards with "or" between them
        tables.undo()
        raise AskedWrongError("These boards cannot be written in this order. Write them in the table of the pieces.")
    _after(desk, wall, "pieces")
    return {"boards": list(wanted)}


def _setting(desk: Desk, wall: Wall, asked: Asked) -> Any:
    """Write a setting of the bench; numbers mean something else then, so the page is loaded again."""
    name = text_of(asked, "name")
    if name not in {column.heading for column in BENCH}:
        raise AskedWrongError("There is no such setting.")
    change_setting(desk, wall, name, text_of(asked, "value"))
    _after(desk, wall, "bench")
    return {}


def _names(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
        raise AskedWrongError(NOT_UNDERSTOOD)
    return tuple(value)


OF_TABLES: Mapping[str, Callable[[Desk, Wall, Asked], Any]] = {
    "draw": _draw,
    "change": _change,
    "undo": _undo,
    "redo": _redo,
    "list": _list,
    "order": _order,
    "setting": _setting,
}
"""What is done for each of these names."""

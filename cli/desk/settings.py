"""The settings of the bench as the page shows and changes them: each by its name, with what is usual beside it."""

from collections.abc import Mapping
from typing import Any

from cli.desk.desk import Desk
from cli.desk.tables import Change
from cli.desk.walls import Wall
from nesting.reading.columns import BENCH, plain_key
from nesting.reading.grid import Grid

__all__ = ["UNITS", "change_setting", "settings_view", "unit_of"]

_ABOVE = {"unit", "currency"}
"""What stands above every table has no need to stand among the rest."""
UNITS: Mapping[str, str] = {"in": "inches", "cm": "centimetres", "mm": "millimetres"}
"""What the units of plain numbers are called."""


def unit_of(desk: Desk, wall: Wall) -> dict[str, str]:
    """Return the unit of plain numbers and the currency of a wall."""
    bench = desk.look(wall).job.bench
    return {"unit": bench.unit.value, "currency": bench.currency}


def settings_view(desk: Desk, wall: Wall) -> list[dict[str, Any]]:
    """Return every other setting of the bench: its meaning, what is written for it, what is usual, what is wrong."""
    grid, look = desk.tables(wall).read("bench"), desk.look(wall)
    said = {fault.row: f"{fault.problem}. {fault.remedy}." for fault in look.of_table("bench") if fault.row}
    settings = []
    for column in (column for column in BENCH if column.heading not in _ABOVE):
        row = _row_of(grid, column.heading)
        settings.append(
            {
                "name": column.heading,
                "meaning": column.meaning,
                "choices": column.choices,
                "value": "" if row is None else _value(grid, row),
                "usual": column.default_in(look.job.bench.unit) or column.otherwise,
                "said": "" if row is None else said.get(row, ""),
            }
        )
    return settings


def change_setting(desk: Desk, wall: Wall, name: str, value: str) -> None:
    """Write a setting into the table bench; an empty one counts as what is usual."""
    tables = desk.tables(wall)
    grid = tables.read("bench")
    row = _row_of(grid, name) or max(len(grid.lines), 1) + 1
    change = Change(f"changed {name} of the bench", ((row, "name", name), (row, "value", value.strip())))
    tables.change("bench", grid.version(), change)


def _row_of(grid: Grid, name: str) -> int | None:
    place = grid.column("name")
    if place is None:
        return None
    named = ((number, plain_key("".join(line.cells[place : place + 1]))) for number, line in grid.rows())
    return next((number for number, key in named if key == plain_key(name)), None)


def _value(grid: Grid, row: int) -> str:
    place = grid.column("value")
    cells = next(line.cells for number, line in grid.rows() if number == row)
    return "" if place is None else "".join(cells[place : place + 1])

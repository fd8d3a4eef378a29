"""A table of a wall as the page shows it: its columns, its rows, and what is said under their cells."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from cli.desk.dated import dated_cells
from cli.desk.desk import Desk
from cli.desk.tables import Tables
from cli.desk.walls import Wall
from nesting.chosen import with_choices
from nesting.drawing.fractions import on_one_line
from nesting.errors import Fault, JobError
from nesting.money import format_money
from nesting.offers import unit_price
from nesting.reading.columns import Kind, table_named
from nesting.reading.grid import Grid
from nesting.reading.lookalike import Lookalike, lookalikes
from nesting.row_by_row import Look, look_at_row, sized_rows

__all__ = ["drawn_row", "net_prices", "table_view"]

_EVERYDAY = {
    "pieces": {
        "piece",
        "quantity",
        "inside width",
        "inside height",
        "picture width",
        "picture height",
        "boards",
        "moulding width",
        "frame cost",
    },
    "offers": {"shop", "board", "sheet width", "sheet height", "price", "discount", "at most", "at least"},
    "boards": {"board", "swatch"},
    "shops": {"shop", "delivery", "free over", "tax"},
}


# A warning begins with the table that it is about.
_PLACED = re.compile(r"(?P<table>[a-z]+)(, row (?P<row>\d+))?: (?P<words>.*)", re.DOTALL)
# The columns that name boards and shops.
_NAMED = {"boards", "under boards", "backing", "board", "shop"}
_UNIT = dict.fromkeys((Kind.SIDE, Kind.LENGTH, Kind.SIGNED, Kind.SIZE), "length") | {Kind.MONEY: "money"}


def table_view(desk: Desk, wall: Wall, name: str) -> dict[str, Any]:
    """Return a table for the page: its version, its columns, its rows, and what is said of them."""
    grid, table, look = desk.tables(wall).read(name), table_named(name), desk.look(wall)
    own = [cell.strip() for cell in grid.headings if cell.strip()]
    known = [column.heading for column in table.columns]
    theirs = [heading for heading in own if not any(grid.column(each) == grid.column(heading) for each in known)]
    columns = [
        {
            "heading": column.heading,
            "meaning": column.meaning,
            "everyday": column.heading in _EVERYDAY.get(name, known),
            "number": column.kind.value not in {"name", "boards", "text", "choice"},
            "unit": _UNIT.get(column.kind, ""),
            "required": column.required,
        }
        for column in table.columns
    ] + [
        {"heading": each, "meaning": "", "everyday": False, "number": False, "unit": "", "required": False}
        for each in theirs
    ]
    places_of = {str(column["heading"]): grid.column(str(column["heading"])) for column in columns}
    rows = [
        {"row": number, "cells": {heading: _cell(line.cells, place) for heading, place in places_of.items()}}
        for number, line in grid.rows()
    ]
    undo, redo = desk.tables(wall).steps()
    said = _said(look, name)
    return {
        "name": name,
        "version": grid.version(),
        "next": max(len(grid.lines), 1) + 1,
        "columns": columns,
        "rows": rows,
        "said": [*_dated(desk.tables(wall), name, grid), *said, *_looks(grid, look, name, said)],
        "undo": undo,
        "redo": redo,
    }


def _cell(cells: tuple[str, ...], place: int | None) -> str:
    return cells[place] if place is not None and place < len(cells) else ""


def _dated(tables: Tables, name: str, grid: Grid) -> list[dict[str, Any]]:
    """Offer what stood in a cell before a spreadsheet made a date of it."""
    return [
        {
            "row": it.row,
            "column": it.heading,
            "words": f"A spreadsheet made the date {it.now} of {it.before}.",
            "fault": False,
            "mend": {it.heading: it.before},
        }
        for it in dated_cells(grid, tables.earlier(name))
    ]


def _said(look: Look, name: str) -> list[dict[str, Any]]:
    """Return what is said of the rows of a table, with sizes where they are pieces."""
    general: list[dict[str, Any]] = [
        {"row": fault.row, "column": fault.column, "words": _words(fault), "fault": True, "mend": {}}
        for fault in look.of_table(name)
        if name != "pieces" or fault.row in {None, 1}
    ]
    if name != "pieces":
        return general
    rows = sized_rows(look)
    remarks = [
        {"row": sized.row, "column": it.column, "words": it.words, "fault": it.is_fault, "mend": dict(it.mend)}
        for sized in rows
        for it in sized.remarks
    ]
    return general + remarks + [{"row": sized.row, "size": sized.size} for sized in rows]


def _looks(grid: Grid, look: Look, name: str, said: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return what is worth a look in a table, such as two names that may be one, under its row where it has one."""
    job = look.job
    slips = {its.words: its for its in lookalikes(job.pieces, job.offers, job.shops, job.shelf, job.boards)}
    found = (match for match in map(_PLACED.match, job.warnings) if match and match["table"] == name)
    looks = [
        {
            "row": int(match["row"] or 0),
            "column": None,
            "words": match["words"] + ".",
            "fault": False,
            "mend": _respelt(grid, int(match["row"] or 0), slips.get(match[0])),
        }
        for match in found
    ]
    mended = [(each["row"], each["mend"]) for each in said if each.get("mend")]
    return [each for each in looks if (each["row"], each["mend"]) not in mended]


def _respelt(grid: Grid, row: int, slip: Lookalike | None) -> dict[str, str]:
    """Return the cells of a row of a table that have a misspelt name, with the name that it is like."""
    if slip is None:
        return {}
    cells = next((line.cells for number, line in grid.rows() if number == row), ())
    whole = re.compile(rf"(?<!\w){re.escape(slip.name)}(?!\w)")
    named = ((heading.strip(), text) for heading, text in zip(grid.headings, cells, strict=False))
    return {
        heading: whole.sub(lambda _: slip.near, text)
        for heading, text in named
        if heading.casefold() in _NAMED and whole.search(text)
    }


def _words(fault: Fault) -> str:
    """Say what is wrong where the row and the column are seen."""
    given = "" if fault.given is None else f"{fault.given!r} "
    return f"{given}{fault.problem}. {fault.remedy}."


def drawn_row(desk: Desk, wall: Wall, row: int, cells: Mapping[str, str]) -> dict[str, Any]:
    """Return a row that is being typed: its size, its drawings and what is said of it."""
    sized = look_at_row(desk.look(wall), row, cells)
    remarks = [
        {"row": row, "column": it.column, "words": it.words, "fault": it.is_fault, "mend": dict(it.mend)}
        for it in sized.remarks
    ]
    backs = [{"name": back.name, "drawing": back.drawing, "lines": on_one_line(back.lines)} for back in sized.backs]
    size = on_one_line(". ".join(filter(None, [sized.size, sized.rounding])))
    return {"row": row, "size": size, "drawing": sized.drawing, "backs": backs, "said": remarks}


def net_prices(desk: Desk, wall: Wall) -> dict[str, str]:
    """Return the price of a sheet after its discount, for each row of the table offers that is sound."""
    look = desk.look(wall)
    if look.faults:
        return {}
    try:
        job = with_choices(look.job, look.job.choices)
    except JobError:
        return {}
    return {str(offer.row): format_money(unit_price(offer), job.bench.currency) for offer in job.offers}

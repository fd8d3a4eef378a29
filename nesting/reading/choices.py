"""The table choices: what is asked of a plan, kept beside the job."""

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from nesting.errors import Fault, JobError
from nesting.model.choices import Choices
from nesting.model.job import Unit
from nesting.reading.columns import CHOICES, CHOICES_TABLE, plain_key
from nesting.reading.fields import Row, rows_of
from nesting.reading.headings import nearest
from nesting.reading.tables import Cell, raw_tables

__all__ = ["choices_of", "read_choices"]

_OFTEN = frozenset({"discount", "shop", "left", "pin"})


def read_choices(path: str | Path) -> Choices:
    """Return what is sound of the choices beside a job; its faults come with those of the job itself.

    Parameters
    ----------
    path : str or Path
        A workbook, or a folder of CSV files.

    Returns
    -------
    Choices
        Nothing chosen where there is no such table.
    """
    with suppress(JobError):
        raw = raw_tables(Path(path), (CHOICES_TABLE,))
        if CHOICES_TABLE.name in raw.tables:
            return choices_of(rows_of(CHOICES_TABLE, raw.tables[CHOICES_TABLE.name], Unit.IN, []), [])
    return Choices()


def choices_of(rows: Sequence[Row], faults: list[Fault]) -> Choices:
    """Return the choices of a table, from its rows; an unknown name and a name used twice are faults."""
    cells = _cells(rows)
    columns = {column.heading: column for column in CHOICES}
    one = {name: found[-1] for name, found in cells.items() if name not in _OFTEN}
    row = Row(CHOICES_TABLE.name, 1, columns, one, unit=Unit.IN, faults=faults)

    def yes(name: str) -> bool | None:
        return row.choice(name) == "yes" if name in one and one[name].text else None

    def texts(name: str) -> tuple[str, ...]:
        each = (
            Row(CHOICES_TABLE.name, 1, columns, {name: it}, unit=Unit.IN, faults=faults) for it in cells.get(name, ())
        )
        return tuple(text for text in (it.text(name) for it in each) if text)

    return Choices(
        later=yes("later"),
        fallout=yes("fallout"),
        liked_best=yes("liked best"),
        shelf=yes("shelf"),
        shelf_table=yes("shelf table"),
        discounts=texts("discount"),
        shops=texts("shop"),
        left=texts("left"),
        budget=row.maybe_money("budget"),
        sheets=row.maybe_count("sheets"),
        pins=texts("pin"),
    )


def _cells(rows: Sequence[Row]) -> dict[str, list[Cell]]:
    known = {plain_key(column.heading): column.heading for column in CHOICES}
    cells: dict[str, list[Cell]] = {}
    for row in rows:
        written = row.name("name")
        name = known.get(plain_key(written))
        if written and name is None:
            row.fault("name", "is nothing that can be chosen", nearest(written, known.values()))
        elif name in cells and name not in _OFTEN:
            row.fault("name", f"is in row {cells[name][0].row} already", "Keep one row of this name")
        elif name is not None:
            cells.setdefault(name, []).append(row.cell("value"))
    return cells

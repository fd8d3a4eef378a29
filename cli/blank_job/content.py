"""What stands in a job to fill in: its tables with a few rows, what to do in eight lines, and the frames to measure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.lengths import TICKS_PER_MM, format_length
from nesting.model.job import Unit
from nesting.reading.columns import BENCH, NOTES, TABLES, Table
from nesting.reading.plain_list import Listed

__all__ = ["BlankJob", "Cells", "Filled", "blank_job"]

Cells = Mapping[str, str]
"""What stands in a row, by heading; a heading that is not there has an empty cell."""

_SHOP, _OTHER_SHOP = "example shop", "example market"
_CREAM, _GREY = "example cream", "example grey"
_OVER = "an example: write over it"
_SHOPS: tuple[Cells, ...] = (
    {"shop": _SHOP, "delivery": "6.50", "free over": "60", NOTES.heading: _OVER},
    {"shop": _OTHER_SHOP, "tax": "7", NOTES.heading: _OVER},
)


@dataclass(frozen=True, slots=True)
class Filled:
    """A table, and the rows that stand in it by heading."""

    table: Table
    rows: tuple[Cells, ...]


@dataclass(frozen=True, slots=True)
class BlankJob:
    """A job to fill in.

    `frames` are the names of frames to measure, one for each copy; none where they are not known yet.
    """

    unit: Unit
    tables: tuple[Filled, ...]
    frames: tuple[str, ...]


def blank_job(unit: Unit, listed: Sequence[Listed] = ()) -> BlankJob:
    """Return a job to fill in, with examples that can be checked and planned as they stand.

    Parameters
    ----------
    unit : Unit
        The unit of its bare numbers.
    listed : sequence of Listed
        What stands in the pieces table in place of examples.

    Returns
    -------
    BlankJob
        With every table of a job, in the order of the contract.
    """
    rows = _examples(unit) | {"shops": _SHOPS, "bench": _bench(unit)}
    if listed:
        rows["pieces"] = tuple(row.cells for row in listed)
    tables = tuple(Filled(table, rows[table.name]) for table in TABLES)
    return BlankJob(unit, tables, tuple(name for row in listed for name in _frames(row)))


def _frames(row: Listed) -> list[str]:
    piece = row.piece
    if piece.quantity == 1:
        return [piece.name]
    return [f"{piece.name}, {copy} of {piece.quantity}" for copy in range(1, piece.quantity + 1)]


def _bench(unit: Unit) -> tuple[Cells, ...]:
    """Name every setting, with what it means beside it; only the unit has a value, so that all else is as usual."""
    return tuple(
        {
            "name": setting.heading,
            "value": str(unit) if setting.heading == "unit" else "",
            NOTES.heading: " ".join(setting.note_in(unit)),
        }
        for setting in BENCH
    )


def _examples(unit: Unit) -> dict[str, tuple[Cells, ...]]:
    """Give the example rows whose lengths hang on the unit; their own names say that they are examples."""

    def length(inches: str, mm: int) -> str:
        return inches if unit is Unit.IN else format_length(mm * TICKS_PER_MM, unit, TICKS_PER_MM)

    is_inch = unit is Unit.IN
    extra = "1/2 in" if is_inch else length("", 12)
    pieces = (
        {
            "piece": "example: harbour sketch",
            "quantity": "1",
            "inside width": length("15 3/8", 391),
            "inside height": length("19 1/4", 489),
            "picture width": length("9", 229),
            "picture height": length("12 3/4", 324),
            "bottom extra": extra,
            "boards": f"{_CREAM} or {_GREY}",
            "moulding width": length("1 1/4", 31),
            "when": "now",
            "frame cost": "6.50",
            "quote": "24",
            NOTES.heading: _OVER,
        },
        {
            "piece": "example: postcard",
            "quantity": "2",
            "inside width": "11x14" if is_inch else "A3",
            "picture width": "4x6" if is_inch else "A5",
            "bottom extra": extra,
            "boards": _GREY,
            "when": "now",
            NOTES.heading: "an example of sizes by name: the heights stay empty",
        },
    )
    sheet = {"sheet width": length("32", 810), "sheet height": length("40", 1010), NOTES.heading: _OVER}
    shelf = {"board": _GREY, "quantity": "1", NOTES.heading: _OVER}
    thickness = "1/16 in" if is_inch else length("", 2)
    return {
        "pieces": pieces,
        "offers": (
            {"shop": _SHOP, "board": _CREAM, "price": "9.80", "discount": "40", **sheet},
            {"shop": _OTHER_SHOP, "board": _GREY, "price": "8.40", **sheet},
        ),
        "shelf": (
            {"label": "example offcut", "width": length("13 1/2", 310), "height": length("17 3/8", 430), **shelf}
            | {"kind": "offcut"},
            {"label": "example window", "width": length("5", 127), "height": length("7 1/4", 183), **shelf}
            | {"kind": "fallout"},
        ),
        "boards": (
            {"board": _CREAM, "swatch": "#efe6cf", "thickness": thickness, "turn": "yes", NOTES.heading: _OVER},
            {"board": _GREY, "swatch": "#9a9c9e", "thickness": thickness, "turn": "no", NOTES.heading: _OVER},
        ),
    }

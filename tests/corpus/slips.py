"""Forty slips that people make in a workbook, each planted in one of two sound jobs.

One job is a stairway of 18 frames in inches, with three colours and a sale at half price; the other is a school's 70
mats in centimetres, with two shops, a minimum and delivery.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import openpyxl

from tests.corpus.case import Rows

__all__ = ["Slip", "school", "slips", "stairway"]

Tables = dict[str, Rows]

_PIECES = ["piece", "quantity", "group", "inside width", "inside height", "picture width", "picture height", "boards"]
_OFFERS = ["shop", "board", "sheet width", "sheet height", "price", "discount", "at most", "at least"]
_COLOURS = ("snow", "pewter", "ink")


def stairway() -> Tables:
    """Return 18 pieces in inches: six each of three colours, every sheet at half price."""
    sizes = (("8", "10", "5", "7"), ("11", "14", "8", "10"), ("16", "20", "11", "14"))
    pieces = [[f"step {number}", "1", "stairs", *sizes[number % 3], _COLOURS[number % 3]] for number in range(1, 19)]
    offers = [["Harbour Framing", board, "32", "40", "14.98", "50", "", ""] for board in _COLOURS]
    boards = [[board, swatch] for board, swatch in zip(_COLOURS, ("#f4f4f0", "#8a8d8f", "#20242a"), strict=True)]
    return {
        "pieces": [_PIECES, *pieces],
        "offers": [_OFFERS, *offers],
        "boards": [["board", "swatch"], *boards],
        "bench": [["name", "value"], ["unit", "in"]],
    }


def school() -> Tables:
    """Return 70 pieces in centimetres: seven classes of ten, two shops, a minimum of four sheets, and delivery."""
    pieces = [[f"class {name}", "10", f"year {name}", "30", "40", "21", "29.7", "chalk"] for name in "1234567"]
    offers = [
        ["Papierhof", "chalk", "80", "120", "6.90", "", "", "4"],
        ["Ring Supplies", "chalk", "70", "100", "7.40", "10", "", ""],
    ]
    return {
        "pieces": [_PIECES, *pieces],
        "offers": [_OFFERS, *offers],
        "shops": [
            ["shop", "delivery", "free over", "tax"],
            ["Papierhof", "4.95", "60", ""],
            ["Ring Supplies", "", "", ""],
        ],
        "shelf": [["label", "board", "width", "height"], ["R1", "chalk", "50", "60"]],
        "bench": [["name", "value"], ["unit", "cm"], ["currency", "€"]],
    }


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip.

    Parameters
    ----------
    name : str
        What the person did.
    tables : dict
        The job with it.
    code : int
        How `check` ends.
    said : str
        What `check` says of it, to the letter; one sentence for one slip.
    build : callable or None
        Writes the job where tables alone cannot say it, and returns its path.
    """

    name: str
    tables: Tables
    code: int
    said: str
    build: Callable[[Path], Path] | None = None


def _cell(tables: Tables, table: str, row: int, heading: str, text: str) -> Tables:
    """Write into a cell, its row counted as a spreadsheet does; a heading that is not there is added."""
    headings, *rows = tables[table]
    if heading not in headings:
        tables[table] = [[*headings, heading], *([*its, ""] for its in rows)]
    tables[table][row - 1][tables[table][0].index(heading)] = text
    return tables


def _on_stairs(row: int, **cells: str) -> Tables:
    tables = stairway()
    for heading, text in cells.items():
        _cell(tables, "pieces", row, heading.replace("_", " "), text)
    return tables


def _at_school(row: int, **cells: str) -> Tables:
    tables = school()
    for heading, text in cells.items():
        _cell(tables, "pieces", row, heading.replace("_", " "), text)
    return tables


def _offer(tables: Tables, row: int, **cells: str) -> Tables:
    for heading, text in cells.items():
        _cell(tables, "offers", row, heading.replace("_", " "), text)
    return tables


def _headed(tables: Tables, table: str, was: str, now: str) -> Tables:
    headings, *rows = tables[table]
    tables[table] = [[now if heading == was else heading for heading in headings], *rows]
    return tables


def _renamed(tables: Tables, was: str, now: str) -> Tables:
    return {now if name == was else name: rows for name, rows in tables.items()}


def _with(tables: Tables, table: str, *rows: list[str]) -> Tables:
    return tables | {table: [*tables[table], *rows]}


def _merged(folder: Path) -> Path:
    """Write the school as a workbook whose group is one merged cell over all classes."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in school().items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book["pieces"].merge_cells("C2:C8")
    book.save(folder / "school.xlsx")
    return folder / "school.xlsx"


def _planted() -> Iterator[tuple[str, Tables, Callable[[Path], Path] | None]]:
    stairs, pupils = stairway, school
    yield "a size under the width", _on_stairs(2, inside_width="11x14", inside_height=""), None
    yield "a size that has no name", _on_stairs(2, inside_width="16x24", inside_height=""), None
    yield "half a size", _on_stairs(2, inside_width="16x", inside_height=""), None
    yield "a size and another height", _on_stairs(2, inside_width="16x20", inside_height="24"), None
    yield "the letter O for a nought", _on_stairs(3, inside_width="1O 1/2"), None
    yield "a height forgotten", _on_stairs(4, inside_height=""), None
    yield "a nought for a width", _on_stairs(4, inside_width="0"), None
    yield "a fraction that became a date", _on_stairs(5, picture_width="3-Aug"), None
    yield "width and height swapped", _on_stairs(3, picture_width="14", picture_height="8"), None
    yield "a board misspelt", _on_stairs(5, boards="pewtr"), None
    yield (
        "no boards at all",
        stairs() | {"pieces": [row if row is _PIECES else [*row[:-1], ""] for row in stairs()["pieces"]]},
        None,
    )
    yield "boards set apart by a comma", _on_stairs(5, boards="snow, pewter"), None
    yield "an or without a board", _on_stairs(5, boards="snow or"), None
    yield "a name twice", _on_stairs(5, piece="step 1"), None
    yield "a count in words", _on_stairs(5, quantity="two"), None
    yield "a heading misspelt", _headed(stairs(), "pieces", "picture width", "picture widht"), None
    yield "a heading shortened", _headed(stairs(), "pieces", "quantity", "qty"), None
    yield "a column of their own", _on_stairs(2, artist="Ida"), None
    yield "a total below", _with(stairs(), "pieces", ["Total", "18", "", "", "", "", "", ""]), None
    yield "a title above", stairs() | {"pieces": [["My stairway"], *stairs()["pieces"]]}, None
    yield "the pieces under another name", _renamed(stairs(), "pieces", "wall"), None
    yield "the offers under another name", _renamed(stairs(), "offers", "prices"), None
    yield "a sheet size in one cell", _offer(stairs(), 2, sheet_width="32x40", sheet_height=""), None
    yield "a price with its sign behind", _offer(stairs(), 2, price="14.98 $"), None
    yield "a comma that may mean thousands", _offer(stairs(), 2, price="1,498"), None
    yield "a word after the price", _offer(stairs(), 2, price="14.98 each"), None
    yield "a price below nothing", _offer(stairs(), 2, price="-14.98"), None
    yield "a discount as a fraction", _offer(stairs(), 2, discount="0.5"), None
    yield "a discount in words", _offer(stairs(), 2, discount="half"), None
    yield "a mat larger than every sheet", _on_stairs(6, inside_width="44", inside_height="60"), None
    yield "too few of a limited offer", _offer(stairs(), 4, at_most="1"), None
    yield "a colour that is none", _cell(stairs(), "boards", 3, "swatch", "greyish"), None
    yield (
        "inches in a job in centimetres",
        _at_school(2, inside_width="8x10", inside_height="", picture_width="", picture_height=""),
        None,
    )
    yield "a comma for thousands in a length", _at_school(2, inside_width="1,234"), None
    yield "a shop misspelt", _cell(pupils(), "shops", 2, "shop", "Papierhoff"), None
    yield "a board on the shelf by another name", _cell(pupils(), "shelf", 2, "board", "chalk mat"), None
    yield "a word misspelt where a few are allowed", _at_school(2, when="latr"), None
    yield "a unit that is none", _cell(pupils(), "bench", 2, "value", "cms"), None
    yield "a setting misspelt", _with(pupils(), "bench", ["trimm", "1"]), None
    yield "one cell merged over a column", pupils(), _merged


def slips() -> Iterator[Slip]:
    """Yield every slip with what is said of it."""
    for name, tables, build in _planted():
        code, said = _said()[name]
        yield Slip(name, tables, code, said, build)


@cache
def _said() -> dict[str, tuple[int, str]]:
    """Return how `check` ends for each slip and what it says, each judged by hand: where, what, how to mend it."""
    return json.loads(Path(__file__).with_name("slips.json").read_text(encoding="utf-8"))

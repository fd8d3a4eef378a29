"""Published instances read from a CSV file, which is not part of the project: its path is given.

Two kinds of files, told apart by their headings. Bin packing (Berkey & Wang 1987, Martello & Vigo 1998): ``class``,
``n``, ``number``, ``sheet_w``, ``sheet_h``, ``items`` such as ``4x10 2x10``, and columns of `KNOWN`. Cutting stock
(Cintra, Miyazawa, Wakabayashi & Xavier 2008): ``name``, ``sheets`` such as ``250x250@62500 275x225@61875``, ``items``
such as ``167x184*90``. A cutting-stock instance makes two jobs: its first size of sheet alone, where a sheet costs 1,
and all sizes.
"""

import csv
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.generate import Row, Tables, plain_tables

KNOWN = ("yardstick_turned", "yardstick_fixed", "best_known_turned", "lower_bound_fixed_one_size")
"""The columns with published or measured figures that an answer is compared with."""


@dataclass(frozen=True, slots=True)
class Instance:
    """One published job: its set, its number of different items, its number in the set, sheets with prices, items.

    `sheets` has width, height and price in units of money; `items` width, height and copies; `known` figures in sheets
    by the name of their column, without those that the file leaves empty.
    """

    kind: str
    n: int
    number: int
    sheets: tuple[tuple[int, int, int], ...]
    items: tuple[tuple[int, int, int], ...]
    known: dict[str, int]

    def tables(self, *, turn: bool) -> Tables:
        """Return the instance as a job of plain blanks in millimetres."""
        return plain_tables(self.items, self.sheets, turn=turn)


def read_instances(path: Path) -> list[Instance]:
    """Return the instances of a file in its order.

    Raises
    ------
    ValueError
        The headings are of neither kind.
    """
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    if rows and {"class", "n", "number", "sheet_w", "sheet_h", "items"} <= rows[0].keys():
        return [_bin_packing(row) for row in rows]
    if rows and {"name", "sheets", "items"} <= rows[0].keys():
        return [made for number, row in enumerate(rows, 1) for made in _cutting_stock(number, row)]
    message = f"{path}: headings of neither bin packing nor cutting stock"
    raise ValueError(message)


def _bin_packing(row: dict[str, str]) -> Instance:
    sheet = (int(row["sheet_w"]), int(row["sheet_h"]), 1)
    return Instance(f"bin class{row['class']}", int(row["n"]), int(row["number"]), (sheet,), _items(row), _known(row))


def _cutting_stock(number: int, row: dict[str, str]) -> list[Instance]:
    items, known = _items(row), _known(row)
    sheets = tuple(_sheet(word) for word in row["sheets"].split())
    width, height, _ = sheets[0]
    one = Instance(f"{row['name']} one", len(items), number, ((width, height, 1),), items, known)
    return [one, Instance(f"{row['name']} all", len(items), number, sheets, items, {})] if len(sheets) > 1 else [one]


def _sheet(word: str) -> tuple[int, int, int]:
    size, price = word.split("@")
    width, height = map(int, size.split("x"))
    return width, height, int(price)


def _items(row: dict[str, str]) -> tuple[tuple[int, int, int], ...]:
    return tuple(_item(word) for word in row["items"].split())


def _item(word: str) -> tuple[int, int, int]:
    size, _, copies = word.partition("*")
    width, height = map(int, size.split("x"))
    return width, height, int(copies or 1)


def _known(row: dict[str, str]) -> dict[str, int]:
    return {name: int(row[name]) for name in KNOWN if row.get(name)}


def compared(instances: list[Instance], sheets: dict[tuple[str, int, int], int], *, turn: bool) -> list[Row]:
    """Return, for each known column that these instances have, our sheets beside it over the jobs that both know.

    `sheets` has what was needed by kind, n and number. A row has the column's name, the jobs, our sum, its sum, and how
    many jobs need more and how many need fewer.
    """
    fixed_only = {"yardstick_fixed", "lower_bound_fixed_one_size"}
    names = [name for name in KNOWN if (name in fixed_only) != turn]
    rows: list[Row] = []
    for name in names:
        pairs = [
            (sheets[key], one.known[name])
            for one in instances
            if name in one.known and (key := (one.kind, one.n, one.number)) in sheets
        ]
        if pairs:
            ours, theirs = map(sum, zip(*pairs, strict=True))
            more, fewer = sum(a > b for a, b in pairs), sum(a < b for a, b in pairs)
            rows.append(
                {"figure": name, "jobs": len(pairs), "ours": ours, "theirs": theirs, "more": more, "fewer": fewer}
            )
    return rows

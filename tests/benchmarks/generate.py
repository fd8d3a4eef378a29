"""Jobs of any size for measuring, the same for the same kind, number of pieces and seed.

``class1`` to ``class6`` are the recipes of Berkey & Wang 1987 (J. Oper. Res. Soc. 38), ``class7`` to ``class10`` those
of Martello & Vigo 1998 (Manage. Sci. 44): plain blanks on one size of sheet. ``flat``, ``shop`` and ``wall`` are our
own: plain blanks in inches, repeated standard mats, and framed pieces of odd sizes with all that a job can have.
"""

import csv
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from random import Random

Row = dict[str, object]

KINDS = (*(f"class{number}" for number in range(1, 11)), "flat", "shop", "wall")
COLOURS = ("fog", "sage", "ivory", "rust", "ink", "oat")

# Berkey & Wang 1987: class -> (longest side of a piece, side of the sheet)
UNIFORM = {1: (10, 10), 2: (10, 30), 3: (35, 40), 4: (35, 100), 5: (100, 100), 6: (100, 300)}
# Martello & Vigo 1998: on sheets of 100 x 100, the ranges of width and height of wide, tall, large and small pieces;
# a class takes seven in ten of its pieces from its own range and one in ten from each of the others
MIXED_SHEET = 100
MIXED = (((67, 100), (1, 50)), ((1, 50), (67, 100)), ((50, 100), (50, 100)), ((1, 50), (1, 50)))

STANDARD = {
    (5, 7): (4, 6),
    (8, 10): (5, 7),
    (11, 14): (8, 10),
    (12, 12): (8, 8),
    (12, 16): (9, 12),
    (16, 20): (11, 14),
    (18, 24): (12, 18),
    (20, 24): (16, 20),
}
PLAIN = ("5 7", "8 10", "21/2 14", "11 14", "12 12", "16 20", "18 24", "9 12", "17/2 11", "13 17")


@dataclass(frozen=True, slots=True)
class Tables:
    """The rows of a job's tables, cells as they are written."""

    pieces: list[Row]
    offers: list[Row]
    shops: list[Row] = field(default_factory=list)
    shelf: list[Row] = field(default_factory=list)
    boards: list[Row] = field(default_factory=list)
    bench: list[Row] = field(default_factory=list)

    def items(self) -> Iterator[tuple[str, list[Row]]]:
        for name in self.__slots__:
            yield name, getattr(self, name)


@dataclass(frozen=True, slots=True)
class Rectangles:
    """Plain blanks for one size of sheet, in whole units; each size with its number, in the order first met."""

    sheet: tuple[int, int]
    counts: dict[tuple[int, int], int]
    price: int


def make_tables(kind: str, n: int, seed: int, *, turn: bool = True) -> Tables:
    """Return the job of this kind with `n` pieces; without `turn`, every board has a direction."""
    rng = Random(f"{kind}/{n}/{seed}")  # noqa: S311
    if kind.startswith("class"):
        tables = _by_recipe(int(kind.removeprefix("class")), n, rng)
    else:
        tables = {"flat": _flat, "shop": _shop, "wall": _wall}[kind](n, rng)
    if not turn:
        named = {part for row in tables.pieces for part in _boards(row)}
        tables.boards.extend({"board": name, "turn": "no"} for name in COLOURS if name in named)
    return tables


def plain_tables(
    items: Iterable[tuple[int, int, int]], sheets: Iterable[tuple[int, int, object]], *, turn: bool
) -> Tables:
    """Return plain blanks (width, height, copies) and sheets (width, height, price) of one board, in whole mm."""
    pieces: list[Row] = [
        {"piece": f"item {number}", "quantity": copies, "inside width": width, "inside height": height, "boards": "fog"}
        for number, (width, height, copies) in enumerate(items, 1)
    ]
    return Tables(
        pieces=pieces,
        offers=[_offer("mill", *sheet, board="fog") for sheet in sheets],
        boards=[] if turn else [{"board": "fog", "turn": "no"}],
        bench=_bench({"unit": "mm", "allowance": 0, "ruler": 1, "keep at least": "1 x 1"}),
    )


def write_job(tables: Tables, folder: Path) -> None:
    """Write a folder of CSV files, one for each table that has rows."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in tables.items():
        if rows:
            with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
                writer = csv.DictWriter(file, dict.fromkeys(key for row in rows for key in row), restval="")
                writer.writeheader()
                writer.writerows(rows)


def as_rectangles(tables: Tables) -> Rectangles | None:
    """Return the job as rectangles of whole numbers on one size of sheet; None where it is more than that."""
    if len(tables.offers) != 1 or any("picture width" in row for row in tables.pieces):
        return None
    [offer] = tables.offers
    sides = [(_value(row["inside width"]), _value(row["inside height"])) for row in tables.pieces]
    grid = max(side.denominator for pair in sides for side in pair)
    counts: dict[tuple[int, int], int] = {}
    for (width, height), row in zip(sides, tables.pieces, strict=True):
        size = (int(width * grid), int(height * grid))
        counts[size] = counts.get(size, 0) + int(str(row.get("quantity", 1)))
    sheet = (int(str(offer["sheet width"])) * grid, int(str(offer["sheet height"])) * grid)
    return Rectangles(sheet, counts, int(str(offer["price"])) * 100)


def _boards(row: Row) -> Iterator[str]:
    for column in ("boards", "under boards"):
        yield from str(row.get(column, "")).split(" or ")


def _by_recipe(number: int, n: int, rng: Random) -> Tables:
    side = UNIFORM[number][1] if number in UNIFORM else MIXED_SHEET
    draw: Callable[[int, Random], tuple[int, int]] = _uniform if number in UNIFORM else _mixed
    return plain_tables([(*draw(number, rng), 1) for _ in range(n)], [(side, side, 1)], turn=True)


def _uniform(number: int, rng: Random) -> tuple[int, int]:
    longest = UNIFORM[number][0]
    return rng.randint(1, longest), rng.randint(1, longest)


def _mixed(number: int, rng: Random) -> tuple[int, int]:
    own = number - 7
    chosen = own if rng.random() < 0.7 else rng.choice([other for other in range(4) if other != own])
    # a size of every sort is drawn, so that as many numbers are taken whichever is used
    return [(rng.randint(*widths), rng.randint(*heights)) for widths, heights in MIXED][chosen]


def _flat(n: int, rng: Random) -> Tables:
    pieces: list[Row] = []
    left = n
    while left:
        width, height = map(Fraction, rng.choice(PLAIN).split())
        count = min(left, rng.choice((1, 1, 1, 2, 3)))
        left -= count
        pieces.append(
            {
                "piece": f"blank {len(pieces) + 1}",
                "quantity": count,
                "inside width": _inches(width + _eighths(rng, -4, 4)),
                "inside height": _inches(height + _eighths(rng, -4, 4)),
                "boards": "fog",
            }
        )
    return Tables(pieces, [_offer("mill", 32, 40, 10, board="fog")], bench=_bench({"allowance": 0}))


def _shop(n: int, rng: Random) -> Tables:
    pieces: list[Row] = []
    left = n
    while left:
        count = min(left, rng.choice((1, 1, 2, 2, 4, 6, 10)))
        left -= count
        inside = rng.choice(tuple(STANDARD))
        row = {"piece": f"order {len(pieces) + 1}", "quantity": count} | _sized(inside, STANDARD[inside])
        row["boards"] = rng.choice(COLOURS)
        if rng.random() < 0.2:
            row["under boards"] = rng.choice(COLOURS)
        pieces.append(row)
    offers = [
        _offer("mill", 32, 40, "6.20"),
        _offer("mill", 32, 40, "5.10") | {"pack of": 10},
        _offer("mill", 40, 60, "13.40"),
        _offer("near by", 32, 40, "9.50") | {"discount": "60", "at most": 1},
    ]
    shops: list[Row] = [{"shop": "mill", "delivery": 15, "free over": 120}]
    return Tables(pieces, offers, shops, bench=_bench({"trim": "1/8"}))


def _wall(n: int, rng: Random) -> Tables:
    colours = COLOURS[: n // 8 + 1]
    pieces = [_framed(number, colours, rng) for number in range(1, n + 1)]
    offers = [
        _offer("depot", 32, 40, "8.99") | {"discount": "50%"},
        _offer("studio", 32, 40, "7.49") | {"discount": "10%"},
        _offer("studio", 40, 60, "19.50") | {"discount": "10%"},
        _offer("studio", 16, 20, "2.60") | {"discount": "10%", "at most": 4},
    ]
    shops: list[Row] = [{"shop": "studio", "delivery": 6, "free over": 40}, {"shop": "depot", "tax": 6}]
    shelf = [_leftover(number, colours, rng) for number in range(1, rng.randint(0, 5) + 1)]
    return Tables(pieces, offers, shops, shelf, bench=_bench({"trim": "1/8", "longest cut": 40}))


def _framed(number: int, colours: tuple[str, ...], rng: Random) -> Row:
    inside = [side + _eighths(rng, -8, 12) for side in map(Fraction, rng.choice(tuple(STANDARD)[:-1]))]
    if rng.random() < 0.4:
        inside.reverse()
    share = rng.choice((Fraction(1, 2), Fraction(3, 5), Fraction(2, 3)))
    picture = [Fraction(int(side * share * 4), 4) for side in inside]
    row: Row = {"piece": f"piece {number}"} | _sized(map(_inches, inside), map(_inches, picture))
    liked, other = rng.choice(colours), rng.choice(colours)
    row["boards"] = f"{liked} or {other}" if liked != other and rng.random() < 0.25 else liked
    if rng.random() < 0.15:
        row["under boards"] = rng.choice(colours)
    if rng.random() < 0.2:
        row["bottom extra"] = "1/2"
    return row | {"frame cost": rng.randint(2, 12), "quote": rng.randint(12, 30)}


def _leftover(number: int, colours: tuple[str, ...], rng: Random) -> Row:
    return {
        "label": f"leftover {number}",
        "board": rng.choice(colours),
        "width": _inches(_eighths(rng, 40, 200)),
        "height": _inches(_eighths(rng, 60, 256)),
        "kind": "offcut",
    }


def _sized(inside: object, picture: object) -> Row:
    columns = ("inside width", "inside height", "picture width", "picture height")
    return dict(zip(columns, (*inside, *picture), strict=True))


def _offer(shop: str, width: int, height: int, price: object, *, board: str = "any") -> Row:
    return {"shop": shop, "board": board, "sheet width": width, "sheet height": height, "price": price}


def _bench(values: Row) -> list[Row]:
    return [{"name": name, "value": value} for name, value in values.items()]


def _eighths(rng: Random, least: int, most: int) -> Fraction:
    return Fraction(rng.randint(least, most), 8)


def _inches(length: Fraction) -> str:
    whole, rest = divmod(length, 1)
    return " ".join(str(part) for part in (whole, rest) if part)


def _value(cell: object) -> Fraction:
    return sum(map(Fraction, str(cell).split()), Fraction(0))

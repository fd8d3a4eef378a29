"""Random small jobs whose boards, shops, pieces and labels have names that collide or break texts."""

import random
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from tests.fuzz.jobs import Rows, Tables
from tests.fuzz.switches import draw_switches, switched_job

__all__ = ["LABELS", "CollidingJob", "colliding_job", "plain", "spelt"]

_LONG = "a name that goes on and on " * 6 + "to its end"
_BOARDS = (
    "sage",
    "Caf\u00e9",
    "Cafe\u0301",
    "deep  sage",
    "Deep Sage",
    "rust: red",
    "ink=blue",
    "ink, blue",
    '"fog"',
    "=1+1",
    "left 1",
    "R1",
    "S1",
    "spare 1",
    _LONG,
)
_SHOPS = ("barn", "The  Barn", "mill: old", "quay=west", "one, two", "=1+1", "left 1", "Caf\u00e9", "Cafe\u0301", _LONG)
_PIECES = (
    "further blanks",
    "M1",
    "S1",
    "R1",
    "left 1",
    "bought 1",
    "=1+1",
    "Caf\u00e9",
    "M1 again for M1",
    "fern (M1)",
    'the "tall" one',
    "a, b or c",
    "-1",
    _LONG,
)
LABELS = (
    "left 1",
    "left 2",
    "bought 1",
    "spare 1",
    "R1",
    "r2",
    "S1",
    "M1",
    "further blanks",
    "=1+1",
    "half of R1",
    "S1 left, plan 0123ab",
    "uncut sage of offer 1",
    "Caf\u00e9",
    "Cafe\u0301",
    _LONG,
)
"""What pieces on a shelf are called."""
_MATS, _BACKING, _ENDLESS = ("fog", "sage", "ivory", "rust"), "kraft", "mill"
_WAYS: tuple[Callable[[str], str], ...] = (
    str.upper,
    str.lower,
    lambda name: name.replace(" ", "  "),
    lambda name: unicodedata.normalize("NFC", name),
    lambda name: unicodedata.normalize("NFD", name),
)


@dataclass(frozen=True, slots=True)
class CollidingJob:
    """A job and what its boards and shops are called; `is_endless` if it has a plan while nothing limits it."""

    tables: Tables
    boards: tuple[str, ...]
    shops: tuple[str, ...]
    is_endless: bool


def plain(name: str) -> str:
    """Return what all spellings of a name have in common."""
    return " ".join(unicodedata.normalize("NFC", name).casefold().split())


def spelt(rng: random.Random, name: str) -> str:
    """Return a name as it is or, now and then, in another spelling that is the same name."""
    return rng.choice(_WAYS)(name) if rng.random() < 0.15 else name


def colliding_job(rng: random.Random) -> CollidingJob:
    """Return a job of one to six pieces, in half of all cases without some of the offers that always do."""
    tables = switched_job(rng, draw_switches(rng))
    boards = dict(zip((*_MATS, _BACKING), rng.sample(_BOARDS, len(_MATS) + 1), strict=True))
    if rng.random() < 0.5:  # so that fallouts fit, and alternatives are few
        boards |= {"rust": boards["ivory"], "fog": boards["sage"]}
    shops = dict(zip(("barn", "quay", _ENDLESS), rng.sample(_SHOPS, 3), strict=True))
    is_endless = rng.random() < 0.5
    if not is_endless:
        tables["offers"] = _fewer(tables["offers"], rng)
    if rng.random() < 0.5:
        _nest(tables, " or ".join(rng.sample(_MATS, rng.choice((1, 1, 2)))))
    _call(tables, "pieces", rng.sample(_PIECES, len(tables["pieces"]) - 1))
    _call(tables, "shelf", rng.sample(LABELS, max(0, len(tables.get("shelf", ())) - 1)))
    _respell(tables, boards, shops, rng)
    _rank(tables, rng)
    return CollidingJob(tables, tuple(dict.fromkeys(boards.values())), tuple(shops.values()), is_endless)


def _fewer(offers: Rows, rng: random.Random) -> Rows:
    """Leave out most endless offers, and often those of any board, so that some boards are not sold."""
    headings, *rows = offers
    named = [row for row in rows if row[1] != "any" and row[0] != _ENDLESS]
    if named and rng.random() < 0.5:
        return [headings, *named]
    return [headings, *(row for row in rows if row[0] != _ENDLESS or rng.random() < 0.3)]


def _nest(tables: Tables, boards: str) -> None:
    """Add a piece whose window gives the mats of another, so that fallout is cut."""
    rows = (
        {
            "quantity": "2",
            "inside width": "16 in",
            "inside height": "20 in",
            "show width": "11 in",
            "show height": "14 in",
        },
        {
            "quantity": "3",
            "inside width": "6 in",
            "inside height": "9 in",
            "show width": "3 in",
            "show height": "5 in",
        },
    )
    headings, *before = tables["pieces"]
    added = [heading for heading in rows[0] if heading not in headings]
    tables["pieces"] = [[*headings, *added], *([*row, *("" for _ in added)] for row in before)]
    tables["pieces"] += [
        [(row | {"boards": boards}).get(heading, "") for heading in tables["pieces"][0]] for row in rows
    ]


def _call(tables: Tables, table: str, names: list[str]) -> None:
    """Give the rows of a table other names; they stand in its first column."""
    for row, name in zip(tables.get(table, [])[1:], names, strict=True):
        row[0] = name


def _respell(tables: Tables, boards: Mapping[str, str], shops: Mapping[str, str], rng: random.Random) -> None:
    known = dict.fromkeys(("board", "boards", "under boards", "backing"), boards) | {"shop": shops}
    for rows in tables.values():
        for place, heading in enumerate(rows[0]):
            for row in rows[1:] if heading in known else ():
                row[place] = _respelt(row[place], known[heading], rng)
    first = {plain(row[0]): row for row in reversed(tables.get("boards", []))}
    if first:  # two boards may be one now
        tables["boards"] = list(reversed(first.values()))


def _respelt(cell: str, known: Mapping[str, str], rng: random.Random) -> str:
    """Give each name in a cell its new one; alternatives that are one board now stand there once."""
    once = {plain(known.get(name, name)): known.get(name, name) for name in cell.split(" or ")}
    return " or ".join(spelt(rng, name) for name in once.values())


def _rank(tables: Tables, rng: random.Random) -> None:
    """Give half of all jobs priorities."""
    if rng.random() < 0.5:
        headings, *rows = tables["pieces"]
        tables["pieces"] = [[*headings, "priority"], *([*row, rng.choice(("", "1", "2"))] for row in rows)]

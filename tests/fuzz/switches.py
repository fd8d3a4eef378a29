"""Random jobs of a few pieces, in which each rule is switched on or off by itself; all of them have a plan."""

import random
from collections.abc import Collection
from enum import StrEnum
from fractions import Fraction

from tests.fuzz.jobs import Tables, as_tables

__all__ = ["Switch", "draw_switches", "options", "switched_job"]


class Switch(StrEnum):
    """A rule that a job may have or not."""

    KERF = "kerf"
    TRIM = "trim"
    SQUARING = "squaring"
    TURN_NO = "a board with a direction"
    LONGEST = "longest cut"
    PACKS = "packs"
    LIMITS = "limits"
    MINIMUMS = "minimums"
    DISCOUNTS = "discounts"
    SALE = "a sale on the command line"
    DELIVERY = "delivery"
    FREE_OVER = "free delivery"
    TAX = "tax"
    SHELF = "shelf"
    NO_FALLOUT = "no fallout"
    UNDER_MATS = "under-mats"
    BACKINGS = "backings"
    WINDOWS = "several windows"
    ALTERNATIVES = "alternatives"
    COPIES = "copies"
    BOTTOM = "bottom extra"
    ROOM = "room for sheets"
    METRIC = "metric"
    LATER = "later pieces"


_MATS = ("fog", "sage", "ivory", "rust")
_ENDLESS = (24, 32)
_SHEETS = (_ENDLESS, (19, 23), (29, 37), (13, 17))


def draw_switches(rng: random.Random) -> frozenset[Switch]:
    """Return which rules are on, each in half of all jobs."""
    return frozenset(switch for switch in Switch if rng.random() < 0.5)


def options(on: Collection[Switch]) -> list[str]:
    """Return the part of the command line that belongs to a job."""
    said = ["--later"] if Switch.LATER in on else []
    return said + (["--discount", "barn=35"] if Switch.SALE in on else [])


def switched_job(rng: random.Random, on: Collection[Switch]) -> Tables:
    """Return the tables of a job of one to six rows that obeys the rules switched on and knows nothing of the others.

    Two of its offers sell every board without a limit in a sheet that takes any blank and can be cut whatever else.
    """
    tables: dict[str, list[dict[str, object]]] = {
        "pieces": [_piece(rng, number, on) for number in range(1, rng.randint(1, 6) + 1)],
        "offers": _offers(rng, on),
        "shops": _shops(rng, on),
        "shelf": [_held(rng, number, on) for number in range(1, rng.randint(1, 4) + 1)] if Switch.SHELF in on else [],
        "boards": [{"board": name, "turn": rng.choice(("yes", "no"))} for name in _MATS[:3]]
        if Switch.TURN_NO in on
        else [],
        "bench": [{"name": name, "value": value} for name, value in _bench(rng, on).items()],
    }
    return as_tables(tables)


def _written(inches: object, on: Collection[Switch]) -> str:
    """Write a length in the job's unit; in millimetres to the half, none of them square with inches."""
    if Switch.METRIC not in on:
        whole, rest = divmod(Fraction(inches), 1)  # type: ignore[arg-type]
        return " ".join(str(part) for part in (whole, rest) if part) or "0"
    halves = round(Fraction(inches) * Fraction(254, 5))  # type: ignore[arg-type]
    return f"{halves // 2}{'.5' if halves % 2 else ''}"


def _eighths(rng: random.Random, least: int, most: int) -> Fraction:
    return Fraction(rng.randint(8 * least, 8 * most), 8)


def _boards(rng: random.Random, on: Collection[Switch]) -> str:
    return " or ".join(rng.sample(_MATS, rng.choice((1, 2, 3)) if Switch.ALTERNATIVES in on else 1))


def _piece(rng: random.Random, number: int, on: Collection[Switch]) -> dict[str, object]:
    inside = (_eighths(rng, 5, 13), _eighths(rng, 7, 17))
    row: dict[str, object] = {
        "piece": f"piece {number}",
        "quantity": rng.choice((1, 2, 3)) if Switch.COPIES in on else "",
        "inside width": _written(inside[0], on),
        "inside height": _written(inside[1], on),
        "boards": _boards(rng, on),
        "backing": "kraft" if Switch.BACKINGS in on and rng.random() < 0.5 else "",
        # the first is planned in any case, so that there is something to plan
        "when": "later" if Switch.LATER in on and number > 1 and rng.random() < 0.5 else "",
        "frame cost": rng.choice(("", "7.35")),
        "quote": rng.choice(("", "23")),
    }
    return row | (_windows(rng, inside, on) if rng.random() < 0.8 else {})


def _windows(rng: random.Random, inside: tuple[Fraction, ...], on: Collection[Switch]) -> dict[str, object]:
    """Describe pictures that leave borders wide enough for an under-mat and a bottom extra."""
    across, down = rng.choice(((1, 1), (2, 1), (1, 2), (2, 2))) if Switch.WINDOWS in on else (1, 1)
    share = rng.choice((Fraction(3, 8), Fraction(1, 2)))
    sides = [max(Fraction(1), Fraction(int(8 * (s - 1) * share / n), 8)) for s, n in zip(inside, (across, down))]  # noqa: B905
    which = rng.choice(("picture", "show"))
    row: dict[str, object] = {f"{which} width": _written(sides[0], on), f"{which} height": _written(sides[1], on)}
    if Switch.WINDOWS in on:
        row |= {"across": across, "down": down, "gap": _written(Fraction(3, 4), on)}
    if Switch.UNDER_MATS in on and rng.random() < 0.5:
        inset = rng.choice((Fraction(0), Fraction(1, 4)))
        row |= {"under boards": _boards(rng, on), "reveal": _written("3/16", on), "under inset": _written(inset, on)}
    if Switch.BOTTOM in on:
        row["bottom extra"] = _written(rng.choice(("1/4", "3/8")), on)
    return row


def _offers(rng: random.Random, on: Collection[Switch]) -> list[dict[str, object]]:
    """Return one to three offers drawn by chance and two that always do."""
    drawn = [_offer(rng, on, shop) for shop in ("barn", "quay", "barn")[: rng.randint(1, 3)]]
    endless = [_sold("mill", "any", _ENDLESS, rng.randint(700, 1300), on)]
    return drawn + endless + [_sold("mill", "kraft", _ENDLESS, rng.randint(200, 500), on)]


def _offer(rng: random.Random, on: Collection[Switch], shop: str) -> dict[str, object]:
    sheet = rng.choice(_SHEETS)
    row = _sold(shop, rng.choice(("any", *_MATS, "kraft")), sheet, 0, on)
    row["price"] = _money(sheet[0] * sheet[1] * rng.randint(60, 140) // 100)
    limit, pack = rng.randint(4, 6), rng.choice((2, 3))
    ways = {Switch.LIMITS: ("at most", limit), Switch.MINIMUMS: ("at least", rng.choice((2, 3)))}
    ways |= {
        Switch.PACKS: ("pack of", pack),
        Switch.DISCOUNTS: ("discount", rng.choice(("50%", "33.3", "100", "12.5"))),
    }
    row |= {heading: value for switch, (heading, value) in ways.items() if switch in on and rng.random() < 0.6}
    if row.get("discount") == "100":
        row["at most"] = limit
    return row


def _sold(shop: str, board: str, sheet: tuple[int, int], cents: int, on: Collection[Switch]) -> dict[str, object]:
    width, height = (_written(side, on) for side in sheet)
    return {"shop": shop, "board": board, "sheet width": width, "sheet height": height, "price": _money(cents)}


def _money(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02}"


def _shops(rng: random.Random, on: Collection[Switch]) -> list[dict[str, object]]:
    return [
        {
            "shop": name,
            "delivery": rng.choice(("", "3.70", "11")) if Switch.DELIVERY in on else "",
            "free over": rng.choice(("", 13, 29)) if Switch.FREE_OVER in on else "",
            "tax": rng.choice(("", "8.25", 17)) if Switch.TAX in on else "",
        }
        for name in ("barn", "quay", "mill")
        if {Switch.DELIVERY, Switch.FREE_OVER, Switch.TAX} & set(on)
    ]


def _held(rng: random.Random, number: int, on: Collection[Switch]) -> dict[str, object]:
    return {
        "label": f"left {number}",
        "board": rng.choice((*_MATS, "kraft")),
        "width": _written(_eighths(rng, 4, 14), on),
        "height": _written(_eighths(rng, 6, 21), on),
        "quantity": rng.choice(("", 2)),
        "kind": rng.choice(("", "sheet", "offcut", "fallout")),
    }


def _bench(rng: random.Random, on: Collection[Switch]) -> dict[str, object]:
    metric = Switch.METRIC in on
    named: dict[str, object] = {"unit": "mm" if metric else "in"}
    for switch, lengths in (
        (Switch.KERF, ("1/8", "1/16")),
        (Switch.TRIM, ("1/4", "3/16")),
        (Switch.SQUARING, ("0", "3/8")),
        (Switch.LONGEST, ("24", "25")),
    ):
        if switch in on:
            named[switch.value] = _written(rng.choice(lengths), on)
    if Switch.NO_FALLOUT in on:
        named["use fallout"] = "no"
    if Switch.ROOM in on:
        named["room for sheets"] = rng.choice((0, 1, 2))
    return named

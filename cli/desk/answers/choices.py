"""What is chosen for the plans of a wall."""

from collections.abc import Callable, Mapping
from typing import Any

from cli.desk.answers.asked import LONGEST, LONGEST_CELL, Asked, AskedWrongError, text_of
from cli.desk.desk import Desk
from cli.desk.pins import with_pin
from cli.desk.shown import net_prices
from cli.desk.walls import Wall
from nesting.errors import MoneyError
from nesting.money import parse_money, parse_percent

__all__ = ["OF_CHOICES"]

_DIGITS = 5


def _options(desk: Desk, wall: Wall, asked: Asked) -> Any:
    for name, what in asked.items():
        desk.tables(wall).choose(name, _chosen(name, what))
    desk.price(wall)
    return {"options": desk.options(wall), "net": net_prices(desk, wall)}


def _chosen(name: str, what: object) -> str:
    """Return what is chosen as its table has it."""
    match name, what:
        case "later" | "fallout" | "liked best" | "shelf" | "shelf table", bool(yes):
            return "yes" if yes else "no"
        case "discount" | "budget" | "sheets", None | "":
            return ""
        case "discount", str(text) if len(text) <= LONGEST:
            shop, equals, percent = text.rpartition("=")
            return f"{shop}{equals}{_sound(percent, parse_percent)}"
        case "budget", str(text) if len(text) <= LONGEST:
            return _sound(text, parse_money)
        case "sheets", str(text) if text.isascii() and text.isdigit() and len(text) < _DIGITS:
            return text
        case _:
            raise AskedWrongError("Write a whole number." if name == "sheets" else "There is no such option.")


def _sound(text: str, parse: Callable[[str], object]) -> str:
    try:
        parse(text)
    except MoneyError as error:
        raise AskedWrongError(f"{text!r} {error}") from error
    return text.strip()


def _pin(desk: Desk, wall: Wall, asked: Asked) -> Any:
    """Pin a piece to a board, or take its pin off."""
    board = None if asked.get("board") is None else text_of(asked, "board", LONGEST_CELL)
    pins = with_pin(desk.look(wall).job, text_of(asked, "piece", LONGEST_CELL), board)
    desk.tables(wall).choose("pin", *pins)
    desk.price(wall)
    return {}


def _pins(desk: Desk, wall: Wall, _asked: Asked) -> Any:
    desk.pins(wall)
    return {}


OF_CHOICES: Mapping[str, Callable[[Desk, Wall, Asked], Any]] = {"options": _options, "pin": _pin, "pins": _pins}
"""What is done for each of these names."""

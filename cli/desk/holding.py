"""The place Shelf: what is held, and its changes by hand."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from cli.desk.bookings import now
from nesting.drawing.held import draw_shelf
from nesting.drawing.svg import svg_text
from nesting.errors import LengthError, ShelfError, WindowfallError
from nesting.geometry import Size
from nesting.lengths import parse_length, round_down
from nesting.model.job import ShelfKind, Unit
from nesting.shelf.ageing import piles, throw_first
from nesting.shelf.by_hand import added, corrected, taken
from nesting.shelf.held import Draft, HeldPiece, Shelf
from nesting.shelf.history import History
from nesting.shelf.reserving import reserved_by
from nesting.shelf.store import Edited, change_shelf, history_of, load_shelf, shelf_path, undo_change
from nesting.shelf.text import size_text
from nesting.spelling import fold

__all__ = ["HELD_CHANGES", "HeldWrongError", "held_view"]

_MOST = 9_999
_TIMES = "\N{MULTIPLICATION SIGN}"
_OFTEN_OLD = 5

Asked = Mapping[str, Any]


class HeldWrongError(WindowfallError):
    """Something that was typed about a piece of the shelf and cannot be."""


def held_view(width: str = "", height: str = "", unit: Unit | None = None) -> Mapping[str, Any]:
    """Return what the page shows of the shelf, and which pieces hold a blank of a size where one is asked for.

    Sizes are said in `unit`, and plain numbers read in it; in the shelf's own where none is given.
    """
    try:
        shelf = load_shelf(shelf_path(), unit or Unit.IN)
        reserved = reserved_by(shelf, history_of(shelf_path()))
    except ShelfError as error:
        return {"piles": (), "drawing": "", "fault": str(error), "path": shelf_path()}
    shown_in = unit or shelf.unit
    wanted, said = _wanted(shown_in, width, height)
    return {
        "unit": shown_in.value,
        "piles": [
            {"board": pile.board, "pieces": [_piece(shown_in, piece, reserved, wanted) for piece in pile.pieces]}
            for pile in piles(shelf)
        ],
        "drawing": svg_text(draw_shelf(replace(shelf, unit=shown_in))) if shelf.pieces else "",
        "old": [piece.label for piece in throw_first(shelf, now().date())[:_OFTEN_OLD]],
        "fault": "",
        "said": said,
        "wanted": wanted is not None,
        "width": width,
        "height": height,
        "path": shelf_path(),
        "kinds": [kind.value for kind in ShelfKind],
    }


def _wanted(unit: Unit, width: str, height: str) -> tuple[Size | None, str]:
    if not width and not height:
        return None, ""
    try:
        return Size(_length(width, unit), _length(height, unit)), ""
    except HeldWrongError as error:
        return None, str(error)


def _piece(unit: Unit, piece: HeldPiece, reserved: Mapping[str, tuple[str, ...]], wanted: Size | None) -> Any:
    ways = (wanted, wanted.turned) if wanted else ()
    return {
        "label": piece.label,
        "board": piece.board,
        "size": size_text(piece.size, unit),
        # Each with its unit, so that one that is left alone means the same as before.
        "sides": [size_text(Size(side, side), unit).rpartition(f"{_TIMES} ")[2] for side in piece.size],
        "quantity": piece.quantity,
        "kind": piece.kind.value,
        "idle": piece.idle_days(now().date()),
        "notes": piece.notes,
        "reserved": reserved.get(fold(piece.label), ()),
        "fits": any(way.w <= piece.size.w and way.h <= piece.size.h for way in ways),
    }


def _add(asked: Asked) -> str:
    placed: list[HeldPiece] = []

    def edit(held: Shelf, history: History) -> Edited:
        unit = _unit(asked) or held.unit
        size = Size(_length(_text(asked, "width"), unit), _length(_text(asked, "height"), unit))
        name = _text(asked, "board")
        if not name:
            raise HeldWrongError("Name the board.")
        edited, placed[:] = added(held, history, Draft(name, size, _count(asked), _kind(asked), "", None), now().date())
        return edited

    _change("add", edit, _unit(asked))
    return f"Write {placed[0].label} on it."


def _take(asked: Asked) -> str:
    _change("take", lambda held, _: taken(held, [_text(asked, "label")], None, now().date()))
    return f"{_text(asked, 'label')} is taken off."


def _correct(asked: Asked) -> str:
    def edit(held: Shelf, _history: History) -> Edited:
        width, height, unit = _text(asked, "width"), _text(asked, "height"), _unit(asked) or held.unit
        return corrected(
            held,
            _text(asked, "label"),
            board=_text(asked, "board") or None,
            width=_length(width, unit) if width else None,
            height=_length(height, unit) if height else None,
            quantity=_count(asked) if _text(asked, "quantity") else None,
        )

    _change("correct", edit)
    return f"{_text(asked, 'label')} is corrected."


def _undo(_asked: Asked) -> str:
    change = undo_change(shelf_path())
    return f"Undone: {change.command} of {change.at}."


HELD_CHANGES: Mapping[str, Callable[[Asked], str]] = {"add": _add, "take": _take, "correct": _correct, "undo": _undo}
"""What can be changed on the shelf by hand; each says what was done."""


def _change(command: str, edit: Callable[[Shelf, History], Edited], unit: Unit | None = None) -> None:
    """Change the shelf; one that is made now measures in `unit`."""
    change_shelf(shelf_path(), command, edit, unit=unit or Unit.IN, now=now())


def _unit(asked: Asked) -> Unit | None:
    """Return the unit of plain numbers that is asked with; None leaves it to the shelf."""
    return Unit(_text(asked, "unit")) if _text(asked, "unit") in set(Unit) else None


def _text(asked: Asked, name: str) -> str:
    text = asked.get(name, "")
    return " ".join(text.split())[:200] if isinstance(text, str) else ""


def _length(text: str, unit: Unit) -> int:
    try:
        ticks = round_down(parse_length(text, unit), 1)
    except LengthError as error:
        raise HeldWrongError(f"{text!r} {error}") from None
    if ticks < 1:
        raise HeldWrongError(f"{text!r} must be more than 0. Write a length such as 11 1/4 or 285 mm.")
    return ticks


def _count(asked: Asked) -> int:
    text = _text(asked, "quantity") or "1"
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= _MOST):
        raise HeldWrongError(f"{text!r} is not a whole number from 1 to {_MOST}.")
    return int(text)


def _kind(asked: Asked) -> ShelfKind:
    return ShelfKind(_text(asked, "kind")) if _text(asked, "kind") in set(ShelfKind) else ShelfKind.OFFCUT

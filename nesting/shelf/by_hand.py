"""Changes of the shelf by hand: a piece put on, taken off, corrected."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from nesting.geometry import Size
from nesting.model.job import ShelfKind
from nesting.shelf.held import Draft, HeldPiece, Move, Shelf, put_on, take_off
from nesting.shelf.history import History
from nesting.shelf.store import Edited

__all__ = ["added", "corrected", "taken"]


def added(held: Shelf, history: History, draft: Draft, today: date) -> tuple[Edited, tuple[HeldPiece, ...]]:
    """Return the change that puts a piece on the shelf, and the piece with its label.

    Raises
    ------
    ShelfChangeError
        If its label was used before.
    """
    after, new = put_on(held, [draft], today, history.labels)
    return Edited(after, tuple(Move(one.label, one.board, one.size, one.quantity) for one in new)), new


def taken(held: Shelf, labels: Sequence[str], count: int | None, today: date) -> Edited:
    """Return the change that takes pieces off the shelf: `count` of each label, or all where that is None.

    Raises
    ------
    ShelfChangeError
        If there is no such label, or there are fewer pieces under it.
    """
    moves: list[Move] = []
    for label in labels:
        held, move = take_off(held, label, count, today)
        moves.append(move)
    return Edited(held, tuple(moves))


def corrected(
    held: Shelf,
    label: str,
    *,
    board: str | None = None,
    width: int | None = None,
    height: int | None = None,
    quantity: int | None = None,
    kind: ShelfKind | None = None,
    notes: str | None = None,
) -> Edited:
    """Return the change that corrects what the shelf says of a piece; lengths in ticks, None leaves what it says.

    Raises
    ------
    ShelfChangeError
        If there is no such label.
    """
    piece = held.labelled(label)
    mended = replace(
        piece,
        board=board or piece.board,
        size=Size(piece.size.w if width is None else width, piece.size.h if height is None else height),
        quantity=quantity or piece.quantity,
        kind=kind or piece.kind,
        notes=piece.notes if notes is None else notes,
    )
    return Edited(replace(held, pieces=tuple(mended if one is piece else one for one in held.pieces)), ())

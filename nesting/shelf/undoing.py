"""Undoing an earlier change while later changes stay."""

from collections.abc import Callable, Collection
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path

from nesting.shelf.held import HeldPiece, Move, Shelf, ShelfChangeError
from nesting.shelf.history import AGAIN, Change, History, Reservation
from nesting.shelf.reserving import reserved_by
from nesting.shelf.store import Edited, change_shelf, history_of, load_with_history, shelf_before, undo_change
from nesting.spelling import fold

__all__ = ["put_back", "take_back", "undo_booking"]

Before = Callable[[Change], Shelf]
"""Returns the shelf as it was before a change."""


def undo_booking(path: Path, plans: Collection[str], now: datetime) -> Change:
    """Undo the last booking of a plan: byte for byte if nothing was changed since, otherwise only what it moved.

    Parameters
    ----------
    path : Path
        The shelf file.
    plans : collection of str
        The identities of the plan.
    now : datetime
        The time, with its zone.

    Returns
    -------
    Change
        The booking.

    Raises
    ------
    ShelfError
        If there is none, or it cannot be undone. Nothing is changed then.
    """
    shelf, history = load_with_history(path)
    last = history.last_together(shelf.change)
    if last and last[0].plan in plans:
        return undo_change(path, last=shelf.change)
    edited = change_shelf(
        path, "undo", lambda held, log: take_back(plans, held, log, partial(shelf_before, path)), now=now
    )
    return history_of(path).changes[edited.undoes or 0]


def take_back(plans: Collection[str], shelf: Shelf, history: History, before: Before) -> Edited:
    """Return the change that undoes the last booking of a plan after later changes of the shelf.

    Parameters
    ----------
    plans : collection of str
        The identities of the plan.
    shelf : Shelf
        The shelf as it is.
    history : History
        Its log.
    before : callable
        Returns the shelf as it was before a change.

    Returns
    -------
    Edited
        What the booking put there is gone, what it took is there as it was, and what was reserved for cutting its
        spoiled mats again is free.

    Raises
    ------
    ShelfChangeError
        If the plan is not booked, or something that its booking put there was used, corrected or reserved since.
    """
    changes = history.in_force(shelf.change)
    booking = next((one for one in reversed(changes) if one.plan in plans), None)
    if booking is None:
        raise ShelfChangeError("this plan is not booked, so there is nothing to undo")
    later = [one for one in changes if one.number > booking.number]
    reserved = [one.reserved for one in later if one.reserved is not None]
    mending = [one.plan for one in reserved if _mends(one, booking)]
    _refuse_mended(later, mending)
    free = replace(history, changes={**history.changes, **_dropping(shelf, history, mending)})
    kept = reserved_by(replace(shelf, change=max(free.changes)), free)
    found = {fold(piece.label): piece for piece in shelf.pieces}
    for move in booking.moves:
        if move.label is not None and move.count > 0:
            _refuse_used(move, found.pop(fold(move.label), None), later, kept)
    was = before(booking)
    for move in booking.moves:
        if move.label is not None and move.count < 0:
            label = fold(move.label)
            found[label] = _returned(found.get(label), was.labelled(move.label), -move.count)
    moves = tuple(replace(move, count=-move.count) for move in booking.moves)
    return Edited(replace(shelf, pieces=tuple(found.values())), moves, dropped=tuple(mending), undoes=booking.number)


def _mends(kept: Reservation, booking: Change) -> bool:
    """Whether a plan cuts mats again that a booking says are spoiled, or lost with a spoiled one."""
    return kept.mends == booking.plan and any(
        unit.startswith(f"{mat}{AGAIN}") for mat in kept.mats for unit in booking.booked
    )


def _dropping(shelf: Shelf, history: History, plans: list[str]) -> dict[int, Change]:
    """Return a change, after the shelf's last, that drops these plans, to see what is then still reserved."""
    number = history.last + 1
    return {number: Change(number, shelf.change, "", "drop", None, "", (), dropped=tuple(plans))}


def _refuse_mended(later: list[Change], mending: Collection[str]) -> None:
    for one in later:
        if one.plan in mending:
            raise ShelfChangeError(
                f"its spoiled mats were cut again and that is booked, plan {(one.plan or '')[:6]}, {one.at[:10]}: undo "
                "that booking first"
            )


def _refuse_used(move: Move, piece: HeldPiece | None, later: list[Change], kept: dict[str, tuple[str, ...]]) -> None:
    label = move.label or ""
    if piece is None or piece.quantity < move.count:
        user = next((one for one in later for used in one.moves if used.label == label and used.count < 0), None)
        when = f": {user.command}, {user.at[:10]}" if user else ""
        raise ShelfChangeError(f"{label}, which this booking put there, has been used since{when}. Undo that first")
    if fold(piece.label) in kept:
        who = " and ".join(kept[fold(piece.label)])
        raise ShelfChangeError(f"{label}, which this booking put there, is reserved by {who}. Drop that first")
    if piece.size != move.size or fold(piece.board) != fold(move.board) or piece.quantity != move.count:
        raise ShelfChangeError(f"{label}, which this booking put there, was corrected since. Undo that first")


def _returned(there: HeldPiece | None, was: HeldPiece, count: int) -> HeldPiece:
    """Put pieces back under their label, if the pieces that are left under it are still alike."""
    if there is None:
        return replace(was, quantity=count)
    if there.size != was.size or fold(there.board) != fold(was.board):
        raise ShelfChangeError(
            f"what is left of {was.label} was corrected since and is not like what comes back. Undo that first, or put "
            "the piece on under a label of its own with windowfall shelf add"
        )
    return replace(there, quantity=there.quantity + count)


def put_back(label: str, shelf: Shelf, history: History, before: Before) -> Edited:
    """Return the change that puts back a piece that was taken off by hand, as it was and under its own label.

    Parameters
    ----------
    label : str
        Its label.
    shelf : Shelf
        The shelf as it is.
    history : History
        Its log.
    before : callable
        Returns the shelf as it was before a change.

    Returns
    -------
    Edited
        With the piece on the shelf.

    Raises
    ------
    ShelfChangeError
        If no piece of this label was taken off last of all by hand; what was cut cannot come back.
    """
    changes = reversed(history.in_force(shelf.change))
    found = ((one, move) for one in changes for move in one.moves if move.label and fold(move.label) == fold(label))
    change, move = next(found, (None, None))
    if change is None or move is None:
        raise ShelfChangeError(f"the log knows no piece labelled {label!r}")
    if move.count > 0:
        raise ShelfChangeError(f"{move.label} was not taken off since it was put there")
    if change.plan is not None:
        raise ShelfChangeError(
            f"{move.label} was not taken off by hand but cut for plan {change.plan[:6]}, booked on {change.at[:10]}. "
            "If it was not, undo that booking with windowfall done --undo"
        )
    piece = _returned(shelf.find(label), before(change).labelled(label), -move.count)
    others = tuple(one for one in shelf.pieces if fold(one.label) != fold(label))
    return Edited(replace(shelf, pieces=(*others, piece)), (replace(move, count=-move.count),))

"""From ticks to the shelf: which sheets and mats are done, and the booking of them."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from cli.desk.drafts import Taken
from nesting.errors import WindowfallError
from nesting.plan_file.read import PlanFile, read_plan_file
from nesting.shelf.booking import Booking, Cut, book
from nesting.shelf.held import Shelf
from nesting.shelf.history import History
from nesting.shelf.store import Edited, change_shelf, shelf_path
from nesting.shelf.text import size_text
from nesting.shelf.undoing import undo_booking

__all__ = ["NothingTickedError", "book_ticked", "finish_of", "now", "take_back"]


class NothingTickedError(WindowfallError):
    """Nothing is ticked that could be booked."""


def now() -> datetime:
    """Return this moment, with the zone of this machine."""
    return datetime.now(UTC).astimezone().replace(microsecond=0)


def finish_of(taken: Taken) -> Mapping[str, list[str]]:
    """Return which mats are done, sheet and all, and what is not: sheets begun, sheets and mats not ticked."""
    ticks = set(taken.ticks)
    found: dict[str, list[str]] = {"mats": [], "begun": [], "waiting": [], "left": []}
    whole: set[str] = set()
    for each in taken.view["rounds"]:
        for sheet in each["sheets"]:
            cuts = [step["key"] in ticks for step in sheet["steps"]]
            if all(cuts):
                whole |= set(sheet["ids"])
            else:
                found["begun" if any(cuts) else "waiting"] += sheet["ids"]
    for each in taken.view["rounds"]:
        for mat in each["mats"]:
            is_done = mat["key"] in ticks and mat["sheet"] in whole
            found["mats" if is_done else "left"].append(mat["id"])
    return found


def book_ticked(taken: Taken) -> Mapping[str, Any]:
    """Book what is ticked on the shelf, and say what goes on it; it may be repeated.

    Parameters
    ----------
    taken : Taken
        The plan with its ticks. A mat is booked once it and all cuts of its sheet are ticked.

    Returns
    -------
    mapping
        What is booked now, what goes on the shelf under which label, and what is to be changed by hand.

    Raises
    ------
    NothingTickedError
        If no mat is done.
    ShelfError
        If the shelf does not allow it; nothing is changed.
    """
    finish, read = finish_of(taken), read_plan_file(taken.folder / "plan.json")
    if not finish["mats"]:
        raise NothingTickedError("Nothing can be booked yet: no mat is ticked with all cuts of its sheet.")
    cut = Cut(mats=tuple(finish["mats"])) if finish["left"] or finish["begun"] or finish["waiting"] else Cut()
    made: list[Booking] = []

    def edit(held: Shelf, history: History) -> Edited:
        booking = book(read, cut, held, history, now().date())
        made.append(booking)
        return Edited(booking.shelf, booking.moves, read.identity, booking.keys, booking.time, booking.reserved)

    change_shelf(shelf_path(), "done", edit, unit=read.unit, now=now())
    return _words(made[-1], read)


def _words(booking: Booking, read: PlanFile) -> Mapping[str, Any]:
    placed = [
        {"from": origin, "label": piece.label, "board": piece.board, "size": size_text(piece.size, read.unit)}
        for origin, piece in booking.placed
    ]
    return {"booked": list(booking.units), "placed": placed, "remarks": list(booking.remarks)}


def take_back(taken: Taken) -> str:
    """Take the last booking of a plan back, and say which it was.

    Raises
    ------
    ShelfError
        If there is none, or it cannot be taken back.
    """
    read = read_plan_file(taken.folder / "plan.json")
    change = undo_booking(shelf_path(), (read.identity, read.earlier), now())
    return f"Taken back: the booking of {change.at}."

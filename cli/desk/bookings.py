"""From ticks to the shelf: which sheets and mats are done, and the booking of them."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from cli.desk.drafts import Taken
from nesting.errors import WindowfallError
from nesting.model.plan import FromFallout
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
    """Return which mats are done, sheet and all, and what is not: sheets begun, sheets not cut, mats not ticked.

    A mat of a fallout is done only once the mat that the fallout came from is, for booking the one books the other.
    """
    ticks, read = set(taken.ticks), read_plan_file(taken.folder / "plan.json")
    found: dict[str, list[str]] = {"begun": [], "waiting": []}
    cut: set[str] = set()
    for sheet in (sheet for each in taken.view["rounds"] for sheet in each["sheets"]):
        cuts = [step["key"] in ticks for step in sheet["steps"]]
        if all(cuts):
            cut |= set(sheet["ids"])
        else:
            found["begun" if any(cuts) else "waiting"] += sheet["ids"]
    done = _done(read, cut, ticks)
    found["mats"] = [placed.mat.id for placed in read.mats if placed.mat.id in done]
    found["left"] = [placed.mat.id for placed in read.mats if placed.mat.id not in done]
    return found


def _done(read: PlanFile, cut: set[str], ticks: set[str]) -> set[str]:
    """Return the mats that are ticked, whose sheet is cut, and so on back to a sheet that no window gave."""
    done: set[str] = set()
    for sheet in read.sheets:  # parents before their fallouts
        has_come = not isinstance(sheet.source, FromFallout) or sheet.source.mat in done
        if sheet.id in cut and has_come:
            done |= {
                placed.mat.id for placed in read.mats if placed.sheet == sheet.id and f"mat-{placed.mat.id}" in ticks
            }
    return done


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

"""Keeping what a plan takes of the shelf for it, from the bench until it is booked or dropped."""

from datetime import datetime
from pathlib import Path

from nesting.plan_file.read import PlanFile
from nesting.shelf.booking import booked_of
from nesting.shelf.held import Shelf, ShelfChangeError
from nesting.shelf.history import History
from nesting.shelf.reserving import Claims, reserve
from nesting.shelf.sources import finder, takes
from nesting.shelf.store import Edited, change_shelf, load_with_history

__all__ = ["gone_from_shelf", "keep_for", "let_go"]


def keep_for(plan: PlanFile, path: Path, now: datetime, *, reserved_too: bool = False) -> tuple[str, ...]:
    """Reserve the pieces of the shelf file that a plan takes, and return their labels, each once.

    Parameters
    ----------
    plan : PlanFile
        The plan; what is booked of it is not reserved.
    path : Path
        The shelf file.
    now : datetime
        This moment, with its zone.
    reserved_too : bool
        Whether pieces that are kept for other plans may be taken.

    Returns
    -------
    tuple of str
        Nothing where there is nothing new to reserve.

    Raises
    ------
    ShelfError
        If a piece is gone, is another one than was planned with, or is kept for another plan. Nothing is changed.
    """

    def edit(held: Shelf, history: History) -> Edited:
        claims = Claims(held, history, {plan.identity}, also_kept=reserved_too)
        kept = reserve(plan, claims, booked_of(plan, history, held.change))
        is_new = kept not in history.reservations(held.change)
        return Edited(held, (), reserved=kept if kept.takes and is_new else None)

    edited = change_shelf(path, "reserve", edit, unit=plan.unit, now=now)
    return tuple(dict.fromkeys(label for _, label in edited.reserved.takes)) if edited.reserved else ()


def gone_from_shelf(plan: PlanFile, path: Path) -> tuple[str, ...]:
    """Return the labels of what a plan takes of the shelf file and is not on it, or is another piece now; each once."""
    if not takes(plan):
        return ()
    held, history = load_with_history(path)
    find, gone = finder(held, history), []
    for sheet, label in takes(plan):
        try:
            is_there = find.source(held, sheet, label) is not None
        except ShelfChangeError:
            is_there = False
        if not is_there:
            gone.append(label)
    return tuple(dict.fromkeys(gone))


def let_go(plan: PlanFile, path: Path, now: datetime) -> bool:
    """Free what is reserved for a plan, and say whether anything was."""
    freed = False

    def edit(held: Shelf, history: History) -> Edited:
        nonlocal freed
        freed = any(kept.plan == plan.identity for kept in history.reservations(held.change))
        return Edited(held, (), dropped=(plan.identity,) if freed else ())

    change_shelf(path, "drop", edit, unit=plan.unit, now=now)
    return freed

"""A spoiled mat planned again, and what that plan takes of the shelf kept for it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from nesting.errors import ShelfError
from nesting.model.job import Job
from nesting.model.plan import PlacedMat, Plan
from nesting.plan import Progress, make_plan
from nesting.plan_file.read import Again, PlanFile, plan_file_of
from nesting.plan_file.write import plan_to_dict
from nesting.shelf.booking import Booking, again, booked_of
from nesting.shelf.held import Shelf
from nesting.shelf.history import History
from nesting.shelf.mending import again_of, job_again, reserve_again
from nesting.shelf.store import Edited, change_shelf, load_with_history

__all__ = ["Spoiled", "kept_for_it", "planned_again", "to_cut_again"]

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Spoiled:
    """Mats that were spoiled.

    Parameters
    ----------
    plan : PlanFile
        Their plan.
    booking : Booking
        How they were booked.
    mats : tuple of str
        Their ids.
    job : Job
        The job as it is now.
    shelf : Path
        The shelf file.
    reserved_too : bool
        Whether pieces that are kept for other plans may be cut.
    """

    plan: PlanFile
    booking: Booking
    mats: tuple[str, ...]
    job: Job
    shelf: Path
    reserved_too: bool = False


def to_cut_again(spoiled: Spoiled) -> tuple[PlacedMat, ...]:
    """Return the mats that must be cut again: the spoiled ones, and those that were to come out of their fallouts."""
    shelf, history = load_with_history(spoiled.shelf)
    return again(spoiled.plan, spoiled.mats, booked_of(spoiled.plan, history, shelf.change))


def planned_again(
    spoiled: Spoiled,
    mats: Sequence[PlacedMat],
    keep: Callable[[Plan], _T],
    *,
    seconds: float,
    progress: Callable[[Progress], None] | None = None,
) -> tuple[Plan, _T]:
    """Plan mats again, from the shelf as it now is and from what can be bought; the rest stays as planned.

    Parameters
    ----------
    spoiled : Spoiled
        What was spoiled; it is booked already.
    mats : sequence of PlacedMat
        As of `to_cut_again`.
    keep : callable
        Keeps the plan, as `kept_for_it` does; if somebody has meanwhile taken what it takes, another plan is made.
    seconds, progress
        As of `make_plan`.

    Returns
    -------
    tuple of Plan and what `keep` returned

    Raises
    ------
    CannotBeCutError
        If there is no plan.
    ShelfError
        If the shelf cannot be read or changed.
    """
    before = None
    while True:
        held, history = load_with_history(spoiled.shelf)
        job = job_again(spoiled.job, spoiled.plan, mats, held, history, reserved_too=spoiled.reserved_too)
        made = make_plan(job, seconds=seconds, progress=progress)
        try:
            return made, keep(made)
        except ShelfError:
            if job.shelf == before:  # nobody else is in the way, so planning again would find the same
                raise
            before = job.shelf


def kept_for_it(
    spoiled: Spoiled, mats: Sequence[PlacedMat], made: Plan, *, file: Path, write: Callable[[Again], _T], now: datetime
) -> _T:
    """Reserve what a plan of cutting mats again takes, then write it; what cannot be written does not stay reserved.

    Parameters
    ----------
    spoiled : Spoiled
        What was spoiled.
    mats : sequence of PlacedMat
        What is cut again.
    made : Plan
        The plan of it.
    file : Path
        Where its plan file will be.
    write : callable
        Writes it, given what it records of the plan that it mends.
    now : datetime
        This moment, for the log.

    Returns
    -------
    What `write` returned.

    Raises
    ------
    ShelfError
        If somebody has taken or reserved in the meantime what the plan takes.
    """
    mending = again_of(spoiled.plan, mats)
    plan = plan_file_of(plan_to_dict(made, mending), file)

    def reserve(held: Shelf, history: History) -> Edited:
        kept = reserve_again(spoiled.plan, mats, plan, held, history, reserved_too=spoiled.reserved_too)
        booked, last = spoiled.booking.keys, history.changes.get(held.change)
        # undone with the booking of the spoiled mats if nothing came between
        return replace(kept, joined=bool(booked) and last is not None and last.booked == booked)

    change_shelf(spoiled.shelf, "reserve", reserve, unit=spoiled.plan.unit, now=now)
    try:
        return write(mending)
    except BaseException:
        change_shelf(spoiled.shelf, "drop", lambda held, _: Edited(held, (), dropped=(plan.identity,)), now=now)
        raise

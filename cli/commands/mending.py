"""A spoiled mat planned anew, and what that plan takes of the shelf kept for it."""

import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cli.commands.shelf import now

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.model.job import Job
    from nesting.model.plan import PlacedMat, Plan
    from nesting.plan_file.read import PlanFile
    from nesting.shelf.booking import Booking
    from nesting.shelf.held import Shelf
    from nesting.shelf.history import History
    from nesting.shelf.store import Edited

__all__ = ["Spoiled", "plan_again"]


@dataclass(frozen=True, slots=True)
class Spoiled:
    """The plan whose mats were spoiled, how that was booked, the job as it is now, the shelf, and what was asked."""

    plan: "PlanFile"
    booking: "Booking"
    mats: tuple[str, ...]
    job: "Job"
    shelf: Path
    asked: dict[str, Any]


def plan_again(spoiled: Spoiled) -> None:
    """Plan what is spoiled anew, from the shelf as it now is and from what can be bought; the rest stays as planned.

    Parameters
    ----------
    spoiled : Spoiled
        What was spoiled; it is booked already.

    Raises
    ------
    CannotBeCutError
        If there is no plan.
    ShelfError
        If the shelf cannot be read or changed.
    """
    from cli.reports.screen.plan import open_console, print_plan
    from nesting.plan_file.write import used_labels
    from nesting.shelf.booking import again, booked_of
    from nesting.shelf.store import history_of, load_shelf

    booked = booked_of(spoiled.plan, history_of(spoiled.shelf), load_shelf(spoiled.shelf).change)
    mats = again(spoiled.plan, spoiled.mats, booked)
    click.echo(f"\nTo be cut again: {', '.join(placed.mat.id for placed in mats)}. The other sheets stay as planned.\n")
    made, written = _planned(spoiled, mats)
    print_plan(made, open_console(sys.stdout))
    used = ", ".join(used_labels(made))
    if written is not None:
        click.echo(written)
        if used:
            click.echo(f"\nReserved for it until it is booked or dropped: {used}.")
    elif used:
        click.echo(f"\nOf the shelf it takes {used}. Nothing is reserved: --out DIR writes the plan and reserves that.")


def _planned(spoiled: Spoiled, mats: "Sequence[PlacedMat]") -> "tuple[Plan, str | None]":
    """Plan until nobody took meanwhile what the plan takes, and keep it then if it is to be written."""
    from cli.progress import shown_progress
    from nesting.errors import ShelfError
    from nesting.plan import make_plan
    from nesting.shelf.mending import job_again
    from nesting.shelf.store import history_of, load_shelf

    before, asked = None, spoiled.asked
    while True:
        held, history = load_shelf(spoiled.shelf), history_of(spoiled.shelf)
        job = job_again(spoiled.job, spoiled.plan, mats, held, history, reserved_too=asked["reserved_too"])
        with shown_progress(job.bench.currency) as progress:
            made = make_plan(job, seconds=asked["seconds"], progress=progress)
        if asked["out"] is None:
            return made, None
        try:
            return made, _written(spoiled, mats, made)
        except ShelfError:
            if job.shelf == before:  # nobody else is in the way, so planning again would find the same
                raise
            before = job.shelf


def _written(spoiled: Spoiled, mats: "Sequence[PlacedMat]", made: "Plan") -> str:
    """Reserve what the plan takes, then write it; where it cannot be written nothing stays reserved."""
    from cli.reports.files.folder import write_report
    from nesting.plan_file.read import plan_file_of
    from nesting.plan_file.write import plan_to_dict
    from nesting.shelf.mending import again_of
    from nesting.shelf.store import Edited, change_shelf

    mending, folder = again_of(spoiled.plan, mats), spoiled.asked["out"]
    folder.mkdir(parents=True, exist_ok=True)
    plan = plan_file_of(plan_to_dict(made, mending), folder / "plan.json")
    unit = spoiled.plan.unit
    change_shelf(
        spoiled.shelf, "reserve", lambda held, log: _reserved(spoiled, mats, plan, held, log), unit=unit, now=now()
    )
    try:
        return write_report(made, folder, again=mending)
    except BaseException:
        change_shelf(spoiled.shelf, "drop", lambda held, _: Edited(held, (), dropped=(plan.identity,)), now=now())
        raise


def _reserved(
    spoiled: Spoiled, mats: "Sequence[PlacedMat]", plan: "PlanFile", held: "Shelf", history: "History"
) -> "Edited":
    """Reserve what the plan takes, to be undone with the booking of this command if nothing came between."""
    from nesting.shelf.mending import reserve_again

    too, booked = spoiled.asked["reserved_too"], spoiled.booking.keys
    kept = reserve_again(spoiled.plan, mats, plan, held, history, reserved_too=too)
    last = history.changes.get(held.change)
    return replace(kept, joined=bool(booked) and last is not None and last.booked == booked)

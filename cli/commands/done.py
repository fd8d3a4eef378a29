"""`windowfall done`: after the cutting, what was used comes off the shelf and what is left goes on."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cli.commands.mending import plan_again
from cli.commands.shelf import now, reserved_too_option, shelf_option
from cli.seconds import SECONDS

if TYPE_CHECKING:
    from nesting.model.job import Job
    from nesting.plan_file.read import PlanFile
    from nesting.shelf.booking import Booking, Cut
    from nesting.shelf.held import Shelf
    from nesting.shelf.history import History

__all__ = ["done"]


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--sheet", "sheets", multiple=True, metavar="ID", help="Only this sheet and its mats were cut; may be given again."
)
@click.option(
    "--mat",
    "mats",
    multiple=True,
    metavar="ID",
    help="Only this mat was cut, of a sheet that was divided; may be given again.",
)
@click.option(
    "--spoiled",
    multiple=True,
    metavar="ID",
    help="This mat was spoiled: keep its usable strips and plan it again, the rest of the plan as it is; may be given "
    "again.",
)
@click.option(
    "--scrap",
    is_flag=True,
    help="Keep nothing of the mats that were spoiled: their windows were not cut yet, or the board is no good.",
)
@click.option(
    "--again",
    is_flag=True,
    help="It was really cut a second time: book it though this plan, or another one of the same pieces, is booked.",
)
@click.option("--undo", is_flag=True, help="Undo the last booking of this plan, also when the shelf was changed since.")
@click.option("--job", metavar="PATH", help="Where the job is now, to plan a spoiled mat again.")
@click.option("--discount", metavar="PCT", help="Per cent off, as of plan, to plan a spoiled mat again.")
@click.option(
    "--seconds",
    type=SECONDS,
    default=10.0,
    show_default=True,
    metavar="N",
    help="Search no longer than this for a spoiled mat.",
)
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write the plan of a spoiled mat into this folder, and reserve what it takes of the shelf.",
)
@reserved_too_option
@shelf_option
def done(plan: Path, told: str | None, *, undo: bool, **asked: Any) -> None:
    """Book a PLAN that was cut, the folder of its report or its plan.json, on the shelf.

    What was used comes off, and offcuts, fallouts and spare sheets that are worth keeping go on, each with the label to
    write on it. It may be given again: what is booked already is not booked twice. Where only part was cut, what the
    rest takes of the shelf stays reserved for it.
    """
    from nesting.plan_file.read import read_plan_file
    from nesting.shelf.booking import Cut
    from nesting.shelf.recutting import Spoiled
    from nesting.shelf.store import shelf_path
    from nesting.shelf.undoing import undo_booking

    cut = Cut(asked["sheets"], asked["mats"], asked["spoiled"], scrap=asked["scrap"])
    read, path = read_plan_file(plan), shelf_path(told)
    if undo:
        change = undo_booking(path, (read.identity, read.earlier), now())
        click.echo(f"Undone: {change.command} of {change.at}.")
        return
    if asked["out"] is not None and asked["out"].resolve() == read.path.parent.resolve():
        raise click.BadParameter("the plan that was cut is there: name another folder", param_hint="--out")
    job = _job(read, asked, told) if cut.spoiled else None
    booking = _book(read, cut, path, asked)
    if job is not None:
        spoiled = Spoiled(read, booking, cut.spoiled, job, path, reserved_too=asked["reserved_too"])
        plan_again(spoiled, asked["out"], asked["seconds"])


def _job(read: "PlanFile", asked: dict[str, Any], told: str | None) -> "Job":
    """Read the job of the plan before anything is booked, so that nothing is booked in vain."""
    from cli.commands.plan import boards_held
    from nesting.data import data_path
    from nesting.offers import with_discount
    from nesting.reading.job import read_job

    place = Path(asked["job"] or read.job)
    if not place.exists() and read.job == "demo":
        place = data_path("demo")
    if not place.exists():
        raise click.BadParameter(f"the job is not at {place}: say where it is now", param_hint="--job")
    job = read_job(place, held=boards_held(told or ""))
    return job if asked["discount"] is None else with_discount(job, asked["discount"])


def _book(read: "PlanFile", cut: "Cut", path: Path, asked: dict[str, Any]) -> "Booking":
    from cli.reports.screen.plan import open_console
    from cli.reports.screen.shelf import print_booking
    from nesting.shelf.booking import book
    from nesting.shelf.store import Edited, change_shelf

    bookings: list[Booking] = []

    def edit(held: "Shelf", history: "History") -> Edited:
        told = {"once_more": asked["again"], "reserved_too": asked["reserved_too"]}
        made = book(read, cut, held, history, now().date(), **told)
        bookings.append(made)
        return Edited(made.shelf, made.moves, read.identity, made.keys, made.time, made.reserved)

    change_shelf(path, "done", edit, unit=read.unit, now=now())
    print_booking(bookings[-1], path, open_console(sys.stdout))
    return bookings[-1]

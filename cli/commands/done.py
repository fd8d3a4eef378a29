"""`windowfall done`: after the cutting, what was used comes off the shelf and what is left goes on."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cli.commands.shelf import now, shelf_option
from cli.seconds import SECONDS

if TYPE_CHECKING:
    from nesting.job import Job
    from nesting.plan_file import PlanFile
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
@click.option("--undo", is_flag=True, help="Undo the booking of this plan, if it was the last change of the shelf.")
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
    help="Write the plan of a spoiled mat into this folder.",
)
@shelf_option
def done(plan: Path, told: str | None, *, undo: bool, **asked: Any) -> None:
    """Book a PLAN that was cut, the folder of its report or its plan.json, on the shelf.

    What was used comes off, and offcuts, fallouts and spare sheets that are worth keeping go on, each with the label to
    write on it. It may be given again: what is booked already is not booked twice.
    """
    from nesting.plan_file import read_plan_file
    from nesting.shelf.booking import Cut
    from nesting.shelf.store import shelf_path, undo_change

    cut = Cut(asked["sheets"], asked["mats"], asked["spoiled"])
    read, path = read_plan_file(plan), shelf_path(told)
    if undo:
        change = undo_change(path, plan=read.identity)
        click.echo(f"Undone: {change.command} of {change.at}.")
        return
    if asked["out"] is not None and asked["out"].resolve() == read.path.parent.resolve():
        raise click.BadParameter("the plan that was cut is there: name another folder", param_hint="--out")
    job = _job(read, asked, told) if cut.spoiled else None
    _book(read, cut, path)
    if job is not None:
        _plan_again(read, cut, job, path, asked)


def _job(read: "PlanFile", asked: dict[str, Any], told: str | None) -> "Job":
    """Read the job of the plan before anything is booked, so that nothing is booked in vain."""
    from cli.commands.plan import boards_held
    from nesting.data import data_path
    from nesting.offers import with_discount
    from nesting.read import read_job

    place = Path(asked["job"] or read.job)
    if not place.exists() and read.job == "demo":
        place = data_path("demo")
    if not place.exists():
        raise click.BadParameter(f"the job is not at {place}: say where it is now", param_hint="--job")
    job = read_job(place, held=boards_held(told or ""))
    return job if asked["discount"] is None else with_discount(job, asked["discount"])


def _book(read: "PlanFile", cut: "Cut", path: Path) -> None:
    from cli.reports.held import print_booking
    from cli.reports.terminal import open_console
    from nesting.shelf.booking import book
    from nesting.shelf.store import Edited, change_shelf

    bookings: list[Booking] = []

    def edit(held: "Shelf", history: "History") -> Edited:
        bookings.append(book(read, cut, held, history, now().date()))
        return Edited(bookings[-1].shelf, bookings[-1].moves, read.identity, bookings[-1].units)

    change_shelf(path, "done", edit, unit=read.unit, now=now())
    print_booking(bookings[-1], path, open_console(sys.stdout))


def _plan_again(read: "PlanFile", cut: "Cut", job: "Job", path: Path, asked: dict[str, Any]) -> None:
    """Plan what is spoiled anew, from the shelf as it now is and from what can be bought; the rest stays as planned."""
    from cli.progress import shown_progress
    from cli.reports.folder import write_report
    from cli.reports.terminal import open_console, print_plan
    from nesting.plan import make_plan
    from nesting.shelf.booking import again
    from nesting.shelf.stock import job_again
    from nesting.shelf.store import history_of, load_shelf

    held = load_shelf(path)
    booked = history_of(path).booked(held.change, read.identity)
    mats = again(read, cut.spoiled, booked)
    click.echo(f"\nTo be cut again: {', '.join(placed.mat.id for placed in mats)}. The other sheets stay as planned.\n")
    with shown_progress(job.bench.currency) as progress:
        made = make_plan(job_again(job, read, mats, held, booked), seconds=asked["seconds"], progress=progress)
    print_plan(made, open_console(sys.stdout))
    if asked["out"] is not None:
        asked["out"].mkdir(parents=True, exist_ok=True)
        click.echo(write_report(made, asked["out"]))

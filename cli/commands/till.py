"""`windowfall till`: what to do if something is otherwise at the till, worked out beforehand."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cli.seconds import SECONDS

if TYPE_CHECKING:
    from nesting.geometry import ExactSize
    from nesting.model.job import Job, Unit

__all__ = ["till"]


@click.command()
@click.argument("job", type=click.Path(exists=True), metavar="JOB")
@click.option(
    "--discount",
    metavar="PCT",
    help="Per cent off, in place of the discount of every offer without a limit, as of plan.",
)
@click.option("--later", is_flag=True, help="Plan the pieces marked later too.")
@click.option(
    "--frame",
    "frames",
    multiple=True,
    metavar="SIZE",
    help="Count how many blanks for frames of this inside size still fit, as 8x10; may be given again.",
)
@click.option(
    "--shelf",
    is_flag=False,
    flag_value="",
    metavar="[PATH]",
    help="Cut what the shelf file holds too, and heed its log: your own, or the one at PATH.",
)
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write the page to take to the shop here (till.html, till.pdf).",
)
@click.option(
    "--seconds",
    type=SECONDS,
    default=60.0,
    show_default=True,
    metavar="N",
    help="Search no longer than this for all answers together.",
)
@click.option("--seed", type=click.IntRange(min=0), default=0, show_default=True, metavar="N", help="As for plan.")
def till(
    job: str,
    *,
    discount: str | None,
    later: bool,
    frames: tuple[str, ...],
    shelf: str | None,
    out: Path | None,
    seconds: float,
    seed: int,
) -> None:
    """Work out what may happen at the till of the JOB.

    What to buy instead if a board is sold out, how many more blanks fit in what is bought, what to leave out to need a
    sheet fewer, and what is worth stocking at these prices.
    """
    from cli.commands.plan import boards_held, make_folder
    from cli.progress import shown_progress
    from cli.reports.screen.plan import open_console
    from cli.reports.screen.till import print_till
    from nesting.model.job import When
    from nesting.offers import with_discount
    from nesting.options import Options
    from nesting.reading.job import read_job
    from nesting.scenarios.till import at_the_till

    asked = read_job(job, held=boards_held(shelf))
    make_folder(out)
    insides = _insides(asked, frames)
    if discount is not None:
        asked = with_discount(asked, discount)
    asked, used = _held(asked, shelf)
    options = Options(When.LATER if later else When.NOW)
    with shown_progress(asked.bench.currency) as progress:
        found = at_the_till(asked, options, insides, used, seconds=seconds, seed=seed, progress=progress)
    written = None
    if out is not None:
        from cli.reports.files.folder import write_till

        written = write_till(found, out)
    print_till(found, open_console(sys.stdout))
    if written is not None:
        click.echo(written)


def _insides(job: "Job", frames: tuple[str, ...]) -> "tuple[ExactSize, ...]":
    """Read the sizes asked for; where there are none, take three frames that are common where the job's unit is."""
    from nesting.model.job import Unit

    usual = ("5x7", "8x10", "11x14") if job.bench.unit is Unit.IN else ("13x18 cm", "18x24 cm", "30x40 cm")
    return tuple(_inside(text, job.bench.unit) for text in frames or usual)


def _inside(text: str, unit: "Unit") -> "ExactSize":
    """Read a size by its name, as A4, or by its width and height; a pair of numbers need be no name."""
    from nesting.errors import LengthError, UnreadableError
    from nesting.geometry import ExactSize
    from nesting.lengths import parse_size
    from nesting.reading.named_sizes import size_named

    try:
        named = size_named(text, unit)
    except UnreadableError:
        named = None
    try:
        inside = named or ExactSize(*parse_size(text, unit))
    except LengthError as error:
        raise _bad_frame(f"{text!r} {error.problem}. Write a width and a height, as 8x10 or 210 x 297 mm") from error
    if min(inside) <= 0:
        raise _bad_frame(f"{text!r} must be more than 0. Write a width and a height, as 8x10 or 210 x 297 mm")
    return inside


def _bad_frame(words: str) -> click.BadParameter:
    return click.BadParameter(words, param_hint="--frame")


def _held(job: "Job", told: str | None) -> "tuple[Job, dict[str, int]]":
    """Put what the shelf file holds beside the job's own shelf table, and say how much its log shows of each board."""
    if told is None:
        return job, {}
    from datetime import datetime

    from nesting.scenarios.stocking import yearly_use
    from nesting.shelf.reserving import free_shelf
    from nesting.shelf.stock import with_shelf
    from nesting.shelf.store import history_of, load_shelf, shelf_path

    path = shelf_path(told)
    held = load_shelf(path)
    today = datetime.now().astimezone().date()
    history = history_of(path)
    changes = history.in_force(held.change)
    return with_shelf(job, free_shelf(held, history)), yearly_use(changes, (board.name for board in job.boards), today)

"""`windowfall check`: reads a job, says all that is wrong or unusual, and shows every mat's sizes."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from nesting.model.job import Job
    from nesting.model.mat import Mat

__all__ = ["check"]


@click.command()
@click.argument("job", type=click.Path(exists=True))
@click.option("--drawings", is_flag=True, help="Draw each mat in letters too, as seen from the front.")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Write a page for a browser with a drawing of each mat, FILE.html.",
)
@click.option(
    "--shelf",
    is_flag=False,
    flag_value="",
    metavar="[PATH]",
    help="Look at what the shelf file holds too, as plan --shelf does: your own, or the one at PATH.",
)
def check(job: str, out: Path | None, shelf: str | None, *, drawings: bool) -> None:
    """Read the JOB, say everything that is wrong with it, and show every mat's sizes.

    Then every price after its discount, what looks unusual though it is allowed, and what to write where to change it.
    Later pieces are shown too. Nothing is planned and the job is left as it is. The exit code is 1 where some piece
    cannot be cut, which is said piece by piece.
    """
    from cli.reports.advice import print_advice, print_understood
    from cli.reports.screen.plan import open_console
    from cli.reports.screen.prices import print_prices
    from cli.reports.screen.sizes import print_sizes
    from nesting.errors import CannotBeCutError, obstacle_words
    from nesting.foresight import foreseen
    from nesting.model.job import When
    from nesting.sizing import size_pieces

    if out is not None and out.suffix.casefold() not in {".html", ".htm"}:
        raise click.BadParameter(
            f"{out} is no page for a browser: name it {out.with_suffix('.html')}", param_hint="--out"
        )
    asked = _stocked(job, shelf)
    mats = size_pieces(asked, When.LATER)
    if out is not None:
        _write(asked, mats, out)
    console = open_console(sys.stdout)
    print_understood(asked, mats, console)
    console.print()
    print_sizes(asked, mats, console)
    if drawings:
        _draw(asked, mats, console)
    console.print()
    print_prices(asked, console)
    found = foreseen(asked)
    print_advice(asked, mats, console, later=obstacle_words(found.later), sound=not found.now)
    if out is not None:
        click.echo(f"Written to {out}.")
    if found.now:
        sys.stdout.flush()
        raise CannotBeCutError(found.now)


def _stocked(path: str, shelf: str | None) -> "Job":
    """Read the job, and put what the shelf file holds beside its own shelf table where that is asked for."""
    from cli.commands.plan import boards_held
    from nesting.reading.job import read_job
    from nesting.shelf.reserving import free_shelf
    from nesting.shelf.stock import with_shelf
    from nesting.shelf.store import load_with_history, shelf_path

    if shelf is None:
        return read_job(path)
    file = shelf_path(shelf)
    return with_shelf(read_job(path, held=boards_held(shelf)), free_shelf(*load_with_history(file)))


def _draw(job: "Job", mats: "Sequence[Mat]", console: "Console") -> None:
    from cli.reports.screen.text_mats import drawings_in_letters
    from nesting.names import Names

    ascii_only = console.options.ascii_only
    for line in drawings_in_letters(mats, Names(job), job.bench, width=console.width, ascii_only=ascii_only):
        console.print(line)


def _write(job: "Job", mats: "Sequence[Mat]", out: Path) -> None:
    from functools import partial

    from cli.reports.files.folder import replace_file
    from cli.reports.pages.check import compose_check
    from cli.reports.pages.html import write_html

    replace_file(out, partial(write_html, compose_check(job, mats)))

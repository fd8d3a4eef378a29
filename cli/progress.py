"""How a search is going, on standard error: the first preparing always, the rest only where that is a terminal."""

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click
from rich.console import Console
from rich.progress import Progress as Bar
from rich.progress import SpinnerColumn, TextColumn, TimeElapsedColumn

from cli.plain import is_plain
from nesting.money import format_money

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from nesting.plan import Progress

PREPARING = "preparing, first run only: about half a minute"

__all__ = ["progress_words", "shown_progress"]


@contextmanager
def shown_progress(currency: str) -> "Iterator[Callable[[Progress], None]]":
    """Give what shows the progress of a search while it lasts; all but the first preparing only on a terminal.

    Parameters
    ----------
    currency : str
        Of the job.

    Yields
    ------
    callable
        To be called with each `Progress`.
    """
    if not sys.stderr.isatty():
        yield _say_preparing
        return
    console = Console(
        stderr=True, markup=False, highlight=False, emoji=False, color_system=None if is_plain() else "auto"
    )
    words = TextColumn("{task.description}", markup=False)
    with Bar(SpinnerColumn(), TimeElapsedColumn(), words, console=console, transient=True) as bar:
        task = bar.add_task("preparing", total=None)
        yield lambda progress: bar.update(task, description=progress_words(progress, currency))


def _say_preparing(progress: "Progress") -> None:
    if progress.preparing:
        click.echo(PREPARING, err=True)


def progress_words(progress: "Progress", currency: str) -> str:
    """Return how far a search is, in one short line; how long it has taken stands beside it."""
    if progress.preparing:
        return PREPARING
    bound = format_money(progress.lower_bound, currency)
    step = f"{progress.step}: " if progress.step else ""
    if progress.total is None:
        return f"{step}No plan yet, cannot go below {bound}."
    return f"{step}Best so far {format_money(progress.total, currency)}, cannot go below {bound}. Ctrl-C to use it."

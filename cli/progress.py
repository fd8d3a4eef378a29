"""How a search is going, on standard error and only where that is a terminal."""

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

from rich.console import Console
from rich.progress import Progress as Bar
from rich.progress import SpinnerColumn, TextColumn, TimeElapsedColumn

from nesting.money import format_money

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from nesting.plan import Progress

__all__ = ["progress_words", "shown_progress"]


@contextmanager
def shown_progress(currency: str) -> "Iterator[Callable[[Progress], None] | None]":
    """Give what shows the progress of a search while it lasts; None where nobody would see it.

    Parameters
    ----------
    currency : str
        Of the job.

    Yields
    ------
    callable or None
        To be called with each `Progress`.
    """
    if not sys.stderr.isatty():
        yield None
        return
    console = Console(stderr=True, markup=False, highlight=False, emoji=False)
    words = TextColumn("{task.description}", markup=False)
    with Bar(SpinnerColumn(), TimeElapsedColumn(), words, console=console, transient=True) as bar:
        task = bar.add_task("preparing", total=None)
        yield lambda progress: bar.update(task, description=progress_words(progress, currency))


def progress_words(progress: "Progress", currency: str) -> str:
    """Return how far a search is, in one short line; how long it has taken stands beside it."""
    bound = format_money(progress.lower_bound, currency)
    if progress.total is None:
        return f"no plan yet, none below {bound}"
    return f"{format_money(progress.total, currency)}, none below {bound}; Ctrl-C takes it"

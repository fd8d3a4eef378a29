"""How a search is going, on standard error and only where that is a terminal."""

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

from rich.console import Console

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
    console = Console(stderr=True, markup=False, highlight=False, emoji=False)
    if not sys.stderr.isatty():
        yield None
        return
    with console.status("Preparing") as status:
        yield lambda progress: status.update(progress_words(progress, currency))


def progress_words(progress: "Progress", currency: str) -> str:
    """Return how far a search is, in one line."""
    bound = format_money(progress.lower_bound, currency)
    if progress.total is None:
        return f"{progress.seconds:.0f} s: no plan yet; none below {bound}"
    best = format_money(progress.total, currency)
    return f"{progress.seconds:.0f} s: {best} so far, none below {bound}. Ctrl-C takes the best so far."

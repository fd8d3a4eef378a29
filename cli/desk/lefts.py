"""Of what a shop has only so many sheets left, as the table choices of a wall has it."""

from collections.abc import Sequence
from contextlib import suppress

from nesting.errors import JobError, WindowfallError
from nesting.model.job import Job
from nesting.options import parse_left

__all__ = ["NotCountedError", "with_left", "without_left"]

_DIGITS = 6


class NotCountedError(WindowfallError):
    """A count that is no whole number."""


def with_left(job: Job, shop: str, board: str, count: str) -> Sequence[str]:
    """Return what is written of shortages with that of one board at one shop, in place of what was written of it.

    Raises
    ------
    NotCountedError
        If `count` is no whole number.
    """
    plain = count.strip()
    if not (plain.isascii() and plain.isdigit() and len(plain) < _DIGITS):
        raise NotCountedError(f"{count!r} is not a whole number. Write how many sheets are there, or 0 if none is.")
    kept = [text for text in job.choices.left if _place(job, text) != (shop, board)]
    return [*kept, f"{shop}:{board}={int(plain)}"]


def without_left(job: Job, text: str) -> Sequence[str]:
    """Return what is written of shortages without one of them."""
    return [other for other in job.choices.left if other != text]


def _place(job: Job, text: str) -> tuple[str | None, str] | None:
    """Return the shop and the board of which something is written, if the job has them."""
    with suppress(JobError):
        left = parse_left(job, text)
        return left.shop, left.board
    return None

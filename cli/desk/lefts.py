"""Of what a shop has only so many sheets left, as the table choices of a wall has it."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

from nesting.errors import JobError, WindowfallError
from nesting.model.job import Job
from nesting.options import Left, parse_left

__all__ = ["NotCountedError", "Shortage", "lefts_of", "with_left", "without_left"]

_DIGITS = 6


class NotCountedError(WindowfallError):
    """A count that is no whole number."""


@dataclass(frozen=True, slots=True)
class Shortage:
    """What is written of one board, and that in words."""

    text: str
    words: str


def lefts_of(job: Job) -> tuple[Shortage, ...]:
    """Return what shops have only so many sheets of, in the order in which it is written."""
    return tuple(Shortage(text, _words(_read(job, text)) or text) for text in job.choices.left)


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
    kept = [text for text in job.choices.left if _place(_read(job, text)) != (shop, board)]
    return [*kept, f"{shop}:{board}={int(plain)}"]


def without_left(job: Job, text: str) -> Sequence[str]:
    """Return what is written of shortages without one of them."""
    return [other for other in job.choices.left if other != text]


def _read(job: Job, text: str) -> Left | None:
    with suppress(JobError):
        return parse_left(job, text)
    return None


def _place(left: Left | None) -> tuple[str | None, str] | None:
    return (left.shop, left.board) if left else None


def _words(left: Left | None) -> str:
    if left is None:
        return ""
    where = left.shop or "Shops"
    verb = "has" if left.shop else "have"
    if left.sheets == 0:
        return f"{where} {verb} no {left.board} left"
    return f"{where} {verb} {left.sheets} {'sheet' if left.sheets == 1 else 'sheets'} of {left.board} left"

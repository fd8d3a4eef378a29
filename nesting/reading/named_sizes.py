"""Sizes that have a name: paper, and the frames and prints that are called by their inches."""

import csv
import difflib
import io
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from nesting.data import data_path
from nesting.errors import LengthError, UnreadableError
from nesting.geometry import ExactSize
from nesting.lengths import parse_length, parse_size
from nesting.model.job import Unit

__all__ = ["NamedSize", "named_sizes", "size_named"]

_WAY = re.compile(r"(?P<name>.*?)[\s,]+(?P<way>portrait|landscape)", re.IGNORECASE)
_PAPER = re.compile(r"[a-z]{1,2} ?[0-9]{1,2}", re.IGNORECASE)
_PAIR = re.compile(r"[^x×*]*[0-9][^x×*]*(?:[x×*]|\bby\b)[^x×*]*[0-9][^x×*]*", re.IGNORECASE)
_WORDS = re.compile(r"[a-z][a-z ]*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class NamedSize:
    """A size that has a name, in exact ticks and upright, what is made in it, and where it is written down."""

    name: str
    size: ExactSize
    used_for: str
    source: str

    @property
    def is_paper(self) -> bool:
        """Whether the name says nothing of the lengths; the names of frames and prints are their inches."""
        return self.name[0].isalpha()

    @property
    def full_name(self) -> str:
        """The name as it may be written in a job of any unit."""
        return self.name if self.is_paper else f"{self.name} in"


@cache
def named_sizes() -> tuple[NamedSize, ...]:
    """Return all sizes that have a name, those of paper first, the smaller frames and prints before the larger."""
    text = data_path("sizes.csv").read_text(encoding="utf-8")
    return tuple(
        NamedSize(
            row["name"],
            ExactSize(parse_length(row["width"], Unit.MM), parse_length(row["height"], Unit.MM)),
            row["used for"],
            row["source"],
        )
        for row in csv.DictReader(io.StringIO(text))
    )


def size_named(text: str, unit: Unit) -> ExactSize | None:
    """Return the size that a text names: upright, or as it is written or as the word ``landscape`` says.

    Parameters
    ----------
    text : str
        ``A4``, ``8x10``, ``10 x 8 in``, ``A4 landscape``.
    unit : Unit
        The unit of a bare number in the job.

    Returns
    -------
    ExactSize or None
        Width and height in exact ticks; None for a text that is built like no name of a size.

    Raises
    ------
    UnreadableError
        If it is built like a name but no size is called so; or if it gives bare numbers that are inches as a name and
        something else in this job.

    Examples
    --------
    >>> size_named("A4 landscape", Unit.IN) == (297 * 640, 210 * 640)
    True
    >>> size_named("8x10", Unit.IN) == size_named("8 x 10 in", Unit.MM) == (8 * 16256, 10 * 16256)
    True
    >>> size_named("11 1/4", Unit.IN) is None
    True
    """
    plain = " ".join(text.split())
    told = _WAY.fullmatch(plain)
    size = _size(told["name"] if told else plain, unit)
    if told is None or size is None:
        return size
    short, long = sorted(size)
    return ExactSize(long, short) if told["way"].casefold() == "landscape" else ExactSize(short, long)


def _size(name: str, unit: Unit) -> ExactSize | None:
    """Find the size called `name`, as it stands."""
    if _PAPER.fullmatch(name):
        return _paper(name)
    if _WORDS.fullmatch(name):
        raise UnreadableError(
            "is neither a length nor the name of a size that is known",
            "Write a length like 11 1/4 or 285 mm, or a size such as A4 or 8x10",
        )
    if not _PAIR.fullmatch(name):
        return None
    try:
        sides, inches = parse_size(name, unit), parse_size(name, Unit.IN)
    except LengthError:
        return None
    return _trade(name, unit, ExactSize(*sides), ExactSize(*inches))


def _paper(name: str) -> ExactSize:
    papers = {size.name.casefold(): size for size in named_sizes() if size.is_paper}
    key = name.replace(" ", "").casefold()
    if key in papers:
        return papers[key].size
    near = difflib.get_close_matches(key, papers, n=1, cutoff=0)
    raise _unknown(papers[near[0]])


def _trade(name: str, unit: Unit, sides: ExactSize, inches: ExactSize) -> ExactSize:
    """Find a frame or print by its inches, either side first."""
    trades = {size.size: size for size in named_sizes() if not size.is_paper}
    if _upright(sides) in trades:
        return sides
    if _upright(inches) in trades:
        raise UnreadableError(
            f"is a size in inches by its name, but a bare number in this job is in {unit}",
            f"Write {name} in for that size; for another write its width here and its height in the column beside",
        )
    raise _unknown(min(trades.values(), key=lambda trade: _distance(trade.size, _upright(sides))))


def _upright(size: ExactSize) -> ExactSize:
    return ExactSize(min(size), max(size))


def _distance(one: ExactSize, other: ExactSize) -> Fraction:
    return abs(one.width - other.width) + abs(one.height - other.height)


def _unknown(nearest: NamedSize) -> UnreadableError:
    return UnreadableError(
        "is no size that is known by name",
        f"The nearest is {nearest.full_name}; for any other size write its width here and its height in the column "
        "beside",
    )

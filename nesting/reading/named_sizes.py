"""Sizes that have a name: paper, and the frames and prints that are called by their inches."""

import csv
import difflib
import io
import re
from dataclasses import dataclass
from functools import cache

from nesting.data import data_path
from nesting.errors import LengthError, UnreadableError
from nesting.geometry import ExactSize
from nesting.lengths import parse_length, parse_size
from nesting.model.job import Unit

__all__ = ["NamedSize", "is_size", "named_sizes", "size_named"]

_WAY = re.compile(r"(?P<name>.*?)[\s,]+(?P<way>portrait|landscape)", re.IGNORECASE)
_PAPER = re.compile(r"[a-z]{1,2} ?[0-9]{1,2}", re.IGNORECASE)
_PAIR = re.compile(r"[^x×*]*[0-9][^x×*]*(?:[x×*]|\bby\b)[^x×*]*[0-9][^x×*]*", re.IGNORECASE)
_HALF = re.compile(r"[^x×*]*[0-9][^x×*]*[x×*]\s*|\s*[x×*][^x×*]*[0-9][^x×*]*", re.IGNORECASE)
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
    """Return the size that a text says: any width x height, or the name of one.

    Paper is upright and a width x height is as it is written, unless the word ``landscape`` or ``portrait`` follows.

    Parameters
    ----------
    text : str
        ``A4``, ``8x10``, ``10 x 8 in``, ``40 × 50 cm``, ``A4 landscape``.
    unit : Unit
        The unit of a bare number in the job.

    Returns
    -------
    ExactSize or None
        Width and height in exact ticks; None for a text that is built like no size.

    Raises
    ------
    UnreadableError
        If it is built like a name of paper but no paper is called so, is words alone, or has one side alone.

    Examples
    --------
    >>> size_named("A4 landscape", Unit.IN) == (297 * 640, 210 * 640)
    True
    >>> size_named("16x23", Unit.IN) == size_named("16 x 23 in", Unit.MM) == (16 * 16256, 23 * 16256)
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
            "is neither a length nor a size",
            "Write a length such as 11 1/4 or 285 mm, or a size such as 8x10 or A4",
        )
    if _HALF.fullmatch(name):
        raise UnreadableError("has only one of width and height", "Write both, such as 8x10, or one length alone")
    if not _PAIR.fullmatch(name):
        return None
    try:
        return ExactSize(*parse_size(name, unit))
    except LengthError:
        return None


def is_size(text: str) -> bool:
    """Return whether a text is built like a width and a height, whatever its unit."""
    try:
        return size_named(text, Unit.IN) is not None
    except UnreadableError:
        return False


def _paper(name: str) -> ExactSize:
    papers = {size.name.casefold(): size for size in named_sizes() if size.is_paper}
    key = name.replace(" ", "").casefold()
    if key in papers:
        return papers[key].size
    near = difflib.get_close_matches(key, papers, n=1, cutoff=0)
    raise UnreadableError(
        "is no size of paper that is known",
        f"The nearest is {papers[near[0]].name}; for any other size write width x height, such as 8x10 in",
    )

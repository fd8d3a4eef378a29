"""Fractions set as fractions: words cut into runs, so that what is copied from a page still reads ``10 1/2``."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from nesting.names import NO_BREAK

__all__ = ["Level", "Run", "on_one_line", "runs", "unbroken"]

# No part of a date, of a longer number or of a word.
_FRACTION = re.compile(r"(?<![\w/.,])([0-9]{1,4})/([0-9]{1,4})(?![\w/])")
# A number and its fraction; a sum and its currency, a sign or up to three letters; a number and its unit or per cent.
_BETWEEN = re.compile(
    r"(?<=[0-9]) (?=[0-9]{1,4}/[0-9])"
    r"|(?<=\.[0-9]{2}) (?=[^\W\d_]{1,3}(?!\w)|[^\w\s(×])"
    r"|(?<=[0-9]) (?=(?:in|ft|mm|cm)(?!\w)|[%€])"
)


class Level(StrEnum):
    """Where letters stand: on the line, or small and raised or lowered as the parts of a fraction."""

    PLAIN = "plain"
    OVER = "over"
    UNDER = "under"


@dataclass(frozen=True, slots=True)
class Run:
    """Letters of one level; all runs of a text in a row are its words."""

    words: str
    level: Level


def runs(words: str) -> tuple[Run, ...]:
    """Cut words into runs, so that the parts of every fraction can be set apart.

    Parameters
    ----------
    words : str
        What to say.

    Returns
    -------
    tuple of Run
        In order; the stroke of a fraction is a plain run of its own.

    Examples
    --------
    >>> [(run.words, run.level.value) for run in runs("10 1/2 high")]
    [('10 ', 'plain'), ('1', 'over'), ('/', 'plain'), ('2', 'under'), (' high', 'plain')]
    """
    return tuple(run for run in _cut(words) if run.words)


def unbroken(words: str) -> str:
    """Return the words with a no-break space between every number and its fraction, unit or currency.

    Examples
    --------
    >>> len(unbroken("10 1/2 high").split(" "))
    2
    >>> len(unbroken("6.02 € more for 12 1/2 in").split(" "))
    4
    """
    return _BETWEEN.sub(NO_BREAK, words)


def on_one_line(words: str) -> str:
    """Return the words with no line broken inside a size, between its width and its height neither.

    Examples
    --------
    >>> len(on_one_line("blank 10 1/2 × 12 1/2 in").split(" "))
    2
    """
    return unbroken(words).replace(" × ", f"{NO_BREAK}×{NO_BREAK}")


def _cut(words: str) -> Iterator[Run]:
    done = 0
    for found in _FRACTION.finditer(words):
        yield Run(words[done : found.start()], Level.PLAIN)
        yield Run(found[1], Level.OVER)
        yield Run("/", Level.PLAIN)
        yield Run(found[2], Level.UNDER)
        done = found.end()
    yield Run(words[done:], Level.PLAIN)

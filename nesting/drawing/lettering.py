"""How much room words take, and how they are broken to fit."""

import unicodedata
from collections.abc import Iterator
from functools import lru_cache

__all__ = ["broken", "text_width"]

# Hundredths of the letter height: as wide as these letters come in the bold of common plain faces, so that what fits
# by this count fits on every machine.
_NARROW, _COMMON, _WIDE, _WIDEST = 42, 70, 84, 106
_NARROW_LETTERS = frozenset("iljIftr.,:;'|!()[]/- \u00a0")
_WIDE_LETTERS = frozenset("ABCDGHKNOQRUVXYZw&")
_WIDEST_LETTERS = frozenset("MWm@%—→×")


def text_width(words: str, size: int) -> int:
    """Return how wide words are at most, in the unit of their letter height.

    Parameters
    ----------
    words : str
        On one line.
    size : int
        The letter height.

    Returns
    -------
    int
        An upper estimate for plain and bold letters alike.

    Examples
    --------
    >>> text_width("Sea holly", 40) < text_width("Sea holly on the landing", 40)
    True
    """
    return -(-sum(map(_hundredths, words)) * size // 100)


@lru_cache(maxsize=4096)
def _hundredths(letter: str) -> int:
    if letter in _NARROW_LETTERS:
        return _NARROW
    if letter in _WIDEST_LETTERS or unicodedata.east_asian_width(letter) in {"W", "F"}:
        return _WIDEST
    if letter in _WIDE_LETTERS or not letter.isascii():
        return _WIDE
    return _COMMON


def broken(words: str, size: int, room: int) -> tuple[str, ...]:
    """Break words into lines no wider than `room`, between words where that can be, within a word where it must.

    Parameters
    ----------
    words : str
        What to say.
    size : int
        The letter height.
    room : int
        The width of a line; at least one letter is put on each, however narrow it is.

    Returns
    -------
    tuple of str
        The lines, from the top.

    Examples
    --------
    >>> broken("Sea holly", 40, 170)
    ('Sea', 'holly')
    """
    lines: list[str] = []
    line = ""
    for word in filter(None, words.split(" ")):
        for part in _slices(word, size, room):
            longer = f"{line} {part}" if line else part
            if line and text_width(longer, size) > room:
                lines.append(line)
                line = part
            else:
                line = longer
    return (*lines, line) if line else tuple(lines)


def _slices(word: str, size: int, room: int) -> Iterator[str]:
    """Yield the word whole, or in pieces that each fit."""
    piece = ""
    for letter in word:
        if piece and text_width(piece + letter, size) > room:
            yield piece
            piece = ""
        piece += letter
    yield piece

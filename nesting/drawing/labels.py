"""Labels that stay inside their part: as large as fits, upright where that fits better, a number where nothing does."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from nesting.drawing.lettering import broken, text_width
from nesting.drawing.shapes import Anchor, Rectangle, Shape, Text, apart

__all__ = ["Label", "label_shapes", "paragraph"]

_LETTERS = (54, 46, 38, 32)
_AIR = 14


@dataclass(frozen=True, slots=True)
class Label:
    """What to write in a part, the fullest words first, each from the top; and in the key where none of them fits.

    `spots` are the places inside `box` where words may stand without hiding anything. An empty `key` means that the
    part may stay without words.
    """

    box: Rectangle
    spots: tuple[Rectangle, ...]
    words: tuple[tuple[str, ...], ...]
    key: str


def label_shapes(
    spots: Sequence[Rectangle], words: Sequence[tuple[str, ...]], colour: str, taken: Sequence[Rectangle] = ()
) -> tuple[Shape, ...]:
    """Return words set in one of the places for them, on a ground of its colour; nothing if they fit in none.

    Parameters
    ----------
    spots : sequence of Rectangle
        Where they may stand, the best place first.
    words : sequence of tuple of str
        What may stand there, the best first: lines, the first of them bold; each may be broken between words.
    colour : str
        Of the letters.
    taken : sequence of Rectangle
        What they must not cover.

    Returns
    -------
    tuple of Shape
        All inside the place, in its middle where that is free.
    """
    for lines in words:
        for size, spot, upright in product(_LETTERS, spots, (False, True)):
            length, depth = (spot.h, spot.w) if upright else (spot.w, spot.h)
            block = _block(lines, size, length - 2 * _AIR)
            if block and _depth(len(block), size) <= depth - 2 * _AIR:
                for ground in _grounds(spot, block, size, upright=upright):
                    if apart(ground, taken):
                        return tuple(_set(ground, block, size, colour, upright=upright))
    return ()


def paragraph(x: int, y: int, words: str, size: int, room: int, *, colour: str, bold: bool = False) -> tuple[Text, ...]:
    """Return words broken into lines from a place down; the first line stands on `y`.

    Parameters
    ----------
    x, y : int
        Where the first line begins.
    words : str
        What to say.
    size : int
        The letter height.
    room : int
        The longest line.
    colour : str
        Of the letters.
    bold : bool
        Whether the letters are bold.

    Returns
    -------
    tuple of Text
        A line each.
    """
    lines = broken(words, size, room)
    return tuple(Text(x, y + i * _step(size), line, size, colour, bold=bold) for i, line in enumerate(lines))


def _block(lines: tuple[str, ...], size: int, room: int) -> list[tuple[str, bool]]:
    """Return the lines as they are broken, each with whether it is bold; nothing if a word is too long."""
    if any(text_width(word, size) > room for line in lines for word in line.split(" ")):
        return []
    return [(part, i == 0) for i, line in enumerate(lines) for part in broken(line, size, room)]


def _step(size: int) -> int:
    return size * 5 // 4


def _depth(lines: int, size: int) -> int:
    return lines * _step(size)


def _grounds(spot: Rectangle, block: list[tuple[str, bool]], size: int, *, upright: bool) -> Iterator[Rectangle]:
    """Yield the places for a block of words: the middle, then towards each side, then the corners."""
    wide, deep = max(text_width(words, size) for words, _ in block), _depth(len(block), size)
    w, h = (deep, wide) if upright else (wide, deep)
    free_x, free_y = spot.w - w - 2 * _AIR, spot.h - h - 2 * _AIR
    for across, down in sorted(product((1, 0, 2), repeat=2), key=lambda at: abs(at[0] - 1) + abs(at[1] - 1)):
        yield Rectangle(spot.x + _AIR + free_x * across // 2, spot.y + _AIR + free_y * down // 2, w, h, spot.fill)


def _set(ground: Rectangle, block: list[tuple[str, bool]], size: int, colour: str, *, upright: bool) -> Iterator[Shape]:
    yield ground
    middle_x, middle_y, deep = ground.x + ground.w // 2, ground.y + ground.h // 2, _depth(len(block), size)
    for i, (words, bold) in enumerate(block):
        along = i * _step(size) + size * 19 // 20 - deep // 2
        x, y = (middle_x + along, middle_y) if upright else (middle_x, middle_y + along)
        yield Text(x, y, words, size, colour, Anchor.MIDDLE, bold=bold, upright=upright)

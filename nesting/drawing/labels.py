"""Labels that stay inside their part: as large as fits, upright where that fits better, a number where nothing does."""

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.drawing.lettering import broken, text_width
from nesting.drawing.shapes import Anchor, Rectangle, Shape, Text

__all__ = ["Label", "label_shapes", "paragraph"]

_LETTERS = (54, 46, 38, 32)
_AIR = 14


@dataclass(frozen=True, slots=True)
class Label:
    """What to write in a part, from the top, and in the key where that does not fit in the part.

    An empty `key` means that the part may stay without words.
    """

    box: Rectangle
    lines: tuple[str, ...]
    key: str


def label_shapes(box: Rectangle, lines: tuple[str, ...], colour: str) -> tuple[Shape, ...]:
    """Return the words set in the middle of a box on a ground of its own colour; nothing if they do not fit.

    Parameters
    ----------
    box : Rectangle
        The part.
    lines : tuple of str
        The words, the first of them bold; each may be broken between words.
    colour : str
        Of the letters.

    Returns
    -------
    tuple of Shape
        All inside the box.
    """
    for upright in (False, True):
        length, depth = (box.h, box.w) if upright else (box.w, box.h)
        for size in _LETTERS:
            block = _block(lines, size, length - 2 * _AIR)
            if block and _depth(len(block), size) <= depth - 2 * _AIR:
                return tuple(_set(box, block, size, colour, upright=upright))
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


def _set(box: Rectangle, block: list[tuple[str, bool]], size: int, colour: str, *, upright: bool) -> Iterator[Shape]:
    wide, deep = max(text_width(words, size) for words, _ in block), _depth(len(block), size)
    w, h = (deep, wide) if upright else (wide, deep)
    middle_x, middle_y = box.x + box.w // 2, box.y + box.h // 2
    yield Rectangle(middle_x - w // 2, middle_y - h // 2, w, h, box.fill)
    for i, (words, bold) in enumerate(block):
        along = i * _step(size) + size * 19 // 20 - deep // 2
        x, y = (middle_x + along, middle_y) if upright else (middle_x, middle_y + along)
        yield Text(x, y, words, size, colour, Anchor.MIDDLE, bold=bold, upright=upright)

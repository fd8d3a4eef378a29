"""A small drawing of each mat in letters, as seen from the front, for a window of 60 columns or more."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import zip_longest

from nesting.model.job import Bench
from nesting.model.mat import Mat
from nesting.names import Names, length_words, size_words

__all__ = ["draw_in_letters", "drawings_in_letters"]

# A letter is about twice as high as it is wide.
_TALL = 2
_ROOM_W, _ROOM_H = 27, 12
_GAP = 3


@dataclass(frozen=True, slots=True)
class _Signs:
    """The characters of a rectangle: level line, upright line, and the four corners from the upper left on."""

    level: str
    upright: str
    corners: str


_LINES = _Signs("─", "│", "┌┐└┘")
_ASCII = _Signs("-", "|", "++++")


class _Canvas:
    """Letters in rows and columns from the upper left."""

    def __init__(self, columns: int, rows: int) -> None:
        self._rows = [[" "] * columns for _ in range(rows)]

    def write(self, column: int, row: int, words: str) -> None:
        for place, letter in enumerate(words):
            self._rows[row][column + place] = letter

    def box(self, left: int, top: int, right: int, bottom: int, signs: _Signs) -> None:
        """Draw a rectangle whose lines stand on these columns and rows."""
        level = signs.level * (right - left - 1)
        self.write(left, top, f"{signs.corners[0]}{level}{signs.corners[1]}")
        self.write(left, bottom, f"{signs.corners[2]}{level}{signs.corners[3]}")
        for row in range(top + 1, bottom):
            self.write(left, row, signs.upright)
            self.write(right, row, signs.upright)

    def lines(self) -> tuple[str, ...]:
        return tuple("".join(row).rstrip() for row in self._rows)


@dataclass(frozen=True, slots=True)
class _Scale:
    """Ticks to columns and rows; the last column and row are those of the blank's own right and lower line."""

    mat: Mat
    right: int
    bottom: int

    def column(self, x: int) -> int:
        return _near(Fraction(x * self.right, self.mat.blank.w))

    def row(self, y: int) -> int:
        """Return the row of a height above the blank's lower edge."""
        return self.bottom - _near(Fraction(y * self.bottom, self.mat.blank.h))


def _near(number: Fraction) -> int:
    return int(number + Fraction(1, 2))


def draw_in_letters(mat: Mat, bench: Bench, *, ascii_only: bool = False) -> tuple[str, ...]:
    """Return a mat as seen from the front, in proportion, with its borders where they have room.

    Parameters
    ----------
    mat : Mat
        The mat, sized.
    bench : Bench
        Whose ruler the lengths are printed for.
    ascii_only : bool
        Whether lines are made of hyphens and bars, for a screen that has no others.

    Returns
    -------
    tuple of str
        Lines of no more than 28 letters, no more than 13 of them, without spaces at their ends.
    """
    per_tick = min(Fraction(_ROOM_W, mat.blank.w), Fraction(_ROOM_H * _TALL, mat.blank.h))
    scale = _Scale(mat, max(6, _near(mat.blank.w * per_tick)), max(3, _near(mat.blank.h * per_tick / _TALL)))
    signs = _ASCII if ascii_only else _LINES
    canvas = _Canvas(scale.right + 1, scale.bottom + 1)
    canvas.box(0, 0, scale.right, scale.bottom, signs)
    for left, top, right, bottom in _windows(scale):
        if right - left >= 1 and bottom - top >= 1:
            canvas.box(left, top, right, bottom, signs)
    _write_sizes(canvas, scale, bench)
    return canvas.lines()


def _windows(scale: _Scale) -> Iterator[tuple[int, int, int, int]]:
    """Yield the columns and rows of the lines of each window; where there is room they keep off the blank's own."""
    for window in scale.mat.windows:
        left, right = scale.column(window.at.x), scale.column(window.at.x + window.size.w)
        top, bottom = scale.row(window.at.y + window.size.h), scale.row(window.at.y)
        yield max(1, left), max(1, top), min(scale.right - 1, right), min(scale.bottom - 1, bottom)


def _write_sizes(canvas: _Canvas, scale: _Scale, bench: Bench) -> None:
    """Write the borders into themselves, and the size of the window or the blank into the middle."""
    mat, borders = scale.mat, scale.mat.borders
    if borders is None:
        _centred(canvas, (0, scale.right), scale.bottom // 2, size_words(mat.blank, bench))
        return
    boxes = list(_windows(scale))
    left, right = min(box[0] for box in boxes), max(box[2] for box in boxes)
    top, bottom = min(box[1] for box in boxes), max(box[3] for box in boxes)
    if top > 1:
        _centred(canvas, (0, scale.right), top // 2, length_words(borders.top, bench))
    if scale.bottom - bottom > 1:
        _centred(canvas, (0, scale.right), (bottom + scale.bottom) // 2, length_words(borders.bottom, bench))
    middle = (top + bottom) // 2
    _centred(canvas, (0, left), middle, length_words(borders.left, bench))
    _centred(canvas, (right, scale.right), middle, length_words(borders.right, bench))
    if len(boxes) == 1:
        _write_window(canvas, boxes[0], size_words(mat.windows[0].size, bench))


def _write_window(canvas: _Canvas, box: tuple[int, int, int, int], size: str) -> None:
    """Write the size of a window into it, the height below the width where they have no room side by side."""
    left, top, right, bottom = box
    width, height = size.split(" × ")
    lines = [size] if len(size) < right - left else [f"{width} ×", height]
    if bottom - top > len(lines):
        for number, line in enumerate(lines):
            _centred(canvas, (left, right), (top + bottom + 1 - len(lines)) // 2 + number, line)


def _centred(canvas: _Canvas, between: tuple[int, int], row: int, words: str) -> None:
    """Write words between two lines, if they have room there."""
    first, last = between
    room = last - first - 1
    if len(words) <= room:
        canvas.write(first + 1 + (room - len(words)) // 2, row, words)


def drawings_in_letters(
    mats: Sequence[Mat], names: Names, bench: Bench, *, width: int, ascii_only: bool
) -> Iterator[str]:
    """Yield the lines of all drawings, as many side by side as a window has room for.

    Parameters
    ----------
    mats : sequence of Mat
        What is drawn: of the copies of a row the first; a backing is left out, as it has no window.
    names : Names
        What they are called.
    bench : Bench
        Whose ruler the lengths are printed for.
    width : int
        Columns of the window.
    ascii_only : bool
        Whether the screen has no other letters.

    Yields
    ------
    str
        Line by line, each set of drawings after an empty one.
    """
    block = _ROOM_W + 1
    drawn = [mat for mat in mats if mat.copy == 1 and (mat.windows or mat.layer == 0)]
    blocks = [
        (*_called(mat, names, bench, block), *draw_in_letters(mat, bench, ascii_only=ascii_only)) for mat in drawn
    ]
    abreast = max(1, (width + _GAP) // (block + _GAP))
    for first in range(0, len(blocks), abreast):
        yield ""
        for parts in zip_longest(*blocks[first : first + abreast], fillvalue=""):
            yield (" " * _GAP).join(part.ljust(block) for part in parts).rstrip()


def _called(mat: Mat, names: Names, bench: Bench, room: int) -> tuple[str, str]:
    """Name the mat, cut short where it must be, and its blank."""
    name = f"{mat.piece}{names.behind(mat)}"
    short = name if len(name) <= room else f"{name[: room - 3]}..."
    return short, f"blank {size_words(mat.blank, bench)}"

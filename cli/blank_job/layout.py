"""How high rows are and where notes lie, so that no word is cut off and no note covers another.

A workbook says so itself, as spreadsheet programs differ in what they make of rows without a height, and lay notes of
neighbouring headings over each other.
"""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["PlacedNote", "placed_notes", "row_height"]

_USUAL = 11
"""The size of letters in points where none is said; a column's width counts letters of that size."""
_LINE, _AIR = 1.3, 4
_BOLD = 1.1
_PIXELS, _MARGIN = 7, 5
"""How wide a letter is on the screen, and what a column has beside its letters."""
_ROW = 20
_WIDE, _LETTERS, _NOTE_LINE, _NOTE_AIR, _BETWEEN = 280, 40, 15, 16, 6


def row_height(words: str, width: int, size: int = _USUAL, *, bold: bool = False) -> float:
    """Return the height of a row that holds these words in a column so many letters wide, in points.

    Examples
    --------
    >>> row_height("inside width", 10) > row_height("board", 10)
    True
    """
    letters = int(width * _USUAL / size / (_BOLD if bold else 1))
    lines = max(1, len(textwrap.wrap(words, max(1, letters))))
    return lines * size * _LINE + _AIR


@dataclass(frozen=True, slots=True)
class PlacedNote:
    """A note on the heading of a column; `left`, `top`, `width` and `height` in pixels, `top` from the second row."""

    place: int
    words: str
    left: int
    top: int
    width: int
    height: int

    @property
    def options(self) -> dict[str, int]:
        """Where it lies and how large it is, as a workbook is told."""
        row, beyond = divmod(self.top, _ROW)
        return {
            "start_row": row + 1,
            "start_col": self.place,
            "y_offset": beyond,
            "width": self.width,
            "height": self.height,
            "font_size": 9,
        }


def placed_notes(notes: Sequence[str], widths: Sequence[int]) -> tuple[PlacedNote, ...]:
    """Return the notes of a table below its headings, each as high as there is room beside those before it.

    Parameters
    ----------
    notes : sequence of str
        One for each column, its lines apart.
    widths : sequence of int
        How many letters wide each column is.

    Returns
    -------
    tuple of PlacedNote
        In the order of the columns; no two cover each other.
    """
    placed: list[PlacedNote] = []
    left = 0
    for place, (words, width) in enumerate(zip(notes, widths, strict=True)):
        lines = sum(max(1, len(textwrap.wrap(line, _LETTERS))) for line in words.split("\n"))
        height = lines * _NOTE_LINE + _NOTE_AIR
        beside = [note for note in placed if note.left + note.width + _BETWEEN > left]
        tops = sorted({0, *(note.top + note.height + _BETWEEN for note in beside)})
        top = next(top for top in tops if all(_is_clear(note, top, height) for note in beside))
        placed.append(PlacedNote(place, words, left, top, _WIDE, height))
        left += width * _PIXELS + _MARGIN
    return tuple(placed)


def _is_clear(note: PlacedNote, top: int, height: int) -> bool:
    return top >= note.top + note.height + _BETWEEN or top + height + _BETWEEN <= note.top

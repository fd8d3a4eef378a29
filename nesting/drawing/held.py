"""The picture of a shelf: every piece to one scale, board by board, with the label that is written on it."""

from collections.abc import Iterator
from fractions import Fraction

from nesting.drawing.labels import label_shapes, paragraph
from nesting.drawing.shapes import Drawing, Rectangle, Shape, Text
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM
from nesting.names import NO_BREAK, keep_together
from nesting.shelf.ageing import Pile, piles
from nesting.shelf.held import HeldPiece, Shelf
from nesting.shelf.text import size_text

__all__ = ["draw_shelf"]

# Tenths of a millimetre on a page that both A4 and letter paper are wide enough for.
_PAGE, _MARGIN, _ROOM, _GAP = 1900, 60, 1780, 30
_LETTER, _HEAD_LETTER = 34, 52
_INK, _PAPER, _PIECE = "#101820", "#ffffff", "#e3eefb"
# An inch of board takes at most 2.7 mm of paper, so that two sheets of 32 x 40 in stand side by side.
_LARGEST_SCALE = Fraction(27, TICKS_PER_INCH)


def draw_shelf(shelf: Shelf) -> Drawing:
    """Draw all that is held, every piece with its label, its size and how many there are of it.

    Parameters
    ----------
    shelf : Shelf
        The shelf.

    Returns
    -------
    Drawing
        A page 190 mm wide and as high as it needs. Below a piece that is too small for its words stands its label.
    """
    widest = max((piece.size.w for piece in shelf.pieces), default=TICKS_PER_MM)
    scale = min(_LARGEST_SCALE, Fraction(_ROOM, widest))
    shapes: list[Shape] = []
    y = _MARGIN
    for pile in piles(shelf):
        head = paragraph(_MARGIN, y + _HEAD_LETTER, pile.board, _HEAD_LETTER, _ROOM, colour=_INK, bold=True)
        shapes += head
        y = head[-1].y + _GAP
        for row in _rows(pile, scale):
            shapes += _drawn(row, shelf, scale, y)
            y += max(_paper(piece.size.h, scale) for piece in row) + _LETTER + 2 * _GAP
    title = f"The shelf: {sum(pile.count for pile in piles(shelf))} pieces"
    page = Rectangle(0, 0, _PAGE, y + _MARGIN, _PAPER)
    return Drawing("shelf", title, _PAGE, y + _MARGIN, (page, *shapes))


def _paper(ticks: int, scale: Fraction) -> int:
    return max(1, int(ticks * scale))


def _rows(pile: Pile, scale: Fraction) -> Iterator[list[HeldPiece]]:
    """Yield the pieces that stand side by side."""
    row: list[HeldPiece] = []
    used = 0
    for piece in pile.pieces:
        wide = _paper(piece.size.w, scale) + _GAP
        if row and used + wide > _ROOM + _GAP:
            yield row
            row, used = [], 0
        row.append(piece)
        used += wide
    yield row


def _drawn(row: list[HeldPiece], shelf: Shelf, scale: Fraction, y: int) -> Iterator[Shape]:
    x = _MARGIN
    for piece in row:
        box = Rectangle(x, y, _paper(piece.size.w, scale), _paper(piece.size.h, scale), _PIECE, 5, _INK)
        yield box
        count = (f"{piece.quantity}{NO_BREAK}of{NO_BREAK}them",) if piece.quantity > 1 else ()
        words = label_shapes((box,), ((piece.label, keep_together(size_text(piece.size, shelf.unit)), *count),), _INK)
        yield from words
        if not words:
            yield Text(x, y + box.h + _LETTER, piece.label, _LETTER, _INK)
        x += box.w + _GAP

"""The picture of a shelf: every piece to one scale, board by board, with the label that is written on it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.drawing.labels import label_shapes, paragraph
from nesting.drawing.lettering import text_width
from nesting.drawing.shapes import Drawing, Line, Rectangle, Shape, Text
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM
from nesting.names import NO_BREAK, keep_together
from nesting.shelf.ageing import Pile, piles
from nesting.shelf.held import HeldPiece, Shelf
from nesting.shelf.text import size_text

__all__ = ["draw_shelf"]

# Tenths of a millimetre on a page that both A4 and letter paper are wide enough for.
_PAGE, _MARGIN, _ROOM, _GAP = 1900, 60, 1780, 30
_LETTER, _HEAD_LETTER = 34, 52
# How wide the words below a small piece may be before they are broken.
_LABEL = 420
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
        A page 190 mm wide and as high as it needs. Below a piece that is too small for its words they stand.
    """
    widest = max((piece.size.w for piece in shelf.pieces), default=TICKS_PER_MM)
    scale = min(_LARGEST_SCALE, Fraction(_ROOM, widest))
    shapes: list[Shape] = []
    y = _MARGIN
    for pile in piles(shelf):
        head = paragraph(_MARGIN, y + _HEAD_LETTER, pile.board, _HEAD_LETTER, _ROOM, colour=_INK, bold=True)
        shapes += head
        y = head[-1].y + _GAP
        for row in _rows(pile, shelf, scale):
            shapes += _drawn(row, y)
            y += max(stood.depth for stood in row) + 2 * _GAP
    title = f"The shelf: {sum(pile.count for pile in piles(shelf))} pieces"
    page = Rectangle(0, 0, _PAGE, y + _MARGIN, _PAPER)
    return Drawing("shelf", title, _PAGE, y + _MARGIN, (page, *shapes))


def _paper(ticks: int, scale: Fraction) -> int:
    return max(1, int(ticks * scale))


@dataclass(frozen=True, slots=True)
class _Stood:
    """A piece as it stands in a row, drawn from the upper left corner of its place: the words in it or below it."""

    box: Rectangle
    words: tuple[Shape, ...]
    below: tuple[Text, ...]

    @property
    def width(self) -> int:
        return max([self.box.w, *(text_width(line.words, line.size) for line in self.below)])

    @property
    def depth(self) -> int:
        return max([self.box.h, *(line.y for line in self.below)])


def _stood(piece: HeldPiece, shelf: Shelf, scale: Fraction) -> _Stood:
    box = Rectangle(0, 0, _paper(piece.size.w, scale), _paper(piece.size.h, scale), _PIECE, 5, _INK)
    count = (f"{piece.quantity}{NO_BREAK}of{NO_BREAK}them",) if piece.quantity > 1 else ()
    lines = piece.label, keep_together(size_text(piece.size, shelf.unit)), *count
    words = label_shapes((box,), (lines,), _INK)
    said = "; ".join(lines)
    below = () if words else paragraph(0, box.h + _LETTER + 6, said, _LETTER, max(box.w, _LABEL), colour=_INK)
    return _Stood(box, words, below)


def _rows(pile: Pile, shelf: Shelf, scale: Fraction) -> Iterator[list[_Stood]]:
    """Yield the pieces that stand side by side, each with room for the words below it."""
    row: list[_Stood] = []
    used = 0
    for piece in pile.pieces:
        stood = _stood(piece, shelf, scale)
        wide = stood.width + _GAP
        if row and used + wide > _ROOM + _GAP:
            yield row
            row, used = [], 0
        row.append(stood)
        used += wide
    yield row


def _drawn(row: list[_Stood], y: int) -> Iterator[Shape]:
    x = _MARGIN
    for stood in row:
        for shape in (stood.box, *stood.words, *stood.below):
            yield _moved(shape, x, y)
        x += stood.width + _GAP


def _moved(shape: Shape, x: int, y: int) -> Shape:
    if isinstance(shape, Line):
        return replace(shape, x1=shape.x1 + x, y1=shape.y1 + y, x2=shape.x2 + x, y2=shape.y2 + y)
    return replace(shape, x=shape.x + x, y=shape.y + y)

"""The picture of one mat as it will hang: from the front, with its borders and with the picture that lies behind it."""

from collections.abc import Iterator
from fractions import Fraction

from nesting.drawing.mat import BLANK, INK, LETTER, PAPER, PENCIL, View, border_words
from nesting.drawing.shapes import Anchor, Drawing, Rectangle, Shape, Text
from nesting.geometry import Size
from nesting.model.job import Bench, Piece
from nesting.model.mat import Mat
from nesting.names import size_words

__all__ = ["draw_front"]

# Tenths of a millimetre; three stand side by side on a page that both A4 and letter paper hold.
_PAGE, _ROOM, _TOP = 600, Size(440, 315), 30
# Of 255: the ground on which black and white letters are told apart equally well.
_DARK = 118


def draw_front(mat: Mat, piece: Piece, title: str, bench: Bench, swatch: str | None = None) -> Drawing:
    """Draw a mat from the front, with its windows and borders, and dashed behind it the picture where it is known.

    Parameters
    ----------
    mat : Mat
        The mat, sized.
    piece : Piece
        What it is part of.
    title : str
        What it is called.
    bench : Bench
        Whose ruler the lengths are printed for.
    swatch : str or None
        The colour of its board, ``#rrggbb``; None where the user chose none.

    Returns
    -------
    Drawing
        A page 60 mm wide and as high as it needs. A picture larger than the blank reaches out of it.
    """
    scale = min(Fraction(_ROOM.w, mat.blank.w), Fraction(_ROOM.h, mat.blank.h))
    wide, high = int(mat.blank.w * scale), int(mat.blank.h * scale)
    view = View(Rectangle((_PAGE - wide) // 2, _TOP, wide, high, swatch or BLANK, 5, INK), scale)
    height = _TOP + high + 70
    shapes: tuple[Shape, ...] = (
        Rectangle(0, 0, _PAGE, height, PAPER),
        view.box,
        *_windows(mat, view),
        *_picture(mat, piece, view),
        *border_words(mat.borders, view, bench, _readable(swatch or BLANK)),
        _size(mat, view, bench),
    )
    return Drawing("front", f"{title}, seen from the front", _PAGE, height, shapes)


def _windows(mat: Mat, view: View) -> Iterator[Rectangle]:
    box = view.box
    for window in mat.windows:
        x, y = view.paper(window.at.x), view.paper(mat.blank.h - window.at.y - window.size.h)
        yield Rectangle(box.x + x, box.y + y, view.paper(window.size.w), view.paper(window.size.h), PAPER, 5, INK)


def _picture(mat: Mat, piece: Piece, view: View) -> Iterator[Rectangle]:
    """Yield the edge of the picture behind each window, its middle behind the window's."""
    if piece.picture is None:
        return
    wide, high = view.paper(piece.picture.width), view.paper(piece.picture.height)
    for window in _windows(mat, view):
        x, y = window.x + (window.w - wide) // 2, window.y + (window.h - high) // 2
        yield Rectangle(x, y, wide, high, None, 3, PENCIL, dashed=True)


def _size(mat: Mat, view: View, bench: Bench) -> Text:
    box = view.box
    words = size_words(mat.blank, bench)
    return Text(box.x + box.w // 2, box.y + box.h + 50, words, LETTER, INK, Anchor.MIDDLE)


def _readable(ground: str) -> str:
    """Return the colour of letters on a ground: white on a dark one, by how bright its red, green and blue look."""
    red, green, blue = (int(ground[place : place + 2], 16) for place in (1, 3, 5))
    return INK if 299 * red + 587 * green + 114 * blue > _DARK * 1000 else PAPER

"""A framed piece from the front: its frame, its mats in their colours with their bevels, and the picture's place."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from nesting.drawing import Drawing, Rectangle, Shape
from nesting.drawing.mat import View, border_words
from nesting.drawing.shapes import Line
from nesting.geometry import Size
from nesting.model.job import Job, Piece
from nesting.model.mat import Mat

__all__ = ["draw_framed"]

# Tenths of a millimetre.
_PAGE, _ROOM, _AIR = 1000, 900, 50
_INK, _FRAME, _LIGHT, _DARK, _PAPER, _PLAIN, _BEVEL = (
    "#101820",
    "#4a423c",
    "#6f655d",
    "#2e2824",
    "#ffffff",
    "#efe9dc",
    "#fbfaf6",
)
_GROUND_LIMIT = 118_000
_USUAL_MOULDING = Fraction(3 * 16256, 4)


def draw_framed(job: Job, piece: Piece, layers: Sequence[Mat]) -> Drawing:
    """Draw a framed piece as it will hang, the widths of its borders written on the mat.

    Parameters
    ----------
    job : Job
        With the colours of the boards, and the bench.
    piece : Piece
        What is framed.
    layers : sequence of Mat
        Its mats from the front, without a backing.

    Returns
    -------
    Drawing
        A page 100 mm wide and as high as it needs.
    """
    moulding = piece.moulding_width if piece.moulding_width is not None else _USUAL_MOULDING
    front = layers[0]
    scale = Fraction(_ROOM) / max(front.blank.w + 2 * moulding, front.blank.h + 2 * moulding)
    edge = max(12, int(moulding * scale))
    wide, high = int(front.blank.w * scale), int(front.blank.h * scale)
    left = (_PAGE - wide) // 2
    mat = Rectangle(left, _AIR + edge, wide, high, _colour(job, front), 0, _INK)
    height = high + 2 * edge + 2 * _AIR
    shapes: tuple[Shape, ...] = (
        *_frame(mat, edge),
        mat,
        *_windows(job, layers, mat, scale),
        *border_words(front.borders, View(mat, scale), job.bench, _readable(_colour(job, front))),
    )
    return Drawing("framed", f"{piece.name}, framed, seen from the front", _PAGE, height, shapes)


def _frame(mat: Rectangle, edge: int) -> Iterator[Shape]:
    """Yield the moulding, lit from above on the left."""
    x1, y1, x2, y2 = mat.x - edge, mat.y - edge, mat.x + mat.w + edge, mat.y + mat.h + edge
    yield Rectangle(x1, y1, x2 - x1, y2 - y1, _FRAME, 0, _INK)
    light = max(4, edge // 6)
    yield from (Line(x1, y1, x2, y1, light, _LIGHT), Line(x1, y1, x1, y2, light, _LIGHT))
    for x, y in ((x1, y1), (x2, y1), (x1, y2), (x2, y2)):
        inner = mat.x if x == x1 else mat.x + mat.w, mat.y if y == y1 else mat.y + mat.h
        yield Line(x, y, inner[0], inner[1], 3, _DARK)
    yield Rectangle(mat.x - 3, mat.y - 3, mat.w + 6, mat.h + 6, None, 6, _DARK)


def _windows(job: Job, layers: Sequence[Mat], mat: Rectangle, scale: Fraction) -> Iterator[Shape]:
    for place in range(len(layers[0].windows)):
        for depth, layer in enumerate(layers):
            if place >= len(layer.windows):
                continue
            box = _box(layer, place, mat, scale, layers[0].blank)
            beneath = layers[depth + 1] if depth + 1 < len(layers) else None
            yield Rectangle(box.x, box.y, box.w, box.h, _colour(job, beneath) if beneath else _PAPER, 7, _BEVEL)
            yield Rectangle(box.x - 4, box.y - 4, box.w + 8, box.h + 8, None, 1, "#8b857c")


def _box(layer: Mat, place: int, mat: Rectangle, scale: Fraction, blank: Size) -> Rectangle:
    window = layer.windows[place]
    right, up = (blank.w - layer.blank.w) // 2, (blank.h - layer.blank.h) // 2
    x, y = window.at.x + right, blank.h - (window.at.y + up) - window.size.h
    wide, high = (max(1, int(side * scale)) for side in window.size)
    return Rectangle(mat.x + int(x * scale), mat.y + int(y * scale), wide, high)


def _colour(job: Job, mat: Mat) -> str:
    return (job.board(mat.boards[0]).swatch if mat.boards else None) or _PLAIN


def _readable(ground: str) -> str:
    red, green, blue = (int(ground[place : place + 2], 16) for place in (1, 3, 5))
    return _INK if 299 * red + 587 * green + 114 * blue > _GROUND_LIMIT else _PAPER

"""What a drawing is made of, with no file format in it: rectangles, lines, words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import assert_never

__all__ = ["Anchor", "Drawing", "Line", "Rectangle", "Shape", "Text", "apart", "hatching", "moved"]


class Anchor(StrEnum):
    """Which part of a text stands at its place."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle from its upper left corner; no outline where `line` is 0, no filling where `fill` is None."""

    x: int
    y: int
    w: int
    h: int
    fill: str | None = None
    line: int = 0
    colour: str = "#000000"
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line, `width` thick."""

    x1: int
    y1: int
    x2: int
    y2: int
    width: int
    colour: str


@dataclass(frozen=True, slots=True)
class Text:
    """Words on one line; `x`, `y` is a point of the line they stand on. `upright` text reads from bottom to top."""

    x: int
    y: int
    words: str
    size: int
    colour: str
    anchor: Anchor = Anchor.START
    bold: bool = False
    upright: bool = False


Shape = Rectangle | Line | Text
"""What a drawing is made of."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A page of shapes, the first drawn first.

    Parameters
    ----------
    name : str
        Short, for naming a file: ``S1``.
    title : str
        What the drawing shows, for who cannot see it.
    width, height : int
        Of the page in tenths of a millimetre; `x` runs right and `y` down from its upper left corner.
    shapes : tuple of Shape
        Everything on it.
    """

    name: str
    title: str
    width: int
    height: int
    shapes: tuple[Shape, ...]


def hatching(box: Rectangle, step: int, width: int, colour: str, *, falling: bool = False) -> Iterator[Line]:
    """Yield slanted lines that fill a box and do not leave it.

    Parameters
    ----------
    box : Rectangle
        What to fill.
    step : int
        From line to line along the side of the box.
    width, colour : int, str
        Of each line.
    falling : bool
        Lines that fall to the right instead of rising.

    Yields
    ------
    Line
        From the upper left corner on.
    """
    for along in range(step, box.w + box.h, step):
        near, far = max(0, along - box.h), min(along, box.w)
        down_near, down_far = along - near, along - far
        if falling:
            down_near, down_far = box.h - down_near, box.h - down_far
        yield Line(box.x + near, box.y + down_near, box.x + far, box.y + down_far, width, colour)


def apart(box: Rectangle, others: Sequence[Rectangle]) -> bool:
    """Return whether a box overlaps none of the others."""
    return not any(
        box.x < other.x + other.w and other.x < box.x + box.w and box.y < other.y + other.h and other.y < box.y + box.h
        for other in others
    )


def moved(shape: Shape, right: int, down: int) -> Shape:
    """Return a shape in another place.

    Parameters
    ----------
    shape : Rectangle, Line or Text
        The shape.
    right, down : int
        How far.

    Returns
    -------
    Rectangle, Line or Text
        Otherwise the same.
    """
    match shape:
        case Rectangle() | Text():
            return replace(shape, x=shape.x + right, y=shape.y + down)
        case Line(x1, y1, x2, y2):
            return replace(shape, x1=x1 + right, y1=y1 + down, x2=x2 + right, y2=y2 + down)
        case _ as never:
            assert_never(never)

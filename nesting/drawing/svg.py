"""A drawing as an SVG page."""

import io
from collections.abc import Iterator
from typing import TextIO, assert_never
from xml.sax.saxutils import escape, quoteattr

from nesting.drawing import Drawing, Line, Rectangle, Shape, Text
from nesting.drawing.fractions import Level, runs
from nesting.signs import printable

__all__ = ["svg_text", "write_svg"]

_FACE = "'DejaVu Sans', Verdana, Arial, Helvetica, sans-serif"
_TENTH = 10


def write_svg(drawing: Drawing, file: TextIO) -> None:
    """Write a drawing as one SVG page, the same for the same drawing.

    Parameters
    ----------
    drawing : Drawing
        Tenths of a millimetre; the page is printed at that size.
    file : TextIO
        Open for writing as UTF-8.
    """
    w, h = drawing.width, drawing.height
    file.write(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w / _TENTH:g}mm" height="{h / _TENTH:g}mm" '
        f'viewBox="0 0 {w} {h}" role="img" font-family="{_FACE}">\n'
        f"<title>{_clean(drawing.title)}</title>\n"
    )
    for shape in drawing.shapes:
        file.write(_element(shape))
        file.write("\n")
    file.write("</svg>\n")


def svg_text(drawing: Drawing) -> str:
    """Return a drawing as one SVG element, the same for the same drawing."""
    file = io.StringIO()
    write_svg(drawing, file)
    return file.getvalue().strip()


def _element(shape: Shape) -> str:
    match shape:
        case Rectangle():
            return f"<rect {_attributes(_rectangle(shape))}/>"
        case Line():
            return f"<path {_attributes(_line(shape))}/>"
        case Text():
            return f"<text {_attributes(_text(shape))}>{_set(shape)}</text>"
        case _ as never:
            assert_never(never)


def _rectangle(shape: Rectangle) -> Iterator[tuple[str, object]]:
    yield from zip(("x", "y", "width", "height"), (shape.x, shape.y, shape.w, shape.h), strict=True)
    yield "fill", shape.fill or "none"
    if shape.line:
        yield "stroke", shape.colour
        yield "stroke-width", shape.line
    if shape.dashed:
        yield "stroke-dasharray", "16 10"


def _line(shape: Line) -> Iterator[tuple[str, object]]:
    yield "d", f"M{shape.x1} {shape.y1}L{shape.x2} {shape.y2}"
    yield "stroke", shape.colour
    yield "stroke-width", shape.width


def _text(shape: Text) -> Iterator[tuple[str, object]]:
    yield "x", shape.x
    yield "y", shape.y
    yield "font-size", shape.size
    yield "fill", shape.colour
    yield "text-anchor", shape.anchor
    if shape.bold:
        yield "font-weight", "bold"
    if shape.upright:
        yield "transform", f"rotate(-90 {shape.x} {shape.y})"


def _set(text: Text) -> str:
    """Set fractions as fractions: small letters above and below the line, in the words as they stand."""
    parts, risen = [], 0
    for run in runs(text.words):
        rise = {Level.OVER: text.size * 3 // 10, Level.PLAIN: 0, Level.UNDER: -text.size // 12}[run.level]
        small = f' font-size="{text.size * 7 // 10}"' if run.level is not Level.PLAIN else ""
        moved = f' dy="{risen - rise}"' if rise != risen else ""
        parts.append(f"<tspan{moved}{small}>{_clean(run.words)}</tspan>" if moved or small else _clean(run.words))
        risen = rise
    return "".join(parts)


def _attributes(pairs: Iterator[tuple[str, object]]) -> str:
    # Most are numbers, in which there is nothing to be quoted.
    return " ".join(
        f'{name}="{value}"' if isinstance(value, int) else f"{name}={quoteattr(printable(str(value)))}"
        for name, value in pairs
    )


def _clean(words: str) -> str:
    return escape(printable(words))

"""Drawing and lettering on PDF pages, in points from the upper left corner; fractions are set as fractions."""

from collections.abc import Iterator
from functools import lru_cache
from typing import BinaryIO, assert_never

from reportlab.lib.colors import HexColor
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from cli.reports.pages.booklet import Paper
from nesting.data import data_path
from nesting.drawing import Anchor, Drawing, Line, Rectangle, Shape, Text
from nesting.drawing.fractions import Level, runs, unbroken
from nesting.names import NO_BREAK
from nesting.signs import printable

__all__ = ["TENTH", "Pen"]

TENTH = 72 / 254
"""A tenth of a millimetre, in the points of a PDF."""
_INK = "#101820"
_SIZES = {Paper.LETTER: (612.0, 792.0), Paper.A4: (210 * TENTH * 10, 297 * TENTH * 10)}
_FACES = {False: "Plain", True: "Bold"}
_FILES = {False: "fonts/DejaVuSans.ttf", True: "fonts/DejaVuSans-Bold.ttf"}
_SMALL, _RISE = 0.7, {Level.PLAIN: 0.0, Level.OVER: 0.3, Level.UNDER: -0.08}


class Pen:
    """A PDF that is written page by page; the same strokes give the same bytes.

    Parameters
    ----------
    file : BinaryIO
        Open for writing.
    paper : Paper
        The paper.
    title : str
        Of the document.
    """

    def __init__(self, file: BinaryIO, paper: Paper, title: str) -> None:
        self.width, self.height = _SIZES[paper]
        self._canvas = Canvas(file, pagesize=(self.width, self.height), invariant=1, lang="en")
        self._canvas.setTitle(printable(title))
        for bold, face in _FACES.items():
            pdfmetrics.registerFont(TTFont(face, str(data_path(_FILES[bold]))))

    def next_page(self) -> None:
        """Finish the page."""
        self._canvas.showPage()

    def save(self) -> None:
        """Finish the document."""
        self._canvas.save()

    def bookmark(self, key: str, title: str) -> None:
        """Let the reader's list of contents lead to this page."""
        self._canvas.bookmarkPage(key)
        self._canvas.addOutlineEntry(printable(title), key)

    def width_of(self, words: str, size: float, *, bold: bool = False) -> float:
        """Return how wide words are set, in points."""
        return _width(words, bold) * size

    def wrapped(self, words: str, size: float, room: float, *, bold: bool = False) -> tuple[str, ...]:
        """Break words into lines no wider than `room`, within a word only where it must be."""
        lines: list[str] = []
        line, reach, space = "", 0.0, self.width_of(" ", size, bold=bold)
        for word in filter(None, unbroken(words).split(" ")):
            for part in self._slices(word.replace(NO_BREAK, " "), size, room, bold=bold):
                wide = self.width_of(part, size, bold=bold)
                if line and reach + space + wide > room:
                    lines.append(line)
                    line, reach = "", 0.0
                line, reach = (f"{line} {part}", reach + space + wide) if line else (part, wide)
        return (*lines, line) if line else tuple(lines)

    def _slices(self, word: str, size: float, room: float, *, bold: bool) -> Iterator[str]:
        """Yield a word whole, or in pieces that each fit."""
        piece = ""
        for letter in word if self.width_of(word, size, bold=bold) > room else ():
            if piece and self.width_of(piece + letter, size, bold=bold) > room:
                yield piece
                piece = ""
            piece += letter
        yield piece or word

    def write(self, x: float, y: float, words: str, size: float, *, bold: bool = False) -> None:
        """Set words on one line that stands at `y` from the top."""
        self._set((x, self.height - y), words, size, bold=bold, colour=_INK)

    def box(self, x: float, y: float, w: float, h: float, *, line: float = 0, fill: str | None = None) -> None:
        """Draw a rectangle from its upper left corner."""
        self._canvas.setDash()
        self._canvas.setStrokeColor(HexColor(_INK))
        self._canvas.setLineWidth(line)
        if fill:
            self._canvas.setFillColor(HexColor(fill))
        self._canvas.rect(x, self.height - y - h, w, h, stroke=int(line > 0), fill=int(fill is not None))

    def rule(self, x1: float, y: float, x2: float, width: float) -> None:
        """Draw a line across."""
        self._stroke((x1, self.height - y, x2, self.height - y), width, _INK)

    def draw(self, drawing: Drawing, x: float, y: float) -> None:
        """Draw a drawing at its own size, its upper left corner at a place."""
        for shape in drawing.shapes:
            self._shape(shape, x, self.height - y)

    def _shape(self, shape: Shape, left: float, top: float) -> None:
        match shape:
            case Rectangle():
                self._rectangle(shape, left, top)
            case Line(x1, y1, x2, y2, width, colour):
                ends = left + x1 * TENTH, top - y1 * TENTH, left + x2 * TENTH, top - y2 * TENTH
                self._stroke(ends, width * TENTH, colour)
            case Text():
                self._text(shape, left + shape.x * TENTH, top - shape.y * TENTH)
            case _ as never:
                assert_never(never)

    def _stroke(self, ends: tuple[float, float, float, float], width: float, colour: str) -> None:
        self._canvas.setDash()
        self._canvas.setStrokeColor(HexColor(colour))
        self._canvas.setLineWidth(width)
        self._canvas.line(*ends)

    def _rectangle(self, shape: Rectangle, left: float, top: float) -> None:
        self._canvas.setDash([16 * TENTH, 10 * TENTH] if shape.dashed else [])
        self._canvas.setStrokeColor(HexColor(shape.colour))
        self._canvas.setLineWidth(shape.line * TENTH)
        if shape.fill:
            self._canvas.setFillColor(HexColor(shape.fill))
        x, y, w, h = (side * TENTH for side in (shape.x, shape.y + shape.h, shape.w, shape.h))
        self._canvas.rect(left + x, top - y, w, h, stroke=int(shape.line > 0), fill=int(shape.fill is not None))

    def _text(self, text: Text, x: float, y: float) -> None:
        size = text.size * TENTH
        before = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[text.anchor]
        back = before * self.width_of(text.words, size, bold=text.bold)
        if text.upright:
            self._set((x, y - back), text.words, size, bold=text.bold, colour=text.colour, upright=True)
        else:
            self._set((x - back, y), text.words, size, bold=text.bold, colour=text.colour)

    def _set(
        self, at: tuple[float, float], words: str, size: float, *, bold: bool, colour: str, upright: bool = False
    ) -> None:
        """Set words in one text object, so that they are found and copied as they are."""
        text = self._canvas.beginText()
        if upright:
            text.setTextTransform(0, 1, -1, 0, *at)
        else:
            text.setTextOrigin(*at)
        text.setFillColor(HexColor(colour))
        for run in runs(printable(words)):
            text.setFont(_FACES[bold], _sized(run.level, size))
            text.setRise(_RISE[run.level] * size)
            text.textOut(run.words)
        self._canvas.drawText(text)


@lru_cache(maxsize=65536)
def _width(words: str, bold: bool) -> float:
    """Return how wide words are for every point of their size."""
    parts = runs(printable(words))
    return sum(float(pdfmetrics.stringWidth(run.words, _FACES[bold], _sized(run.level, 1.0))) for run in parts)


def _sized(level: Level, size: float) -> float:
    return size if level is Level.PLAIN else size * _SMALL

"""The picture of one mat as it lies face down: its pencil lines, its windows, and the borders on all four sides."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from nesting.bench.bevels import MatWork
from nesting.drawing.lettering import text_width
from nesting.drawing.shapes import Anchor, Drawing, Line, Rectangle, Shape, Text
from nesting.geometry import Size
from nesting.model.job import Bench
from nesting.model.mat import Borders
from nesting.model.sides import Edge
from nesting.names import length_words

__all__ = ["BLANK", "INK", "LETTER", "PAPER", "PENCIL", "View", "border_words", "draw_mat"]

# Tenths of a millimetre; four stand side by side on a page that both A4 and letter paper hold.
_PAGE, _ROOM, _TOP, _LEFT = 450, Size(330, 225), 50, 70
LETTER, _AIR = 34, 2
INK, PAPER, BLANK, PENCIL = "#101820", "#ffffff", "#fffdf4", "#5b6670"


@dataclass(frozen=True, slots=True)
class View:
    """Where the blank lies on the page, and how much paper a tick takes."""

    box: Rectangle
    scale: Fraction

    def paper(self, ticks: Fraction | int) -> int:
        """Return so many ticks as tenths of a millimetre of paper."""
        return int(ticks * self.scale + Fraction(1, 2))


def draw_mat(work: MatWork, bench: Bench) -> Drawing:
    """Draw a mat from the back, with what is drawn on it with a pencil and what is cut out of it.

    Parameters
    ----------
    work : MatWork
        What is to be done to it.
    bench : Bench
        Whose ruler the lengths are printed for.

    Returns
    -------
    Drawing
        A page 45 mm wide and as high as it needs.
    """
    blank = work.placed.mat.blank
    scale = min(Fraction(_ROOM.w, blank.w), Fraction(_ROOM.h, blank.h))
    wide, high = int(blank.w * scale), int(blank.h * scale)
    view = View(Rectangle(_LEFT + (_ROOM.w - wide) // 2, _TOP, wide, high, BLANK, 5, INK), scale)
    height = _TOP + high + 62
    shapes: tuple[Shape, ...] = (
        Rectangle(0, 0, _PAGE, height, PAPER),
        view.box,
        *_pencil(work, view),
        *_windows(work, view),
        *_outside(blank, view, bench),
        *border_words(work.borders, view, bench),
        *_numbers(work, view),
    )
    named = ", ".join(part for part in (work.placed.mat.id, work.name) if part)
    return Drawing("mat", f"{named}, seen from the back", _PAGE, height, shapes)


def _pencil(work: MatWork, view: View) -> Iterator[Line]:
    box = view.box
    for line in work.lines:
        far = view.paper(line.distance)
        match line.edge:
            case Edge.LEFT | Edge.RIGHT:
                x = box.x + far if line.edge is Edge.LEFT else box.x + box.w - far
                yield Line(x, box.y, x, box.y + box.h, 2, PENCIL)
            case Edge.TOP | Edge.BOTTOM:
                y = box.y + far if line.edge is Edge.TOP else box.y + box.h - far
                yield Line(box.x, y, box.x + box.w, y, 2, PENCIL)


def _windows(work: MatWork, view: View) -> Iterator[Rectangle]:
    box = view.box
    for window in work.windows:
        x, y = view.paper(window.borders.left), view.paper(window.borders.top)
        wide = box.w - x - view.paper(window.borders.right)
        high = box.h - y - view.paper(window.borders.bottom)
        yield Rectangle(box.x + x, box.y + y, wide, high, PAPER, 5, INK, dashed=True)


def _outside(blank: Size, view: View, bench: Bench) -> Iterator[Text]:
    """Yield where its top is, and how wide and high it is."""
    box = view.box
    middle = box.x + box.w // 2
    yield Text(middle, box.y - 16, "TOP", LETTER, INK, Anchor.MIDDLE, bold=True)
    yield Text(middle, box.y + box.h + 50, length_words(blank.w, bench), LETTER, INK, Anchor.MIDDLE)
    height = length_words(blank.h, bench)
    yield Text(box.x - 20, box.y + box.h // 2, height, LETTER, INK, Anchor.MIDDLE, upright=True)


def border_words(borders: Borders | None, view: View, bench: Bench, colour: str = INK) -> Iterator[Text]:
    """Yield the width of each border where the border has room for it; the words beside the picture have them all."""
    box = view.box
    if borders is None:
        return
    low = LETTER * 3 // 8
    middle, centre = box.x + box.w // 2, box.y + box.h // 2 + low
    for wide, x in (
        (borders.left, box.x + view.paper(borders.left) // 2),
        (borders.right, box.x + box.w - view.paper(borders.right) // 2),
    ):
        words = length_words(wide, bench)
        if text_width(words, LETTER) + _AIR <= view.paper(wide):
            yield Text(x, centre, words, LETTER, colour, Anchor.MIDDLE, bold=True)
        elif view.paper(wide) >= LETTER + _AIR:
            yield Text(x + low, centre - low, words, LETTER, colour, Anchor.MIDDLE, bold=True, upright=True)
    for wide, y in (
        (borders.top, box.y + view.paper(borders.top) // 2),
        (borders.bottom, box.y + box.h - view.paper(borders.bottom) // 2),
    ):
        if view.paper(wide) >= LETTER + _AIR:
            yield Text(middle, y + low, length_words(wide, bench), LETTER, colour, Anchor.MIDDLE, bold=True)


def _numbers(work: MatWork, view: View) -> Iterator[Text]:
    """Yield which window is which where there are several."""
    if len(work.windows) > 1:
        for window, box in zip(work.windows, _windows(work, view), strict=True):
            x, y = box.x + box.w // 2, box.y + box.h // 2 + LETTER * 3 // 8
            yield Text(x, y, str(window.number + 1), LETTER, INK, Anchor.MIDDLE, bold=True)

"""Bars lying one below the other, for sums that are compared: told apart by hatching and words, not by colour alone."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from nesting.drawing.lettering import text_width
from nesting.drawing.shapes import Drawing, Rectangle, Shape, Text, hatching

__all__ = ["Bar", "draw_bars"]

# Tenths of a millimetre, on a page that both A4 and letter paper are wide enough for.
_PAGE, _MARGIN, _NAMES, _SUMS = 1900, 30, 330, 760
_BAR, _STEP, _GAP, _LETTER = 62, 74, 34, 42
_INK, _PAPER, _FULL, _LIGHT = "#101820", "#ffffff", "#33506b", "#e3eefb"


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar: the `group` that it stands in, which `kind` it is there, how long, and what is written at its end.

    `saved` is how much longer it would be without what saves that: dashed beyond its end.
    """

    group: str
    kind: str
    length: int
    words: str
    saved: int = 0


def draw_bars(name: str, title: str, bars: Sequence[Bar], saved: str = "") -> Drawing:
    """Draw bars to one scale from nothing, those of a group together.

    Parameters
    ----------
    name, title : str
        As of a `Drawing`.
    bars : sequence of Bar
        Those of a group one after the other; the first kind is filled, all others hatched.
    saved : str
        What the dashed ends of the bars stand for.

    Returns
    -------
    Drawing
        A page 190 mm wide and as high as it needs.
    """
    kinds = tuple(dict.fromkeys(bar.kind for bar in bars))
    longest = max((bar.length + bar.saved for bar in bars), default=0) or 1
    shapes: list[Shape] = []
    y = _MARGIN
    for group, its in groupby(bars, key=lambda bar: bar.group):
        shapes.append(Text(_MARGIN, y + _LETTER, group, _LETTER, _INK, bold=True))
        for bar in its:
            shapes += _bar(bar, y, longest, is_full=bar.kind == kinds[0])
            y += _STEP
        y += _GAP
    signs = [(kind, Rectangle(0, 0, _BAR * 2, _BAR, _LIGHT, 3, _INK)) for kind in (kinds if len(kinds) > 1 else ())]
    if saved and any(bar.saved for bar in bars):
        signs.append((saved, Rectangle(0, 0, _BAR * 2, _BAR, None, 3, _INK, dashed=True)))
    x = _MARGIN
    for place, (words, box) in enumerate(signs):
        sign = replace(box, x=x, y=y)
        shapes += [sign] if sign.dashed else _filled(sign, is_full=place == 0)
        shapes.append(Text(x + 3 * _BAR, y + _LETTER, words, _LETTER, _INK))
        x += 4 * _BAR + text_width(words, _LETTER)
    height = y + (_STEP if signs else 0) + _MARGIN
    return Drawing(name, title, _PAGE, height, (Rectangle(0, 0, _PAGE, height, _PAPER), *shapes))


def _bar(bar: Bar, y: int, longest: int, *, is_full: bool) -> Iterator[Shape]:
    room = _PAGE - 2 * _MARGIN - _NAMES - _SUMS
    box = Rectangle(_MARGIN + _NAMES, y, max(1, bar.length * room // longest), _BAR, _LIGHT, 3, _INK)
    yield from _filled(box, is_full=is_full)
    end = box.x + max(1, (bar.length + bar.saved) * room // longest)
    if bar.saved:
        yield Rectangle(box.x + box.w, y, end - box.x - box.w, _BAR, None, 3, _INK, dashed=True)
    yield Text(end + 20, y + _LETTER, bar.words, _LETTER, _INK)


def _filled(box: Rectangle, *, is_full: bool) -> Iterator[Shape]:
    if is_full:
        yield Rectangle(box.x, box.y, box.w, box.h, _FULL, box.line, box.colour)
    else:
        yield box
        yield from hatching(box, 24, 4, _FULL)

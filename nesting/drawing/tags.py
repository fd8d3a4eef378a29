"""Cut numbers and part letters on the drawing of a sheet, as in its list, each where nothing runs through it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.bench.cutting_list import Fate, Part
from nesting.bench.steps import Step
from nesting.drawing.lettering import text_width
from nesting.drawing.shapes import Anchor, Line, Rectangle, Shape, Text, apart
from nesting.drawing.view import View
from nesting.model.cut_tree import Way

__all__ = ["Tag", "draw_tags", "place_tags"]

_LETTER, _HIGH, _AIR, _LEAST = 34, 42, 8, 34
_INK, _PAPER = "#101820", "#ffffff"


@dataclass(frozen=True, slots=True)
class Tag:
    """The number of a cut, white on black, or the letter of a part, in a box."""

    words: str
    box: Rectangle
    is_number: bool


@dataclass(frozen=True, slots=True)
class _Blade:
    """The way of the blade on the page, and on which side of it the cut piece lies."""

    line: Line
    off: Part
    rest: Part | None
    before: str

    @property
    def is_upright(self) -> bool:
        return self.line.x1 == self.line.x2

    @property
    def length(self) -> int:
        return abs(self.line.x2 - self.line.x1) + abs(self.line.y2 - self.line.y1)


def place_tags(steps: Sequence[Step], view: View, windows: Sequence[Rectangle]) -> tuple[Tag, ...]:
    """Return the tags of a sheet: each cut's number on its line, each part's letter beside the cut that made it.

    Parameters
    ----------
    steps : sequence of Step
        Of the sheet.
    view : View
        Where it lies on the page.
    windows : sequence of Rectangle
        Of the mats on it, on the page; no tag stands on the edge of one where that can be helped.

    Returns
    -------
    tuple of Tag
        None covers another.
    """
    blades = {step.number: _blade(step, view) for step in steps if not step.is_edges}
    edges = [strip for window in windows for strip in _outline(window)]
    tags: list[Tag] = []
    if steps and steps[0].is_edges:
        whole = view.whole(_PAPER)
        tags.append(_tag(str(steps[0].number), whole.x, whole.y - _HIGH // 2 - _AIR, is_number=True, start=True))
    for number, blade in blades.items():
        others = [_strip(other.line) for key, other in blades.items() if key != number]
        for side, words in ((0, str(number)), *_letters(blade)):
            spots = list(_spots(blade, words, side))
            tags.append(_free(spots, [tag.box for tag in tags], edges, others))
    return tuple(tags)


def draw_tags(tags: Sequence[Tag]) -> Iterator[Shape]:
    """Yield the shapes of tags, each on a ground of its own."""
    for tag in tags:
        box = tag.box
        yield Rectangle(box.x, box.y, box.w, box.h, _INK if tag.is_number else _PAPER, 3, _INK)
        x, y = box.x + box.w // 2, box.y + box.h // 2 + _LETTER * 3 // 8
        colour = _PAPER if tag.is_number else _INK
        yield Text(x, y, tag.words, _LETTER, colour, Anchor.MIDDLE, bold=True)


def _blade(step: Step, view: View) -> _Blade:
    (cut,) = step.cuts
    off = view.box(cut.off.at, cut.off.size)
    far_x, far_y = (off.x, off.y + off.h) if cut.way is Way.UPRIGHT else (off.x + off.w, off.y)
    return _Blade(Line(off.x, off.y, far_x, far_y, 7, _INK), cut.off, cut.rest, cut.part.name)


def _letters(blade: _Blade) -> Iterator[tuple[int, str]]:
    """Yield the letter of each part that is new with this cut and is cut again, and its side of the blade."""
    if blade.off.fate is Fate.DIVIDE:
        yield 1, blade.off.name
    rest = blade.rest
    if rest is not None and rest.fate is Fate.DIVIDE and rest.name != blade.before:
        yield -1, rest.name


def _spots(blade: _Blade, words: str, side: int) -> Iterator[Tag]:
    """Yield where a tag may stand along its cut, near the ends first, since names stand in the middle of parts."""
    wide = max(_LEAST, text_width(words, _LETTER)) + _AIR
    along, deep = (_HIGH, wide) if blade.is_upright else (wide, _HIGH)
    near, far = along // 2 + _AIR, blade.length - along // 2 - _AIR
    away = side * (deep // 2 + _AIR)
    for eighth in (0, 8, 1, 7, 2, 6, 3, 5, 4):
        place = near + (far - near) * eighth // 8
        x = blade.line.x1 + (away if blade.is_upright else place)
        y = blade.line.y1 + (place if blade.is_upright else away)
        yield _tag(words, x, y, is_number=side == 0)


def _tag(words: str, x: int, y: int, *, is_number: bool, start: bool = False) -> Tag:
    wide = max(_LEAST, text_width(words, _LETTER)) + _AIR
    return Tag(words, Rectangle(x - (0 if start else wide // 2), y - _HIGH // 2, wide, _HIGH), is_number)


def _free(spots: list[Tag], tags: list[Rectangle], edges: list[Rectangle], lines: list[Rectangle]) -> Tag:
    """Return the first place that hides nothing; failing that one on a line, then on a window, then on a tag."""
    for taken in ([*tags, *edges, *lines], [*tags, *edges], tags, []):
        for spot in spots:
            if apart(spot.box, taken):
                return spot
    return spots[0]


def _strip(line: Line) -> Rectangle:
    return Rectangle(line.x1 - 3, line.y1 - 3, line.x2 - line.x1 + 6, line.y2 - line.y1 + 6)


def _outline(box: Rectangle) -> Iterator[Rectangle]:
    for x, y, w, h in (
        (box.x, box.y, box.w, 0),
        (box.x, box.y + box.h, box.w, 0),
        (box.x, box.y, 0, box.h),
        (box.x + box.w, box.y, 0, box.h),
    ):
        yield Rectangle(x - 3, y - 3, w + 6, h + 6)

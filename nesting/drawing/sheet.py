"""The picture of one sheet: its blanks, offcuts and edges as they lie on the bench, face down."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import count
from typing import assert_never

from nesting.bench.rounds import leftover_names
from nesting.drawing.labels import Label, label_shapes, paragraph
from nesting.drawing.lettering import text_width
from nesting.drawing.shapes import Anchor, Drawing, Line, Rectangle, Shape, Text, hatching
from nesting.geometry import Point, Size
from nesting.lengths import TICKS_PER_MM
from nesting.model.cut_tree import Offcut, Placed, leaves
from nesting.model.plan import (
    CutSheet,
    FalloutLeft,
    FromFallout,
    OffcutLeft,
    PlacedMat,
    Plan,
)
from nesting.money import half_up
from nesting.names import NO_BREAK, UNIT_WORDS, Names, keep_together, length_words, ruler_size_words, size_words

__all__ = ["FROM_THE_BACK", "draw_sheet", "draw_sheets"]

FROM_THE_BACK = "Seen from the back, turned over like a page: left and right change sides, the top stays at the top."
"""What is said beside a drawing of a sheet that is seen from the back."""

# Tenths of a millimetre on a page that both A4 and letter paper hold.
_PAGE, _MARGIN, _TEXT_ROOM = 1900, 60, 1780
_ROOM = Size(1690, 1690)
_LEFT = 150
# The paper that an inch of board takes at most, so that a small fallout is not drawn as large as a sheet.
_LARGEST_SCALE, _LEAST_SIDE = Fraction(100, 16256), 1000
_INK, _PAPER, _BLANK, _KEEP, _SCRAP, _HATCH = "#101820", "#ffffff", "#fffdf4", "#e3eefb", "#e6e6e6", "#5b6670"
_KEY_LETTER, _NOTE_LETTER, _HEAD_LETTER = 38, 34, 66


@dataclass(frozen=True, slots=True)
class _View:
    """How a sheet lies on the page: from the back, so that what is left on the sheet is right on the page."""

    size: Size
    scale: Fraction
    top: int

    def box(self, at: Point, size: Size, fill: str | None = None, line: int = 0, *, dashed: bool = False) -> Rectangle:
        x1, x2 = self._paper(self.size.w - at.x - size.w), self._paper(self.size.w - at.x)
        y1, y2 = self._paper(self.size.h - at.y - size.h), self._paper(self.size.h - at.y)
        return Rectangle(_LEFT + x1, self.top + y1, x2 - x1, y2 - y1, fill, line, _INK, dashed)

    def whole(self, fill: str) -> Rectangle:
        return self.box(Point(0, 0), self.size, fill)

    def _paper(self, ticks: int) -> int:
        return int(ticks * self.scale + Fraction(1, 2))


def draw_sheets(plan: Plan) -> tuple[Drawing, ...]:
    """Draw every sheet, shelf piece and fallout that is cut.

    Parameters
    ----------
    plan : Plan
        The plan to show.

    Returns
    -------
    tuple of Drawing
        One for each of `plan.sheets`, in their order.
    """
    return tuple(draw_sheet(plan, sheet) for sheet in plan.sheets)


def draw_sheet(plan: Plan, sheet: CutSheet, *, depth: int = _ROOM.h, head: bool = True) -> Drawing:
    """Draw one sheet as it lies on the bench face down, where it is marked and cut.

    The geometry is mirrored, the words are not. Every blank is named with its id and its size as it lies, every offcut
    as the lists name it; a blank too small for its words bears a number that the key below explains.

    Parameters
    ----------
    plan : Plan
        The plan that the sheet is part of.
    sheet : CutSheet
        One of `plan.sheets`.
    depth : int
        How high the sheet itself may be on the page, in tenths of a millimetre, so that its cuts fit below it; the
        words keep their size.
    head : bool
        Whether its id, its board and where it comes from stand above it; a page that says so already needs no more
        than how it is seen.

    Returns
    -------
    Drawing
        A page 190 mm wide and as high as it needs.
    """
    names = Names(plan.job, plan.mats)
    above = tuple(_head(plan, names, sheet) if head else _how(_NOTE_LETTER))
    view = _View(sheet.size, _scale(sheet.size, depth), _lowest(above) + 90)
    labels = tuple(_labels(plan, names, sheet, view))
    words, key = _written(labels)
    body = (*_ground(sheet, view), *_parts(plan, sheet, view, labels), *words, *_rulers(plan, view))
    notes = tuple(_notes(plan, sheet, key, view))
    shapes = (*above, *body, *notes)
    title = f"{sheet.id}, {sheet.board}, {size_words(sheet.size, plan.job.bench)}, seen from the back"
    height = _lowest(notes) + (_MARGIN if head else _NOTE_LETTER)
    return Drawing(sheet.id, title, _PAGE, height, (Rectangle(0, 0, _PAGE, height, _PAPER), *shapes))


def _scale(size: Size, depth: int) -> Fraction:
    """Return how much paper a tick takes: all there is for a sheet, less for a fallout, never too little for words."""
    wanted = max(_LARGEST_SCALE, Fraction(_LEAST_SIDE, max(size)))
    return min(Fraction(_ROOM.w, size.w), Fraction(depth, size.h), wanted)


def _lowest(shapes: tuple[Shape, ...]) -> int:
    return max(shape.y for shape in shapes if isinstance(shape, Text))


def _head(plan: Plan, names: Names, sheet: CutSheet) -> Iterator[Shape]:
    """Yield the number of the sheet in a mat of its own, its board, where it comes from and how it is seen."""
    wide = text_width(sheet.id, _HEAD_LETTER) + 50
    yield Rectangle(_MARGIN, _MARGIN, wide + 44, 154, _INK)
    yield Rectangle(_MARGIN + 22, _MARGIN + 22, wide, 110, _PAPER)
    yield Text(_MARGIN + 22 + wide // 2, _MARGIN + 101, sheet.id, _HEAD_LETTER, _INK, Anchor.MIDDLE, bold=True)
    left = _MARGIN + wide + 90
    swatch = plan.job.board(sheet.board).swatch
    if swatch is not None:
        yield Rectangle(_PAGE - _MARGIN - 150, _MARGIN, 150, 110, swatch, 4, _INK)
    room = _PAGE - left - _MARGIN - 180
    board = paragraph(left, _MARGIN + 58, sheet.board, _HEAD_LETTER - 6, room, colour=_INK, bold=True)
    source = f"{size_words(sheet.size, plan.job.bench)}, {names.source(sheet)}"
    origin = paragraph(left, board[-1].y + 66, source, _KEY_LETTER, room, colour=_INK)
    yield from (*board, *origin)
    yield from _how(max(_MARGIN + 220, origin[-1].y + 70))


def _how(y: int) -> tuple[Text, ...]:
    return paragraph(_MARGIN, y, FROM_THE_BACK, _NOTE_LETTER, _TEXT_ROOM, colour=_INK)


def _ground(sheet: CutSheet, view: _View) -> Iterator[Shape]:
    """Yield the edges that are cut off, dark, and what the blade removes, black between the parts."""
    yield view.whole(_HATCH)
    yield view.box(sheet.root.at, sheet.root.size, _INK)


def _parts(plan: Plan, sheet: CutSheet, view: _View, labels: tuple[Label, ...]) -> Iterator[Shape]:
    for label in labels:
        yield label.box
        if label.box.fill != _BLANK:
            yield from hatching(label.box, 44, 3, _HATCH)
        if label.box.fill == _SCRAP:
            yield from hatching(label.box, 44, 3, _HATCH, falling=True)
        yield Rectangle(label.box.x, label.box.y, label.box.w, label.box.h, None, 7, _INK)
    for leaf in leaves(sheet.root):
        if isinstance(leaf, Placed):
            for at, size in _windows(plan.mats[leaf.item], leaf.at):
                yield view.box(at, size, None, 3, dashed=True)


def _windows(placed: PlacedMat, at: Point) -> Iterator[tuple[Point, Size]]:
    """Yield the place on the sheet and the size of each window of a mat as it lies; a turned mat lies on its left."""
    for window in placed.mat.windows:
        x, y = window.at
        if placed.turned:
            yield Point(at.x + y, at.y + placed.mat.blank.w - x - window.size.w), window.size.turned
        else:
            yield Point(at.x + x, at.y + y), window.size


def _labels(plan: Plan, names: Names, sheet: CutSheet, view: _View) -> Iterator[Label]:
    bench, offcuts = plan.job.bench, _offcuts(plan, sheet)
    for leaf in leaves(sheet.root):
        size = ruler_size_words(leaf.size, bench)
        match leaf:
            case Placed(at, area, item):
                placed = plan.mats[item]
                name, remarks = f"{placed.mat.id} {names.mat(placed.mat)}", _remarks(plan, placed)
                lines = (name.replace(" of ", f"{NO_BREAK}of{NO_BREAK}"), keep_together(size), *remarks)
                yield Label(view.box(at, area, _BLANK), lines, "; ".join((name, size, *remarks)))
            case Offcut(at, area):
                name, keep = offcuts[at]
                called = name.replace(" ", NO_BREAK)
                if keep:
                    lines = ("KEEP", called, keep_together(size))
                    yield Label(view.box(at, area, _KEEP), lines, f"KEEP; {name}; {size}")
                else:
                    yield Label(view.box(at, area, _SCRAP), ("scrap", called), "")
            case _ as never:
                assert_never(never)


def _offcuts(plan: Plan, sheet: CutSheet) -> dict[Point, tuple[str, bool]]:
    """Return what the offcut at each place is called on its sheet, and whether it is kept."""
    return {
        left.at: (name.removeprefix(f"{sheet.id} "), left.keep)
        for left, name in zip(plan.leftover, leftover_names(plan), strict=True)
        if isinstance(left, OffcutLeft) and left.sheet == sheet.id
    }


def _remarks(plan: Plan, placed: PlacedMat) -> tuple[str, ...]:
    """Say what becomes of what falls out of the windows of a mat."""
    mat = placed.mat.id
    sheets = [s.id for s in plan.sheets if isinstance(s.source, FromFallout) and s.source.mat == mat]
    kept = sum(isinstance(left, FalloutLeft) and left.mat == mat and left.keep for left in plan.leftover)
    remarks = []
    if sheets:
        remarks.append(f"fallout: {', '.join(sheets)}")
    if kept:
        remarks.append("keep its fallout" if len(placed.mat.windows) == 1 else f"keep {kept} of its fallouts")
    return tuple(remarks)


def _written(labels: tuple[Label, ...]) -> tuple[tuple[Shape, ...], tuple[str, ...]]:
    """Return the words inside the parts, and the lines of the key for the parts that hold no more than a number."""
    shapes: list[Shape] = []
    key: list[str] = []
    numbers = count(1)
    for label in labels:
        inside = label_shapes(label.box, label.lines, _INK)
        if not inside and not label.key:
            inside = label_shapes(label.box, label.lines[:1], _INK)
        if not inside and label.key:
            number = str(next(numbers))
            inside = label_shapes(label.box, (number,), _INK)
            key.append(f"{number}: {label.key}" if inside else f"{number} (too narrow for its number): {label.key}")
        shapes.extend(inside)
    return tuple(shapes), tuple(key)


def _rulers(plan: Plan, view: _View) -> Iterator[Shape]:
    """Yield the width below the sheet, the height at its left and the word that says where its top is."""
    box, bench = view.whole(_INK), plan.job.bench
    below, beside = box.y + box.h + 34, _LEFT - 34
    yield Text(box.x + box.w // 2, box.y - 22, "TOP", _KEY_LETTER, _INK, Anchor.MIDDLE, bold=True)
    yield Line(box.x, below, box.x + box.w, below, 4, _INK)
    yield Line(beside, box.y, beside, box.y + box.h, 4, _INK)
    for x in (box.x, box.x + box.w):
        yield Line(x, below - 14, x, below + 14, 4, _INK)
    for y in (box.y, box.y + box.h):
        yield Line(beside - 14, y, beside + 14, y, 4, _INK)
    wide, high = (length_words(length, bench) for length in view.size)
    yield Text(box.x + box.w // 2, below + 50, wide, _KEY_LETTER, _INK, Anchor.MIDDLE)
    yield Text(beside - 22, box.y + box.h // 2, high, _KEY_LETTER, _INK, Anchor.MIDDLE, upright=True)


def _notes(plan: Plan, sheet: CutSheet, key: tuple[str, ...], view: _View) -> Iterator[Text]:
    """Yield the key of the numbers and what the lines and hatchings mean."""
    y = view.top + view.whole(_INK).h + 140
    for line in key:
        rows = paragraph(_MARGIN, y, line, _KEY_LETTER, _TEXT_ROOM, colour=_INK)
        yield from rows
        y = rows[-1].y + 50
    meaning = " ".join(_meaning(plan, sheet, view))
    yield from paragraph(_MARGIN, y + 10, meaning, _NOTE_LETTER, _TEXT_ROOM, colour=_INK)


def _meaning(plan: Plan, sheet: CutSheet, view: _View) -> Iterator[str]:
    bench, edge = plan.job.bench, sheet.root.at.x
    yield f"Drawn to scale, 1 to {_times_smaller(view.scale)}."
    yield f"Sizes in {UNIT_WORDS[bench.unit]}, width by height as the part lies here."
    yield "Hatched one way: keep for the shelf. Hatched both ways: scrap. Dashed: a window."
    if edge:
        name = "squaring" if isinstance(sheet.source, FromFallout) else "trim"
        yield f"Dark edge: {name}, {length_words(edge, bench)} cut off each side first."
    if not plan.job.board(sheet.board).turn:
        yield "The surface of this board has a direction: nothing cut from it is turned."


def _times_smaller(scale: Fraction) -> str:
    """Return how many times smaller the paper is than the board, to the tenth."""
    tenths = half_up(Fraction(100, TICKS_PER_MM) / scale)
    return f"{tenths // 10}.{tenths % 10}"

"""The picture of one sheet: its blanks, offcuts and edges as they lie on the bench, face down."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import assert_never

from nesting.bench.cut_order import cutting_list
from nesting.bench.rounds import Batch, leftover_labels
from nesting.bench.steps import steps_of
from nesting.drawing.labels import Label, label_shapes, paragraph
from nesting.drawing.lettering import text_width
from nesting.drawing.shapes import Anchor, Drawing, Line, Rectangle, Shape, Text, hatching
from nesting.drawing.tags import Tag, draw_tags, place_tags
from nesting.drawing.view import View
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

__all__ = ["FROM_THE_BACK", "LEGEND", "draw_sheet", "draw_sheets", "tags_of", "view_beside"]

FROM_THE_BACK = "Seen from the back, turned over like a page: left and right change sides, the top stays at the top."
"""What is said beside a drawing of a sheet that is seen from the back."""
LEGEND = (
    "White on black: the number of the cut in the list. A letter in a box: the part with that name. Hatched one way: "
    "keep for the shelf. Hatched both ways: scrap. Dashed: a window."
)
"""What the signs on a drawing of a sheet mean."""

# Tenths of a millimetre on a page that both A4 and letter paper hold.
_PAGE, _MARGIN, _AIR = 1900, 60, 20
# The paper that an inch of board takes at most, so that a small fallout is not drawn as large as a sheet.
_LARGEST_SCALE, _LEAST_SIDE = Fraction(100, 16256), 1000
_INK, _PAPER, _BLANK, _KEEP, _SCRAP, _HATCH = "#101820", "#ffffff", "#fffdf4", "#e3eefb", "#e6e6e6", "#5b6670"
_KEY_LETTER, _NOTE_LETTER, _HEAD_LETTER = 38, 34, 66
# The side of a full sheet, in ticks.
_LONG = 40 * 16256


@dataclass(frozen=True, slots=True)
class _Page:
    """A page: its width, where the sheet begins on it and how large it may be, and the room for lines of words."""

    width: int
    left: int
    room: Size
    margin: int

    @property
    def text_room(self) -> int:
        return self.width - 2 * self.margin


_WHOLE_PAGE = _Page(_PAGE, 150, Size(1690, 1690), _MARGIN)
_BESIDE = _Page(730, 80, Size(645, 1150), 0)


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


def draw_sheet(plan: Plan, sheet: CutSheet, *, beside: bool = False) -> Drawing:
    """Draw one sheet as it lies on the bench face down, where it is marked and cut.

    The geometry is mirrored, the words are not. Every blank is named with its id and its size as it lies, every offcut
    by its label; each cut has its number in the list, each part its letter. A blank too small for its words bears a
    number that the key below explains. Sheets of one size are drawn to one scale.

    Parameters
    ----------
    plan : Plan
        The plan that the sheet is part of.
    sheet : CutSheet
        One of `plan.sheets`.
    beside : bool
        Whether it stands beside its list of cuts, which says the rest, under a title that says what it is.

    Returns
    -------
    Drawing
        A page 190 mm wide, or 73 mm for beside a list, and as high as it needs.
    """
    names = Names(plan.job, plan.mats)
    above = () if beside else tuple(_head(plan, names, sheet))
    page = _BESIDE if beside else _WHOLE_PAGE
    view = view_beside(plan, sheet) if beside else _view_below(plan, sheet, above)
    windows = tuple(_all_windows(plan, sheet, view))
    tags = tags_of(plan, sheet, view)
    labels = tuple(_labels(plan, names, sheet, view, beside=beside))
    words, key = _written(labels, [tag.box for tag in tags])
    body = (
        *_ground(sheet, view),
        *_parts(labels),
        *windows,
        *draw_tags(tags),
        *words,
        *_rulers(plan, view),
        *_top(view, beside=beside),
    )
    notes = tuple(_notes(plan, sheet, key, view, page, beside=beside))
    shapes = (*above, *body, *notes)
    title = f"{sheet.id}, {sheet.board}, {size_words(sheet.size, plan.job.bench)}, seen from the back"
    height = _lowest(shapes) + (_AIR // 2 if beside else _MARGIN)
    return Drawing(sheet.id, title, page.width, height, (Rectangle(0, 0, page.width, height, _PAPER), *shapes))


def tags_of(plan: Plan, sheet: CutSheet, view: View) -> tuple[Tag, ...]:
    """Return the numbers and letters on the drawing of a sheet."""
    steps = steps_of(cutting_list(plan, Batch((sheet,))))
    return place_tags(steps, view, tuple(_all_windows(plan, sheet, view)))


def view_beside(plan: Plan, sheet: CutSheet) -> View:
    """Return how a sheet lies on the page that stands beside its list of cuts."""
    return View(sheet.size, _scale(plan, sheet, beside=True), _BESIDE.left, 60)


def _view_below(plan: Plan, sheet: CutSheet, above: tuple[Shape, ...]) -> View:
    """Return how a sheet lies on a page of its own, below its heading."""
    return View(sheet.size, _scale(plan, sheet, beside=False), _WHOLE_PAGE.left, _lowest(above) + 90)


def _scale(plan: Plan, sheet: CutSheet, *, beside: bool) -> Fraction:
    """Return how much paper a tick takes: the same for all sheets of a size, however they lie."""
    long, short = max(sheet.size), min(sheet.size)
    alike = [other.size for other in plan.sheets if sorted(other.size) == [short, long]]
    room = _BESIDE.room if beside else _WHOLE_PAGE.room
    fits = min(min(Fraction(room.w, size.w), Fraction(room.h, size.h)) for size in alike or [sheet.size])
    if beside:
        # A sheet of 40 in takes 90 mm, a fallout of 5 in still 40, so that its words have room.
        return min(fits, max(Fraction(400), 190 + Fraction(710 * long, _LONG)) / long)
    return min(fits, max(_LARGEST_SCALE, Fraction(_LEAST_SIDE, long)))


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
    return paragraph(_MARGIN, y, FROM_THE_BACK, _NOTE_LETTER, _WHOLE_PAGE.text_room, colour=_INK)


def _ground(sheet: CutSheet, view: View) -> Iterator[Shape]:
    """Yield the edges that are cut off, dark, and what the blade removes, black between the parts."""
    yield view.whole(_HATCH)
    yield view.box(sheet.root.at, sheet.root.size, _INK)


def _parts(labels: tuple[Label, ...]) -> Iterator[Shape]:
    for label in labels:
        yield label.box
        if label.box.fill != _BLANK:
            yield from hatching(label.box, 44, 3, _HATCH)
        if label.box.fill == _SCRAP:
            yield from hatching(label.box, 44, 3, _HATCH, falling=True)
        yield Rectangle(label.box.x, label.box.y, label.box.w, label.box.h, None, 7, _INK)


def _all_windows(plan: Plan, sheet: CutSheet, view: View) -> Iterator[Rectangle]:
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


def _labels(plan: Plan, names: Names, sheet: CutSheet, view: View, *, beside: bool) -> Iterator[Label]:
    bench, offcuts = plan.job.bench, _offcuts(plan, sheet)
    for leaf in leaves(sheet.root):
        size = ruler_size_words(leaf.size, bench)
        short = keep_together(size)
        match leaf:
            case Placed(at, area, item):
                placed = plan.mats[item]
                mat, box = placed.mat.id, view.box(at, area, _BLANK)
                name, remarks = f"{mat} {names.mat(placed.mat)}", _remarks(plan, placed)
                called = name.replace(" of ", f"{NO_BREAK}of{NO_BREAK}")
                windows = [view.box(*window, _BLANK) for window in _windows(placed, at)]
                full, fewer = (called, short, *remarks), ((mat, short), (mat,))
                key = "; ".join((name, *remarks) if beside else (name, size, *remarks))
                yield Label(box, tuple(_spots(box, windows)), (full, *(fewer if beside else ())), key)
            case Offcut(at, area):
                label, keep = offcuts[at]
                if keep:
                    box, less = view.box(at, area, _KEEP), (("KEEP", label), ("KEEP",))
                    kept = ("KEEP", label, short), *(less if beside else ())
                    yield Label(box, (box,), kept, f"KEEP {label}" if beside else f"KEEP; {label}; {size}")
                else:
                    box = view.box(at, area, _SCRAP)
                    yield Label(box, (box,), (("scrap",),), "")
            case _ as never:
                assert_never(never)


def _spots(box: Rectangle, windows: list[Rectangle]) -> Iterator[Rectangle]:
    """Yield where words on a blank hide none of its windows: in a window, or on a border."""
    if not windows:
        yield box
        return
    yield max(windows, key=lambda window: window.w * window.h)
    left, top = min(window.x for window in windows), min(window.y for window in windows)
    right, low = max(window.x + window.w for window in windows), max(window.y + window.h for window in windows)
    yield Rectangle(box.x, low, box.w, box.y + box.h - low, box.fill)
    yield Rectangle(box.x, box.y, box.w, top - box.y, box.fill)
    yield Rectangle(box.x, box.y, left - box.x, box.h, box.fill)
    yield Rectangle(right, box.y, box.x + box.w - right, box.h, box.fill)


def _offcuts(plan: Plan, sheet: CutSheet) -> dict[Point, tuple[str, bool]]:
    """Return the label of the offcut at each place, and whether it is kept."""
    return {
        left.at: (label, left.keep)
        for left, label in zip(plan.leftover, leftover_labels(plan), strict=True)
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


def _written(labels: tuple[Label, ...], tags: list[Rectangle]) -> tuple[tuple[Shape, ...], tuple[str, ...]]:
    """Return the words inside the parts, and the lines of the key for the parts that hold fewer words or a number."""
    shapes: list[Shape] = []
    key: list[str] = []
    numbered = 0
    for label in labels:
        full, *fewer = label.words
        inside = label_shapes(label.spots, (full,), _INK, tags)
        if not inside and label.key:
            inside = label_shapes(label.spots, fewer, _INK, tags)
            key.append(label.key)
        if not inside and label.key:
            number = f"({numbered + 1})"
            inside = label_shapes(label.spots, ((number,),), _INK, tags)
            numbered += bool(inside)
            key[-1] = f"{number} {label.key}" if inside else f"Too narrow for words: {label.key}"
        shapes.extend(inside)
    return tuple(shapes), tuple(key)


def _rulers(plan: Plan, view: View) -> Iterator[Shape]:
    """Yield the width below the sheet and the height at its left."""
    box, bench = view.whole(_INK), plan.job.bench
    below, beside = box.y + box.h + 26, box.x - 26
    yield Line(box.x, below, box.x + box.w, below, 4, _INK)
    yield Line(beside, box.y, beside, box.y + box.h, 4, _INK)
    for x in (box.x, box.x + box.w):
        yield Line(x, below - 14, x, below + 14, 4, _INK)
    for y in (box.y, box.y + box.h):
        yield Line(beside - 14, y, beside + 14, y, 4, _INK)
    wide, high = (length_words(length, bench) for length in view.size)
    yield Text(box.x + box.w // 2, below + 50, wide, _KEY_LETTER, _INK, Anchor.MIDDLE)
    yield Text(beside - 22, box.y + box.h // 2, high, _KEY_LETTER, _INK, Anchor.MIDDLE, upright=True)


def _top(view: View, *, beside: bool) -> Iterator[Text]:
    """Name the top edge; beside a list of cuts the way it is seen and its scale stand in the same line."""
    box = view.whole(_INK)
    y = box.y - 22
    if beside:
        left = box.x + 50  # beside the number of the cuts that give a sheet its edges, which stands in this corner
        yield Text(left, y, "TOP", _KEY_LETTER, _INK, bold=True)
        said = f"From the back, scale 1:{_times_smaller(view.scale)}"
        yield Text(left + text_width("TOP", _KEY_LETTER) + _AIR, y, said, _NOTE_LETTER, _INK)
    else:
        yield Text(box.x + box.w // 2, y, "TOP", _KEY_LETTER, _INK, Anchor.MIDDLE, bold=True)


def _notes(
    plan: Plan, sheet: CutSheet, key: tuple[str, ...], view: View, page: _Page, *, beside: bool
) -> Iterator[Text]:
    """Yield the key of the numbers and what the lines and hatchings mean."""
    y = view.top + view.whole(_INK).h + 118
    for line in key:
        rows = paragraph(page.margin, y, line, _KEY_LETTER, page.text_room, colour=_INK)
        yield from rows
        y = rows[-1].y + 50
    meaning = " ".join(_meaning(plan, sheet, view, beside=beside))
    if meaning:
        yield from paragraph(page.margin, y, meaning, _NOTE_LETTER, page.text_room, colour=_INK)


def _meaning(plan: Plan, sheet: CutSheet, view: View, *, beside: bool) -> Iterator[str]:
    bench, edge = plan.job.bench, sheet.root.at.x
    if not beside:
        yield f"Drawn to scale, 1 to {_times_smaller(view.scale)}."
        yield f"Sizes in {UNIT_WORDS[bench.unit]}, width by height as the part lies here."
        yield LEGEND
    if edge and not beside:
        name = "squaring" if isinstance(sheet.source, FromFallout) else "trim"
        yield f"Dark edge: {name}, {length_words(edge, bench)} cut off each side first."
    if beside and not plan.job.board(sheet.board).turn:
        yield "It has a direction: turn nothing."
    elif not plan.job.board(sheet.board).turn:
        yield "The surface of this board has a direction: nothing cut from it is turned."


def _times_smaller(scale: Fraction) -> str:
    """Return how many times smaller the paper is than the board, to the tenth."""
    tenths = half_up(Fraction(100, TICKS_PER_MM) / scale)
    return f"{tenths // 10}.{tenths % 10}"

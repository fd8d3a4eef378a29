"""The wall at a glance: every framed piece to one scale, so that its look can be judged before a sheet is cut."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from nesting.bench.proportions import Note, border_notes
from nesting.drawing.fractions import unbroken
from nesting.drawing.labels import paragraph
from nesting.drawing.shapes import Drawing, Rectangle, Shape, Text, hatching, moved
from nesting.geometry import Size
from nesting.lengths import round_down
from nesting.model.job import Bench, Job, Piece
from nesting.model.mat import Mat
from nesting.model.plan import PlacedMat, Plan
from nesting.names import UNIT_WORDS, Names, length_words

__all__ = ["draw_wall", "wall_notes"]

# Tenths of a millimetre on a page that both A4 and letter paper hold.
_PAGE, _DEPTH, _MARGIN, _GAP = 1900, 2560, 60, 60
_ROOM = _PAGE - 2 * _MARGIN
_TALLEST, _WIDEST, _NARROWEST = 440, 560, 390
_LARGEST_SCALE = Fraction(100, 16256)
_INK, _PAPER, _FRAME, _HATCH = "#101820", "#ffffff", "#3b3531", "#5b6670"
_NAME_LETTER, _SMALL_LETTER = 38, 32


@dataclass(frozen=True, slots=True)
class _Framed:
    """One framed piece: its layers, the front one first, and how much of all of it is seen and how much is frame."""

    piece: Piece
    copy: int
    layers: tuple[PlacedMat, ...]
    lip: Fraction

    @property
    def front(self) -> Mat:
        return self.layers[0].mat

    @property
    def frame(self) -> Fraction:
        return self.piece.moulding_width or Fraction(0)

    @property
    def outer(self) -> tuple[Fraction, Fraction]:
        """Width and height from edge to edge of the frame."""
        more = 2 * (self.frame - self.lip)
        return self.front.blank.w + more, self.front.blank.h + more


@dataclass(frozen=True, slots=True)
class _Cell:
    """A framed piece with its caption, drawn from the upper left corner of its place."""

    width: int
    height: int
    shapes: tuple[Shape, ...]


def draw_wall(plan: Plan, *, depth: int = _DEPTH) -> tuple[Drawing, ...]:
    """Draw every framed piece as it will be seen: frame, borders less the lip, reveal and window.

    A board without a swatch is hatched, one on the front rising and one behind it falling, so that no colour is
    invented. Below each piece stand its boards and the borders that are seen, and the number of its note, if any.

    Parameters
    ----------
    plan : Plan
        The plan to show.
    depth : int
        How high a page may be, in tenths of a millimetre.

    Returns
    -------
    tuple of Drawing
        Pages 190 mm wide, all to one scale, group by group where groups are used.
    """
    framed = tuple(_framed(plan))
    scale = _scale(framed)
    numbers = {piece: number for number, note in enumerate(wall_notes(plan), start=1) for piece in note.pieces}
    cells = [(each.piece.group, _cell(plan, each, scale, numbers.get(each.piece.name))) for each in framed]
    rows = [*_heading(plan), *_rows(cells)]
    return tuple(_pages(rows, depth))


def wall_notes(plan: Plan) -> tuple[Note, ...]:
    """Return what may look odd on the wall, in the order of the numbers that the drawing gives; no rule, only practice.

    Parameters
    ----------
    plan : Plan
        The plan to judge.

    Returns
    -------
    tuple of Note
        The first is note 1.
    """
    return border_notes(plan.job, [placed.mat for placed in plan.mats])


def _framed(plan: Plan) -> Iterator[_Framed]:
    pieces = {piece.name: piece for piece in plan.job.pieces}
    for (name, copy), layers in groupby(plan.mats, key=lambda placed: (placed.mat.piece, placed.mat.copy)):
        piece = pieces[name]
        seen = [placed for placed in layers if placed.mat.layer == 0 or placed.mat.windows]
        yield _Framed(piece, copy, tuple(seen), plan.job.bench.lip)


def _scale(framed: Sequence[_Framed]) -> Fraction:
    """Return how much paper a tick takes so that the largest piece leaves room for others beside it."""
    wide, high = (max((each.outer[axis] for each in framed), default=Fraction(1)) for axis in (0, 1))
    return min(_LARGEST_SCALE, Fraction(_WIDEST) / wide, Fraction(_TALLEST) / high)


def _cell(plan: Plan, framed: _Framed, scale: Fraction, note: int | None) -> _Cell:
    wide, high = (_paper(side, scale) for side in framed.outer)
    room = max(wide, _NARROWEST)
    left = (room - wide) // 2
    picture = tuple(_picture(plan.job, framed, scale, Rectangle(left, 0, wide, high)))
    caption = tuple(_caption(plan, framed, room, high, note))
    return _Cell(room, caption[-1].y + 40, (*picture, *caption))


def _picture(job: Job, framed: _Framed, scale: Fraction, outer: Rectangle) -> Iterator[Shape]:
    """Yield the frame, the mat inside it and what is seen through its windows; each covers what lies under it."""
    edge = _paper(framed.frame, scale)
    yield Rectangle(outer.x, outer.y, outer.w, outer.h, _FRAME, 4, _INK)
    sight = Rectangle(outer.x + edge, outer.y + edge, outer.w - 2 * edge, outer.h - 2 * edge)
    yield from _board(job, framed.layers[0], sight)
    hidden = framed.lip * scale
    for place, window in enumerate(framed.front.windows):
        top = framed.front.blank.h - window.at.y - window.size.h
        x, y = window.at.x * scale - hidden, top * scale - hidden
        wide, high = _paper(window.size.w, scale), _paper(window.size.h, scale)
        seen = Rectangle(sight.x + round(x), sight.y + round(y), wide, high)
        for under in framed.layers[1:]:
            yield from _board(job, under, seen)
            seen = _within(seen, under.mat.windows[place].size, scale)
        yield Rectangle(seen.x, seen.y, seen.w, seen.h, _PAPER, 2, _INK)


def _within(box: Rectangle, size: Size, scale: Fraction) -> Rectangle:
    """Return a window in the middle of the one before it, so that the reveal is the same all round."""
    wide, high = _paper(size.w, scale), _paper(size.h, scale)
    return Rectangle(box.x + (box.w - wide) // 2, box.y + (box.h - high) // 2, wide, high)


def _board(job: Job, placed: PlacedMat, box: Rectangle) -> Iterator[Shape]:
    swatch = job.board(placed.board).swatch
    yield Rectangle(box.x, box.y, box.w, box.h, swatch or _PAPER)
    if swatch is None:
        yield from hatching(box, 24, 2, _HATCH, falling=placed.mat.layer > 0)
    yield Rectangle(box.x, box.y, box.w, box.h, None, 2, _INK)


def _paper(ticks: int | Fraction, scale: Fraction) -> int:
    return max(1, round(ticks * scale))


def _caption(plan: Plan, framed: _Framed, room: int, top: int, note: int | None) -> Iterator[Text]:
    name = Names(plan.job).copy(framed.piece.name, framed.copy)
    yield from (lines := paragraph(0, top + 56, name, _NAME_LETTER, room, colour=_INK, bold=True))
    words = [" over ".join(placed.board for placed in framed.layers), *_borders(plan.job.bench, framed.front)]
    if framed.piece.moulding_width is None:
        words.append("moulding width not given")
    if note is not None:
        words.append(f"see note {note}")
    y = lines[-1].y
    for line in words:
        lines = _lines(y + 42, line, room)
        y = lines[-1].y
        yield from lines


def _lines(y: int, words: str, room: int) -> tuple[Text, ...]:
    """Set words in small letters; a whole number is not parted from its fraction."""
    return paragraph(0, y, unbroken(words), _SMALL_LETTER, room, colour=_INK)


def _borders(bench: Bench, mat: Mat) -> Iterator[str]:
    """Say how much of each border is seen, equal ones together."""
    if mat.borders is None:
        yield "plain, no window"
        return
    left, right, top, bottom = (
        length_words(max(0, round_down(border - bench.lip, bench.ruler)), bench)
        for border in (mat.borders.left, mat.borders.right, mat.borders.top, mat.borders.bottom)
    )
    yield f"sides {left}" if left == right else f"left {left}, right {right}"
    yield f"top and bottom {top}" if top == bottom else f"top {top}, bottom {bottom}"


def _heading(plan: Plan) -> Iterator[_Cell]:
    bench = plan.job.bench
    how = (
        f"Every framed piece from the front, all to one scale. The borders are those that are seen, in "
        f"{UNIT_WORDS[bench.unit]}: the frame hides {length_words(round_down(bench.lip, bench.ruler), bench)} "
        "of the mat on each side."
    )
    lines = _lines(_SMALL_LETTER, how, _ROOM)
    yield _Cell(_ROOM, lines[-1].y + 30, lines)


def _rows(cells: Sequence[tuple[str | None, _Cell]]) -> Iterator[_Cell]:
    """Yield rows of pieces side by side; a group begins a row of its own under its name."""
    order = list(dict.fromkeys(group for group, _ in cells))
    by_group = sorted(cells, key=lambda cell: order.index(cell[0]))
    for group, members in groupby(by_group, key=lambda cell: cell[0]):
        first, *others = map(_row, _filled(cell for _, cell in members))
        yield first if group is None else _below(_title(group), first)
        yield from others


def _title(words: str) -> _Cell:
    lines = paragraph(0, _NAME_LETTER + 20, words, _NAME_LETTER + 8, _ROOM, colour=_INK, bold=True)
    return _Cell(_ROOM, lines[-1].y + 50, lines)


def _below(upper: _Cell, lower: _Cell) -> _Cell:
    """Put one cell below another so that no page parts them."""
    shapes = (*upper.shapes, *(moved(shape, 0, upper.height) for shape in lower.shapes))
    return _Cell(max(upper.width, lower.width), upper.height + lower.height, shapes)


def _filled(cells: Iterable[_Cell]) -> Iterator[list[_Cell]]:
    """Yield the cells of each row, as many as it has room for."""
    row: list[_Cell] = []
    for cell in cells:
        if row and _wide([*row, cell]) > _ROOM:
            yield row
            row = []
        row.append(cell)
    yield row


def _wide(cells: Sequence[_Cell]) -> int:
    return sum(cell.width + _GAP for cell in cells) - _GAP


def _row(cells: Sequence[_Cell]) -> _Cell:
    shapes: list[Shape] = []
    x = 0
    for cell in cells:
        shapes += [moved(shape, x, 0) for shape in cell.shapes]
        x += cell.width + _GAP
    return _Cell(_wide(cells), max(cell.height for cell in cells), tuple(shapes))


def _pages(rows: Sequence[_Cell], depth: int) -> Iterator[Drawing]:
    """Yield pages of rows, each row whole on one page."""
    pages: list[list[tuple[int, _Cell]]] = [[]]
    y = _MARGIN
    for row in rows:
        if pages[-1] and y + row.height > depth - _MARGIN:
            pages.append([])
            y = _MARGIN
        pages[-1].append((y, row))
        y += row.height + 30
    for number, page in enumerate(pages, start=1):
        last, row = page[-1]
        height = last + row.height + _MARGIN
        shapes = [moved(shape, _MARGIN, top) for top, row in page for shape in row.shapes]
        title = f"The wall at a glance, page {number} of {len(pages)}"
        yield Drawing(f"wall-{number}", title, _PAGE, height, (Rectangle(0, 0, _PAGE, height, _PAPER), *shapes))

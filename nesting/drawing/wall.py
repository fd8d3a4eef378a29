"""The wall at a glance: every framed piece to one scale, hung by group, so that its look can be judged beforehand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from nesting.bench.proportions import Note, border_notes
from nesting.drawing.fractions import unbroken
from nesting.drawing.labels import paragraph
from nesting.drawing.shapes import Anchor, Drawing, Rectangle, Shape, Text, hatching, moved
from nesting.geometry import Size
from nesting.lengths import round_down
from nesting.model.job import Bench, Job, Piece
from nesting.model.mat import Mat
from nesting.model.plan import PlacedMat, Plan
from nesting.names import UNIT_WORDS, length_words

__all__ = ["Hung", "draw_wall", "hung", "wall_notes", "wall_words"]

# Tenths of a millimetre on a page that both A4 and letter paper hold.
_PAGE, _DEPTH, _MARGIN, _GAP = 1900, 2560, 40, 50
_ROOM = _PAGE - 2 * _MARGIN
_TALLEST, _WIDEST = 440, 560
_LARGEST_SCALE = Fraction(100, 16256)
_INK, _PAPER, _FRAME, _HATCH, _WALL = "#101820", "#ffffff", "#3b3531", "#5b6670", "#f6f4ef"
_NAME_LETTER, _SMALL_LETTER = 46, 32


@dataclass(frozen=True, slots=True)
class Hung:
    """Pieces that look alike on the wall and have one number there: the copies of a row in the same boards.

    Parameters
    ----------
    number : int
        From 1, as it stands in the window of each.
    piece : str
        Their name.
    count : int
        How many.
    words : str
        Their boards, and the borders that are seen.
    note : int or None
        The number of the note on them.
    """

    number: int
    piece: str
    count: int
    words: str
    note: int | None


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
    """What hangs on the wall, drawn from the upper left corner of its place."""

    width: int
    height: int
    shapes: tuple[Shape, ...]


def draw_wall(plan: Plan, *, depth: int = _DEPTH) -> tuple[Drawing, ...]:
    """Draw every framed piece as it will be seen: frame, borders less the lip, reveal and window.

    A board without a swatch is hatched, one on the front rising and one behind it falling, so that no colour is
    invented. In the window of each piece stands its number in `hung`.

    Parameters
    ----------
    plan : Plan
        The plan to show.
    depth : int
        How high a page may be, in tenths of a millimetre.

    Returns
    -------
    tuple of Drawing
        Pages 190 mm wide, all to one scale, group by group where groups are used; small pieces hang above each other
        beside large ones.
    """
    framed = tuple(_framed(plan))
    scale = _scale(framed)
    numbers = {each: alike.number for alike, members in _alike(plan) for each in members}
    rows: list[_Cell] = []
    for group, members in groupby(_by_group(framed), key=lambda each: each.piece.group):
        cells = [_cell(plan, each, scale, numbers[each]) for each in members]
        rows += _rows(group, cells)
    return tuple(_pages(rows, depth))


def wall_words(plan: Plan) -> str:
    """Return what holds for every piece on the wall, said once."""
    bench = plan.job.bench
    lip = length_words(round_down(bench.lip, bench.ruler), bench)
    words = (
        f"All pieces from the front, to one scale, each with its number in the list. The borders are those that are "
        f"seen, in {UNIT_WORDS[bench.unit]}: the frame hides {lip} of the mat on each side."
    )
    unknown = [piece.moulding_width is None for piece in plan.job.pieces]
    if all(unknown):
        return f"{words} No frame's width is given, so none is drawn."
    return f"{words} Where no frame is drawn, its width is not given." if any(unknown) else words


def hung(plan: Plan) -> tuple[Hung, ...]:
    """Return what hangs on the wall, what looks alike together, in the order of the numbers that the drawing gives.

    Parameters
    ----------
    plan : Plan
        The plan to show.

    Returns
    -------
    tuple of Hung
        Group by group where groups are used.
    """
    return tuple(alike for alike, _ in _alike(plan))


def _alike(plan: Plan) -> Iterator[tuple[Hung, tuple[_Framed, ...]]]:
    notes = {piece: number for number, note in enumerate(wall_notes(plan), start=1) for piece in note.pieces}
    looks: dict[tuple[str, tuple[str, ...]], list[_Framed]] = {}
    for each in _by_group(tuple(_framed(plan))):
        looks.setdefault((each.piece.name, tuple(placed.board for placed in each.layers)), []).append(each)
    for number, ((name, boards), members) in enumerate(looks.items(), start=1):
        borders = "; ".join(_borders(plan.job.bench, members[0].front))
        words = unbroken(f"{' over '.join(boards)}; {borders}")
        yield Hung(number, name, len(members), words, notes.get(name)), tuple(members)


def _by_group(framed: Sequence[_Framed]) -> list[_Framed]:
    """Return the pieces group by group, the groups in the order in which they are first named."""
    order = list(dict.fromkeys(each.piece.group for each in framed))
    return sorted(framed, key=lambda each: order.index(each.piece.group))


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


def _cell(plan: Plan, framed: _Framed, scale: Fraction, number: int) -> _Cell:
    wide, high = (_paper(side, scale) for side in framed.outer)
    picture = tuple(_picture(plan.job, framed, scale, Rectangle(0, 0, wide, high)))
    # Drawn last is what is seen through the last window.
    seen = [shape for shape in picture if isinstance(shape, Rectangle)][-1]
    middle, line = seen.x + seen.w // 2, seen.y + seen.h // 2 + _SMALL_LETTER * 3 // 8
    words = Text(middle, line, str(number), _SMALL_LETTER, _INK, Anchor.MIDDLE, bold=True)
    return _Cell(wide, high, (*picture, words))


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


def _rows(group: str | None, cells: Sequence[_Cell]) -> Iterator[_Cell]:
    """Yield the rows of a group on its wall, the first under its name."""
    columns = list(_columns(cells))
    first = True
    while columns:
        reach, taken = 0, 0
        for column in columns:
            if taken and reach + column.width > _ROOM - 2 * _GAP:
                break
            reach, taken = reach + column.width + _GAP, taken + 1
        yield _on_wall(group if first else None, columns[:taken])
        columns, first = columns[taken:], False


def _columns(cells: Sequence[_Cell]) -> Iterator[_Cell]:
    """Yield pieces side by side, small ones above each other as far as the tallest reaches."""
    tallest = max(cell.height for cell in cells)
    column: list[_Cell] = []
    for cell in cells:
        if column and sum(each.height + _GAP for each in column) + cell.height > tallest:
            yield _stacked(column)
            column = []
        column.append(cell)
    yield _stacked(column)


def _stacked(cells: Sequence[_Cell]) -> _Cell:
    wide, y = max(cell.width for cell in cells), 0
    shapes: list[Shape] = []
    for cell in cells:
        shapes += [moved(shape, (wide - cell.width) // 2, y) for shape in cell.shapes]
        y += cell.height + _GAP
    return _Cell(wide, y - _GAP, tuple(shapes))


def _on_wall(group: str | None, columns: Sequence[_Cell]) -> _Cell:
    """Hang columns side by side, their middles on one line."""
    title = () if group is None else paragraph(0, _NAME_LETTER, group, _NAME_LETTER, _ROOM, colour=_INK, bold=True)
    top = title[-1].y + 24 if title else 0
    high = max(column.height for column in columns) + 2 * _GAP
    shapes: list[Shape] = [*title, Rectangle(0, top, _ROOM, high, _WALL)]
    x = _GAP
    for column in columns:
        down = top + (high - column.height) // 2
        shapes += [moved(shape, x, down) for shape in column.shapes]
        x += column.width + _GAP
    return _Cell(_ROOM, top + high, tuple(shapes))


def _pages(rows: Sequence[_Cell], depth: int) -> Iterator[Drawing]:
    """Yield pages of rows, each row whole on one page."""
    pages: list[list[tuple[int, _Cell]]] = [[]]
    y = 0
    for row in rows:
        if pages[-1] and y + row.height > depth:
            pages.append([])
            y = 0
        pages[-1].append((y, row))
        y += row.height + 30
    for number, page in enumerate(pages, start=1):
        last, row = page[-1]
        height = last + row.height + 30
        shapes = [moved(shape, _MARGIN, top) for top, row in page for shape in row.shapes]
        title = f"The wall at a glance, page {number} of {len(pages)}"
        yield Drawing(f"wall-{number}", title, _PAGE, height, (Rectangle(0, 0, _PAGE, height, _PAPER), *shapes))

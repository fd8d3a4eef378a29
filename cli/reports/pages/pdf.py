"""The booklet as a PDF: vector drawings at their size on paper, a new page for each sheet."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import BinaryIO, assert_never

from cli.reports.pages.booklet import Block, Booklet, Card, Cards, Care, Picture, Row, Section, Table, Words
from cli.reports.pages.pen import TENTH, Pen
from nesting.drawing import Drawing

__all__ = ["write_pdf"]

_MM = 10 * TENTH
_ROOM, _TOP, _FOOT = 190 * _MM, 10 * _MM, 14 * _MM
_TEXT, _STRONG, _FIGURE, _SMALL, _HEAD, _TITLE = 10.0, 13.0, 15.0, 8.5, 11.5, 14.0
_LEAD = 1.21
_TICK, _LOOK, _GAP, _PAD = 9 * _MM, 22 * _MM, 2.5 * _MM, 1.3 * _MM
# The lines of each cell, with their size and whether they are bold.
_Cells = list[list[tuple[str, float, bool]]]
# A section that begins on a page that is begun already has room for its title and its first card.
_ENOUGH = 110 * _MM
_CARD, _CARD_PAD = 60.6 * _MM, 2 * _MM


def write_pdf(booklet: Booklet, file: BinaryIO) -> None:
    """Write the booklet as a PDF, the same bytes for the same booklet.

    Parameters
    ----------
    booklet : Booklet
        The pages.
    file : BinaryIO
        Open for writing.
    """
    pages = _Pages(Pen(file, booklet.paper, booklet.title), booklet.title)
    for section in booklet.sections:
        pages.section(section)
    pages.end()


class _Pages:
    """Blocks set one below another; what does not fit begins a new page."""

    def __init__(self, pen: Pen, title: str) -> None:
        self.pen, self.title = pen, title
        self.left = (pen.width - _ROOM) / 2
        self.y, self.number = _TOP, 1
        self.section_now: Section | None = None

    @property
    def room(self) -> float:
        return self.pen.height - _FOOT - self.y

    def section(self, section: Section) -> None:
        if self.section_now is not None and (section.own_page or self.room < _ENOUGH):
            self.turn()
        elif self.section_now is not None:
            self.y += 6 * _MM
        self.section_now = section
        self.pen.bookmark(section.key, f"{section.tag}: {section.title}")
        self._title(section)
        for block in section.blocks:
            self._block(block)

    def turn(self) -> None:
        """Finish the page and begin another."""
        self._foot()
        self.pen.next_page()
        self.y, self.number = _TOP, self.number + 1

    def end(self) -> None:
        self._foot()
        self.pen.next_page()
        self.pen.save()

    def need(self, height: float) -> None:
        """Begin a new page if so much does not fit on this one."""
        if height > self.room and self.y > _TOP:
            self.turn()

    def lines(
        self, words: str, size: float, *, x: float = 0.0, room: float = _ROOM, bold: bool = False, lead: float = 1.3
    ) -> None:
        """Set a paragraph here."""
        for line in self.pen.wrapped(words, size, room, bold=bold):
            self.need(size * lead)
            self.pen.write(self.left + x, self.y + size, line, size, bold=bold)
            self.y += size * lead

    def _foot(self) -> None:
        where = "" if self.section_now is None else f"{self.section_now.tag}: {self.section_now.title}"
        y = self.pen.height - 8 * _MM
        foot = next(iter(self.pen.wrapped(f"{self.title}, {where}", _SMALL, _ROOM - 20 * _MM)), "")
        self.pen.write(self.left, y, foot, _SMALL)
        page = f"page {self.number}"
        self.pen.write(self.left + _ROOM - self.pen.width_of(page, _SMALL), y, page, _SMALL)

    def _title(self, section: Section) -> None:
        """Set the title of a section, its tag in a small mat before it."""
        tag = self.pen.wrapped(section.tag, _TITLE, _ROOM / 3, bold=True)
        wide = max(self.pen.width_of(line, _TITLE, bold=True) for line in tag) + 8 * _MM
        title = self.pen.wrapped(section.title, _TITLE, _ROOM - wide - 3 * _MM, bold=True)
        high = max(len(tag), len(title)) * _TITLE * 1.25 + 5 * _MM
        self.pen.box(self.left, self.y, wide, high, fill="#101820")
        self.pen.box(self.left + 1.5 * _MM, self.y + 1.5 * _MM, wide - 3 * _MM, high - 3 * _MM, fill="#ffffff")
        for x, lines in ((4 * _MM, tag), (wide + 3 * _MM, title)):
            top = self.y + (high - len(lines) * _TITLE * 1.25) / 2
            for number, line in enumerate(lines):
                y = top + _TITLE * (1.0 + number * 1.25)
                self.pen.write(self.left + x, y, line, _TITLE, bold=True)
        self.y += high + 3 * _MM

    def _block(self, block: Block) -> None:
        match block:
            case Words(words, strong):
                self.lines(words, _STRONG if strong else _TEXT, bold=strong)
                self.y += 2 * _MM
            case Care():
                self._care(block)
            case Picture(drawing):
                self._picture(drawing)
            case Table():
                self._table(block)
            case Cards():
                self._cards(block)
            case _ as never:
                assert_never(never)

    def _care(self, care: Care) -> None:
        inside = _ROOM - 10 * _MM
        words = self.pen.wrapped(f"TAKE CARE. {care.words} ({care.source})", _TEXT, inside)
        high = len(words) * _TEXT * 1.3 + 3 * _MM
        self.need(high)
        self.pen.box(self.left, self.y, _ROOM, high, line=1.2)
        self.pen.box(self.left, self.y, 3 * _MM, high, fill="#101820")
        self.y += 1.5 * _MM
        self.lines(" ".join(words), _TEXT, x=6 * _MM, room=inside)
        self.y += 4 * _MM

    def _picture(self, drawing: Drawing) -> None:
        high = drawing.height * TENTH
        self.need(high)
        self.pen.draw(drawing, self.left + (_ROOM - drawing.width * TENTH) / 2, self.y)
        self.y += high

    def _heading(self, words: str, below: float) -> None:
        """Set a heading that stays with what follows it."""
        lines = self.pen.wrapped(words, _HEAD, _ROOM, bold=True)
        self.need(len(lines) * _HEAD * 1.3 + 4 * _MM + below)
        self.y += 2 * _MM
        self.lines(words, _HEAD, bold=True)
        self.y += 1 * _MM

    def _table(self, table: Table) -> None:
        columns = _Columns(self.pen, table)
        page = self.pen.height - _FOOT - 30 * _MM
        rows = [part for row in table.rows for part in _parts(row, columns.set(row), page)]
        heights = [_height(row, cells) for row, cells in rows]
        # The cuts of a sheet stay together where a page holds them all.
        whole = any(row.drawing for row in table.rows) and sum(heights) <= page
        together = columns.head_height + sum(heights if whole else heights[:1])
        if table.heading:
            self._heading(table.heading, together)
        self.need(together)
        self._table_head(columns)
        for (row, cells), high in zip(rows, heights, strict=True):
            if high > self.room:
                self.turn()
                self._table_head(columns)
            self._row(columns, row, cells, high)
        self.pen.rule(self.left, self.y, self.left + _ROOM, 0.6)
        self.y += 3 * _MM

    def _table_head(self, columns: "_Columns") -> None:
        for column, x, wide in columns.places:
            words = column.heading
            right = wide - self.pen.width_of(words, _SMALL, bold=True) if column.right else 0.0
            self.pen.write(self.left + x + right, self.y + _SMALL, words, _SMALL, bold=True)
        self.y += columns.head_height

    def _row(self, columns: "_Columns", row: Row, cells: _Cells, high: float) -> None:
        self.pen.rule(self.left, self.y, self.left + _ROOM, 2.4 if row.heavy else 0.6)
        middle = self.y + high / 2
        if row.tick:
            self.pen.box(self.left + 1, middle - 2.5 * _MM, 5 * _MM, 5 * _MM, line=1.2)
        if row.drawing:
            self.pen.draw(row.drawing, self.left + columns.look, middle - row.drawing.height * TENTH / 2)
        for (column, x, wide), cell in zip(columns.places, cells, strict=True):
            y = middle - sum(size * _LEAD for _, size, _ in cell) / 2
            for words, size, bold in cell:
                right = wide - self.pen.width_of(words, size, bold=bold) if column.right else 0.0
                self.pen.write(self.left + x + right, y + size, words, size, bold=bold)
                y += size * _LEAD
        self.y += high

    def _cards(self, cards: Cards) -> None:
        rows = [cards.cards[i : i + 3] for i in range(0, len(cards.cards), 3)]
        for number, row in enumerate(rows):
            faces = [self._face(card) for card in row]
            high = max(map(self._face_height, row, faces))
            if number == 0 and cards.heading:
                self._heading(cards.heading, high)
            self.need(high)
            for place, (card, face) in enumerate(zip(row, faces, strict=True)):
                self._card(card, face, self.left + place * (_CARD + 4.1 * _MM), high)
            self.y += high + 3 * _MM

    def _face(self, card: Card) -> tuple[tuple[str, float, bool], ...]:
        """Return the lines of a card as they are broken, with their size and whether they are bold."""
        styles = [(_TEXT, True), *[(9.0, False)] * (len(card.lines) - 1)]
        return tuple(
            (line, size, bold)
            for words, (size, bold) in zip(card.lines, styles, strict=True)
            for line in self.pen.wrapped(words, size, _CARD - 2 * _CARD_PAD, bold=bold)
        )

    def _face_height(self, card: Card, face: Sequence[tuple[str, float, bool]]) -> float:
        drawing = 0.0 if card.drawing is None else card.drawing.height * TENTH
        rows = len(self._tick_rows(card))
        return 2 * _CARD_PAD + rows * 7 * _MM + drawing + sum(size * _LEAD for _, size, _ in face)

    def _tick_rows(self, card: Card) -> list[list[tuple[str | None, str]]]:
        """Return the boxes and the names beside them, as many a line as fit."""
        rows: list[list[tuple[str | None, str]]] = [[]]
        used = 0.0
        for key, name in card.ticks:
            wide = self.pen.width_of(name, 12, bold=True) + 10 * _MM
            if rows[-1] and used + wide > _CARD - 2 * _CARD_PAD:
                rows.append([])
                used = 0.0
            rows[-1].append((key, name))
            used += wide
        return rows

    def _card(self, card: Card, face: Sequence[tuple[str, float, bool]], x: float, high: float) -> None:
        self.pen.box(x, self.y, _CARD, high, line=1.2)
        y = self.y + _CARD_PAD
        for names in self._tick_rows(card):
            along = x + _CARD_PAD
            for key, name in names:
                if key is not None:
                    self.pen.box(along, y, 5 * _MM, 5 * _MM, line=1.2)
                    along += 6.5 * _MM
                self.pen.write(along, y + 12, name, 12, bold=True)
                along += self.pen.width_of(name, 12, bold=True) + 3.5 * _MM
            y += 7 * _MM
        if card.drawing is not None:
            self.pen.draw(card.drawing, x + 0.3 * _MM, y)
            y += card.drawing.height * TENTH
        for words, size, bold in face:
            self.pen.write(x + _CARD_PAD, y + size, words, size, bold=bold)
            y += size * _LEAD


class _Columns:
    """Where the columns of a table stand on the page, and how its rows are broken into lines."""

    head_height = _SMALL * 1.3 + 1 * _MM

    def __init__(self, pen: Pen, table: Table) -> None:
        self.pen = pen
        self.look = _TICK if any(row.tick for row in table.rows) else 0.0
        x = self.look + (_LOOK if any(row.drawing for row in table.rows) else 0.0)
        share = (_ROOM - x) / sum(column.share for column in table.columns)
        places = []
        for column in table.columns:
            places.append((column, x, column.share * share - _GAP))
            x += column.share * share
        self.places = tuple(places)

    def set(self, row: Row) -> _Cells:
        """Return for each cell its lines, with their size and whether they are bold."""
        cells = []
        for (column, _, wide), cell in zip(self.places, row.cells, strict=True):
            said = cell.split("\n")
            lines = []
            for number, words in enumerate(said):
                figure = column.figure and number == 0
                bold = figure or (number == 0 and len(said) > 1)
                size = _FIGURE if figure else _TEXT
                lines += [(line, size, bold) for line in self.pen.wrapped(words, size, wide, bold=bold)]
            cells.append(lines)
        return cells


def _parts(row: Row, cells: _Cells, page: float) -> Iterator[tuple[Row, _Cells]]:
    """Yield a row whole, or where no page holds it in parts that pages do, the box to tick at the first."""
    if _height(row, cells) <= page:
        yield row, cells
        return
    most = int((page - 2 * _PAD) / (_FIGURE * _LEAD))
    rest = replace(row, tick=None, drawing=None, heavy=False)
    for first in range(0, max(map(len, cells)), most):
        yield rest if first else row, [cell[first : first + most] for cell in cells]


def _height(row: Row, cells: _Cells) -> float:
    words = max((sum(size * _LEAD for _, size, _ in cell) for cell in cells), default=0.0)
    drawing = 0.0 if row.drawing is None else row.drawing.height * TENTH
    return max(words, drawing, 6 * _MM if row.tick else 0.0) + 2 * (_PAD if row.tick else _PAD / 2)

"""The booklet as a PDF: vector drawings at their size on paper, a new page for each sheet."""

from collections.abc import Sequence
from itertools import takewhile
from typing import BinaryIO, NamedTuple, assert_never

from cli.reports.pages.booklet import Beside, Block, Booklet, Card, Cards, Care, Picture, Row, Section, Table, Words
from cli.reports.pages.pdf_tables import LEAD, SMALL, TEXT, Cell, Columns, parts, row_height, shared
from cli.reports.pages.pen import TENTH, Pen
from nesting.drawing import Drawing

__all__ = ["write_pdf"]

_MM = 10 * TENTH
_ROOM, _TOP, _FOOT = 190 * _MM, 7.5 * _MM, 11 * _MM
_STRONG, _HEAD, _TITLE = 13.0, 11.5, 14.0
_GUTTER = 4 * _MM
# What follows a title on its page, at least.
_ENOUGH, _LONG_WORDS = 30 * _MM, 50 * _MM
_CARD_GAP, _CARD_PAD, _NAME_GAP = 2.6 * _MM, 1.6 * _MM, 2.2 * _MM


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
        self.on_page: list[Section] = []
        self.page = pen.height - _FOOT - _TOP - 12 * _MM

    @property
    def room(self) -> float:
        return self.pen.height - _FOOT - self.y

    def section(self, section: Section) -> None:
        if self.on_page and (section.own_page or self._beginning(section) > self.room):
            self.turn()
            self.on_page.clear()
        elif self.on_page:
            self.y += 3 * _MM
        self.on_page.append(section)
        self.pen.bookmark(section.key, f"{section.tag}: {section.title}")
        self._title(section)
        for block in section.blocks:
            self._block(block)

    def _beginning(self, section: Section) -> float:
        """Return how much of a page the title of a section takes with the words after it and what they lead to."""
        words = list(takewhile(lambda block: isinstance(block, Words | Care), section.blocks))
        said = self._heading_lines(section)[-1] + 5.1 * _MM + sum(map(self._least, words))
        # Long words, as how to do all that follows, may stand before it on a page of their own.
        return said if said > _LONG_WORDS else said + sum(map(self._least, section.blocks[len(words) :][:1]))

    def _least(self, block: Block) -> float:
        """Return how much of a page a block takes, or its beginning where it may be parted."""
        match block:
            case Words(words, strong):
                size = _STRONG if strong else TEXT
                return len(self.pen.wrapped(words, size, _ROOM, bold=strong)) * size * 1.3 + 2 * _MM
            case Care():
                return len(self.pen.wrapped(block.words, TEXT, _ROOM - 7 * _MM)) * TEXT * 1.3 + 12 * _MM
            case Picture(drawing):
                return drawing.height * TENTH
            case Beside(drawing, table):
                columns = Columns(self.pen, table, self._beside_room(block))
                rows = sum(row_height(row, columns.cells(row)) for row in table.rows)
                return min(max(drawing.height * TENTH, columns.head_height + rows), self.page)
            case Cards():
                wide = _card_width(block)
                row = block.cards[: block.across]
                return max((self._face_height(card, self._face(card, wide), wide) for card in row), default=0.0)
            case Table():
                columns = Columns(self.pen, block, (_ROOM - _GUTTER) / 2 if block.halved else _ROOM)
                heights = [row_height(row, columns.cells(row)) for row in block.rows]
                column = max(sum(heights) / (1 + block.halved), max(heights, default=0.0))
                return min(columns.head_height + column, _ENOUGH)
            case _ as never:
                assert_never(never)

    def turn(self) -> None:
        """Finish the page and begin another."""
        self._foot()
        self.pen.next_page()
        self.on_page = self.on_page[-1:]
        self.y, self.number = _TOP, self.number + 1

    def end(self) -> None:
        self._foot()
        self.pen.next_page()
        self.pen.save()

    def need(self, height: float) -> None:
        """Begin a new page if this height does not fit on this one."""
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
        tags = ", ".join(section.tag for section in self.on_page)
        y = self.pen.height - 7.4 * _MM
        foot = next(iter(self.pen.wrapped(f"{self.title}: {tags}", SMALL, _ROOM - 20 * _MM)), "")
        self.pen.write(self.left, y, foot, SMALL)
        page = f"page {self.number}"
        self.pen.write(self.left + _ROOM - self.pen.width_of(page, SMALL), y, page, SMALL)

    def _heading_lines(self, section: Section) -> tuple[tuple[str, ...], float, tuple[str, ...], float]:
        """Return the lines of the tag, how wide its mat is, the lines of the title, and how high both are."""
        tag = self.pen.wrapped(section.tag, _TITLE, _ROOM / 3, bold=True)
        wide = max(self.pen.width_of(line, _TITLE, bold=True) for line in tag) + 7 * _MM
        title = self.pen.wrapped(section.title, _TITLE, _ROOM - wide - 2 * _MM, bold=True)
        return tag, wide, title, max(len(tag), len(title)) * _TITLE * 1.25 + 3.6 * _MM

    def _title(self, section: Section) -> None:
        """Set the title of a section, its tag in a small mat before it."""
        tag, wide, title, high = self._heading_lines(section)
        self.pen.box(self.left, self.y, wide, high, fill="#101820")
        self.pen.box(self.left + 1.3 * _MM, self.y + 1.3 * _MM, wide - 2.6 * _MM, high - 2.6 * _MM, fill="#ffffff")
        for x, lines in ((3.5 * _MM, tag), (wide + 2 * _MM, title)):
            top = self.y + (high - len(lines) * _TITLE * 1.25) / 2
            for number, line in enumerate(lines):
                y = top + _TITLE * (1.0 + number * 1.25)
                self.pen.write(self.left + x, y, line, _TITLE, bold=True)
        self.y += high + 2 * _MM

    def _block(self, block: Block) -> None:
        match block:
            case Words(words, strong):
                self.lines(words, _STRONG if strong else TEXT, bold=strong)
                self.y += 1.5 * _MM
            case Care():
                self._care(block)
            case Picture(drawing):
                self._picture(drawing)
            case Table():
                self._table(block)
            case Beside():
                self._beside(block)
            case Cards():
                self._cards(block)
            case _ as never:
                assert_never(never)

    def _care(self, care: Care) -> None:
        inside = _ROOM - 7 * _MM
        words = self.pen.wrapped(f"TAKE CARE. {care.words} ({care.source})", TEXT, inside)
        high = len(words) * TEXT * 1.3 + 2.5 * _MM
        self.need(high)
        self.pen.box(self.left, self.y, _ROOM, high, line=1.2)
        self.pen.box(self.left, self.y, 3 * _MM, high, fill="#101820")
        self.y += 1.2 * _MM
        self.lines(" ".join(words), TEXT, x=5 * _MM, room=inside)
        self.y += 2 * _MM

    def _picture(self, drawing: Drawing) -> None:
        high = drawing.height * TENTH
        self.need(high)
        self.pen.draw(drawing, self.left + (_ROOM - drawing.width * TENTH) / 2, self.y)
        self.y += high

    def _heading(self, words: str, below: float) -> None:
        """Set a heading that stays with what follows it."""
        lines = self.pen.wrapped(words, _HEAD, _ROOM, bold=True)
        self.need(len(lines) * _HEAD * 1.3 + 4 * _MM + below)
        self.y += 1 * _MM
        self.lines(words, _HEAD, bold=True)
        self.y += 0.7 * _MM

    def _table(self, table: Table) -> None:
        columns = Columns(self.pen, table, (_ROOM - _GUTTER) / 2 if table.halved else _ROOM)
        rows = self._rows(columns, table)
        together = columns.head_height + (rows[0][2] if rows else 0.0)
        if table.heading:
            self._heading(table.heading, together)
        self.need(together)
        if table.halved:
            self._halves(columns, rows)
        else:
            self._table_head(columns, self.left)
            for row, cells, high in rows:
                if high > self.room:
                    self.turn()
                    self._table_head(columns, self.left)
                self._row(columns, row, cells, self.left, high)
            self.pen.rule(self.left, self.y, self.left + _ROOM, 0.6)
        self.y += 1.6 * _MM

    def _rows(self, columns: Columns, table: Table) -> list[tuple[Row, list[Cell], float]]:
        """Return the rows with their lines and heights, those that no page holds in parts."""
        said = (part for row in table.rows for part in parts(row, columns.cells(row), self.page - 10 * _MM))
        return [(row, cells, row_height(row, cells)) for row, cells in said]

    def _halves(self, columns: Columns, rows: Sequence[tuple[Row, list[Cell], float]]) -> None:
        """Set rows in two columns, read down the left one first, over as many pages as they need."""
        done = 0
        while done < len(rows):
            left, right = shared([high for _, _, high in rows[done:]], self.room - columns.head_height)
            if not left:
                self.turn()
                continue
            top, lowest = self.y, self.y
            for x, its in ((self.left, left), (self.left + columns.room + _GUTTER, right)):
                self.y = top
                if its:
                    self._table_head(columns, x)
                for row, cells, high in rows[done : done + its]:
                    self._row(columns, row, cells, x, high)
                if its:
                    self.pen.rule(x, self.y, x + columns.room, 0.6)
                done, lowest = done + its, max(lowest, self.y)
            self.y = lowest
            if done < len(rows):
                self.turn()

    def _beside_room(self, block: Beside) -> float:
        return _ROOM - block.drawing.width * TENTH - 2 * _MM

    def _beside(self, block: Beside) -> None:
        """Set a drawing and its table side by side; where the table goes on overleaf the drawing is there too."""
        columns = Columns(self.pen, block.table, self._beside_room(block))
        x = self.left + _ROOM - columns.room
        if self._least(block) > self.room and self.y > self.page / 2:
            self.turn()
        low = self._beside_head(block, columns, x)
        for row, cells, high in self._rows(columns, block.table):
            if high > self.room:
                self.turn()
                low = self._beside_head(block, columns, x)
            self._row(columns, row, cells, x, high)
        self.pen.rule(x, self.y, x + columns.room, 0.6)
        self.y = max(low, self.y) + 1 * _MM

    def _beside_head(self, block: Beside, columns: Columns, x: float) -> float:
        self.pen.draw(block.drawing, self.left, self.y)
        low = self.y + block.drawing.height * TENTH
        self._table_head(columns, x)
        return low

    def _table_head(self, columns: Columns, left: float) -> None:
        self.y += columns.head_height
        for (column, x, wide), lines in zip(columns.places, columns.heads, strict=True):
            for up, words in enumerate(reversed(lines)):
                right = wide - self.pen.width_of(words, SMALL, bold=True) if column.right else 0.0
                y = self.y - 1 * _MM - SMALL * (0.3 + 1.3 * up)
                self.pen.write(left + x + right, y, words, SMALL, bold=True)

    def _row(self, columns: Columns, row: Row, cells: Sequence[Cell], left: float, high: float) -> None:
        self.pen.rule(left, self.y, left + columns.room, 2.4 if row.heavy else 0.6)
        middle = self.y + high / 2
        if row.tick:
            self._box(left + 1, middle - 2.5 * _MM)
        if row.drawing:
            self.pen.draw(row.drawing, left + columns.look, middle - row.drawing.height * TENTH / 2)
        for (column, x, wide), cell in zip(columns.places, cells, strict=True):
            y = middle - sum(line.height for line in cell) / 2
            for line in cell:
                along = left + x
                for name in line.boxes:
                    self._box(along, y + 0.5 * _MM)
                    base = y + 3 * _MM + 0.36 * line.size  # letters as high above the middle of the box as below it
                    self.pen.write(along + 6.5 * _MM, base, name, line.size, bold=line.bold)
                    along += columns.box_width(line, name)
                right = wide - self.pen.width_of(line.words, line.size, bold=line.bold) if column.right else 0.0
                if line.words:
                    self.pen.write(left + x + right, y + line.size, line.words, line.size, bold=line.bold)
                y += line.height
        self.y += high

    def _box(self, x: float, y: float) -> None:
        """Draw a box to tick."""
        self.pen.box(x, y, 5 * _MM, 5 * _MM, line=1.2)

    def _cards(self, cards: Cards) -> None:
        wide = _card_width(cards)
        rows = [cards.cards[i : i + cards.across] for i in range(0, len(cards.cards), cards.across)]
        for number, row in enumerate(rows):
            faces = [self._face(card, wide) for card in row]
            high = max(self._face_height(card, face, wide) for card, face in zip(row, faces, strict=True))
            if number == 0 and cards.heading:
                self._heading(cards.heading, high)
            self.need(high)
            for place, (card, face) in enumerate(zip(row, faces, strict=True)):
                self._card(card, face, _Frame(self.left + place * (wide + _CARD_GAP), wide, high))
            self.y += high + 1 * _MM

    def _face(self, card: Card, wide: float) -> tuple[tuple[str, float, bool], ...]:
        """Return the lines of a card as they are broken, with their size and whether they are bold."""
        styles = [(TEXT, True), *[(9.0, False)] * (len(card.lines) - 1)]
        return tuple(
            (line, size, bold)
            for words, (size, bold) in zip(card.lines, styles, strict=True)
            for line in self.pen.wrapped(words, size, wide - 2 * _CARD_PAD, bold=bold)
        )

    def _face_height(self, card: Card, face: Sequence[tuple[str, float, bool]], wide: float) -> float:
        drawing = 0.0 if card.drawing is None else card.drawing.height * TENTH
        rows = len(self._tick_rows(card, wide))
        return 2 * _CARD_PAD + rows * 6.5 * _MM + drawing + sum(size * LEAD for _, size, _ in face)

    def _tick_rows(self, card: Card, wide: float) -> list[list[tuple[str | None, str]]]:
        """Return the boxes and the names beside them, as many a line as fit."""
        rows: list[list[tuple[str | None, str]]] = [[]] if card.ticks else []
        used = 0.0
        for key, name in card.ticks:
            room = self.pen.width_of(name, 12, bold=True) + 6.5 * _MM + _NAME_GAP
            if rows[-1] and used + room > wide - 2 * _CARD_PAD + _NAME_GAP:
                rows.append([])
                used = 0.0
            rows[-1].append((key, name))
            used += room
        return rows

    def _card(self, card: Card, face: Sequence[tuple[str, float, bool]], frame: "_Frame") -> None:
        self.pen.box(frame.x, self.y, frame.w, frame.h, line=1.2)
        y = self.y + _CARD_PAD
        for names in self._tick_rows(card, frame.w):
            along = frame.x + _CARD_PAD
            for key, name in names:
                if key is not None:
                    self._box(along, y)
                    along += 6.5 * _MM
                self.pen.write(along, y + 12, name, 12, bold=True)
                along += self.pen.width_of(name, 12, bold=True) + _NAME_GAP
            y += 6.5 * _MM
        if card.drawing is not None:
            self.pen.draw(card.drawing, frame.x + (frame.w - card.drawing.width * TENTH) / 2, y)
            y += card.drawing.height * TENTH
        for words, size, bold in face:
            self.pen.write(frame.x + _CARD_PAD, y + size, words, size, bold=bold)
            y += size * LEAD


class _Frame(NamedTuple):
    """Where a card stands on the page, and how wide and high it is."""

    x: float
    w: float
    h: float


def _card_width(cards: Cards) -> float:
    return (_ROOM - (cards.across - 1) * _CARD_GAP) / cards.across

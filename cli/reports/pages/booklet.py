"""What the pages of a report hold, with no file format in it: sections of words, tables, pictures and cards."""

from dataclasses import dataclass
from enum import StrEnum

from nesting.drawing import Drawing

__all__ = [
    "Beside",
    "Block",
    "Booklet",
    "Card",
    "Cards",
    "Care",
    "Column",
    "Paper",
    "Picture",
    "Row",
    "Section",
    "Table",
    "Words",
]


class Paper(StrEnum):
    """The paper that is printed on."""

    LETTER = "letter"
    A4 = "a4"


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph; `strong` is set larger."""

    words: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Care:
    """A caution, and the ground it stands on."""

    words: str
    source: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing at its size on paper, as wide as the page on a screen."""

    drawing: Drawing


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    heading : str
        What is in it.
    share : int
        Its share of the width of a printed page.
    figure : bool
        Whether it holds what is read off from a step away: large and bold.
    right : bool
        Whether it is set to the right, as sums of money are.
    large : bool
        Whether it is set larger, to be read at arm's length; the names beside its boxes as large as figures.
    """

    heading: str
    share: int
    figure: bool = False
    right: bool = False
    large: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table.

    Parameters
    ----------
    cells : tuple of str
        One for each column. Of several lines in a cell, separated by line feeds, the first is bold.
    tick : str or None
        The key of its box to tick, which no other row, card or section shares; None for no box.
    drawing : Drawing or None
        A small picture before the cells.
    heavy : bool
        Whether a heavy line above it says that something changes here.
    boxes : tuple of (str, str)
        Below the first line of its last cell, boxes to tick: the key of each and the name beside it.
    """

    cells: tuple[str, ...]
    tick: str | None = None
    drawing: Drawing | None = None
    heavy: bool = False
    boxes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """A table under a heading of its own, which may be empty.

    One that is `halved` is so narrow that its rows stand in two columns, read one after the other.
    """

    heading: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    halved: bool = False


@dataclass(frozen=True, slots=True)
class Beside:
    """A drawing with the table that goes with it at its right; a narrow screen has it above the table."""

    drawing: Drawing
    table: Table


@dataclass(frozen=True, slots=True)
class Card:
    """A card, as wide as the others beside it on a page leave room for.

    Parameters
    ----------
    ticks : tuple of (str or None, str)
        The key of a box to tick, None for no box, and the name beside it.
    drawing : Drawing or None
        A picture.
    lines : tuple of str
        What stands below, the first bold.
    """

    ticks: tuple[tuple[str | None, str], ...]
    drawing: Drawing | None
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cards:
    """Cards side by side under a heading, which may be empty; `across` of them on a printed page."""

    heading: str
    cards: tuple[Card, ...]
    across: int = 3


Block = Words | Care | Picture | Table | Beside | Cards
"""What a section holds."""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the booklet.

    Parameters
    ----------
    key : str
        Short, for links.
    tag : str
        What stands in the small mat before the title: the ids of sheets, or a word.
    title : str
        What it is.
    blocks : tuple of Block
        What it holds.
    own_page : bool
        Whether it begins a new page on paper.
    """

    key: str
    tag: str
    title: str
    blocks: tuple[Block, ...]
    own_page: bool = True


@dataclass(frozen=True, slots=True)
class Booklet:
    """All pages.

    Parameters
    ----------
    title : str
        The job.
    identity : str
        Of the plan's content: ticks are kept under it.
    paper : Paper
        What it is printed on.
    sections : tuple of Section
        In the order in which they are wanted.
    """

    title: str
    identity: str
    paper: Paper
    sections: tuple[Section, ...]

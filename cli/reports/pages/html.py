"""The booklet as one page for a browser: no request leaves it, it reads without scripts, and ticks stay."""

import base64
import hashlib
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import TextIO

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from cli.reports.pages.booklet import Beside, Booklet, Card, Cards, Care, Paper, Picture, Row, Section, Table, Words
from nesting.drawing import Drawing
from nesting.drawing.fractions import Level, runs, unbroken
from nesting.drawing.svg import svg_text
from nesting.names import NO_BREAK
from nesting.signs import printable

__all__ = ["write_html"]

_FOLDER = Path(__file__).parent / "page"
_PAPERS = {Paper.LETTER: "letter", Paper.A4: "A4"}
_KINDS = {Words: "words", Care: "care", Picture: "picture", Table: "table", Beside: "beside", Cards: "cards"}
_LEVELS = {Level.OVER: Markup("<sup>{}</sup>"), Level.PLAIN: Markup("{}"), Level.UNDER: Markup("<sub>{}</sub>")}
_KEPT = Markup('<span class="n">{}</span>')


def write_html(booklet: Booklet, file: TextIO) -> None:
    """Write the booklet as one HTML page that needs nothing else.

    Its policy forbids every request, and every script and style but its own two.

    Parameters
    ----------
    booklet : Booklet
        The pages.
    file : TextIO
        Open for writing as UTF-8.
    """
    style = _read("plan.css").replace("PAPER", _PAPERS[booklet.paper])
    script = _read("plan.js")
    policy = (
        f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; base-uri 'none'; form-action 'none'"
    )
    page = (
        _environment()
        .get_template("plan.html")
        .render(
            booklet=booklet,
            policy=policy,
            style=Markup(style),  # noqa: S704 - our own file
            script=Markup(script),  # noqa: S704 - our own file
            ticks=sum(map(_ticks, booklet.sections)),
        )
    )
    file.write(printable(page))


def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(_FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {"set": _set, "lines": _lines, "svg": _svg, "kind": lambda block: _KINDS[type(block)]}
    environment.filters |= {"ticks": _ticks, "ticked": _ticked, "drawn": _drawn}
    return environment


def _read(name: str) -> str:
    return (_FOLDER / name).read_text(encoding="utf-8").strip()


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _set(words: str) -> Markup:
    """Set fractions as fractions, no number parted from its fraction or unit; the words stay as they are."""
    return Markup(" ").join(map(_word, unbroken(words).split(" ")))


@lru_cache(maxsize=65536)
def _word(word: str) -> Markup:
    parts = runs(word.replace(NO_BREAK, " "))
    said = Markup("").join(_LEVELS[part.level].format(part.words) for part in parts)
    return _KEPT.format(said) if len(parts) > 1 or NO_BREAK in word else said


def _lines(words: str) -> list[str]:
    return words.split("\n")


def _svg(drawing: Drawing) -> Markup:
    return Markup(svg_text(drawing))  # noqa: S704 - escaped where it is written


def _ticks(section: Section) -> int:
    """Count the boxes to tick in a section."""
    tables = [block.table if isinstance(block, Beside) else block for block in section.blocks]
    return sum(len(_keys(table.rows)) for table in tables if isinstance(table, Table)) + sum(
        key is not None
        for block in section.blocks
        if isinstance(block, Cards)
        for card in block.cards
        for key, _ in card.ticks
    )


def _keys(rows: Sequence[Row]) -> list[str]:
    own = [row.tick for row in rows if row.tick is not None]
    return own + [key for row in rows for key, _ in row.boxes]


def _ticked(table: Table) -> bool:
    return any(row.tick for row in table.rows)


def _drawn(part: Table | Card) -> bool:
    return any(row.drawing for row in part.rows) if isinstance(part, Table) else part.drawing is not None

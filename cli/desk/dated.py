"""Cells of which a spreadsheet made a date, and what stood in them before."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from nesting.reading.grid import Grid
from nesting.spelling import fold

__all__ = ["Dated", "dated_cells"]

_LIKE_A_DATE = re.compile(r"[0-9]{1,2}\s*[-/][0-9 ]*[0-9]")
"""What a spreadsheet takes for a day and a month when it opens a file: 3/8, 1-2."""
_NUMBERS = re.compile(r"[0-9]+|[^\W\d_]{3,}")
_IN_FIGURES = re.compile(r"[0-9]+([-/.])[0-9]+\1[0-9]+")
_ODD = re.compile(r"[^\w\s./-]")
_LONGEST, _PARTS = 20, 3
_MONTHS = (
    ("jan", "ene", "gen"),
    ("feb", "fev"),
    ("mar", "mrz"),
    ("apr", "avr", "abr"),
    ("may", "mai", "mag", "mei"),
    ("jun", "jui", "giu"),
    ("jul", "lug"),
    ("aug", "aou", "ago"),
    ("sep", "set"),
    ("oct", "okt", "ott"),
    ("nov",),
    ("dec", "dez", "dic"),
)
_MONTH = {name: number for number, names in enumerate(_MONTHS, 1) for name in names}


@dataclass(frozen=True, slots=True)
class Dated:
    """A cell that is a date now, with what stood in it before."""

    row: int
    heading: str
    now: str
    before: str


def dated_cells(grid: Grid, earlier: Iterable[Grid]) -> Iterator[Dated]:
    """Yield the cells that are dates of the same two numbers as stood there before, such as 8-Mar for 3/8.

    Parameters
    ----------
    grid : Grid
        The table as it is.
    earlier : iterable of Grid
        As it was, the last first; asked for only if a cell looks like a date.

    Yields
    ------
    Dated
        By rows.
    """
    dates = [
        (number, place, cell)
        for number, line in grid.rows()
        for place, cell in enumerate(line.cells[: len(grid.headings)])
        if _numbers(cell)
    ]
    grids = tuple(earlier) if dates else ()
    for number, place, cell in dates:
        heading = grid.headings[place].strip()
        olds = (_there(old, number, heading) for old in grids)
        before = next((old for old in olds if old != cell and _became(old, cell)), None)
        if before is not None:
            yield Dated(number, heading, cell, before)


def _there(grid: Grid, number: int, heading: str) -> str:
    place = grid.column(heading)
    cells = grid.lines[number - 1].cells if number <= len(grid.lines) else ()
    return cells[place] if place is not None and place < len(cells) else ""


def _became(old: str, date: str) -> bool:
    if not _LIKE_A_DATE.fullmatch(old.strip()):
        return False
    wanted = Counter(int(number) for number in re.findall("[0-9]+", old))
    return wanted.total() == 2 and wanted <= Counter(_numbers(date))


def _numbers(text: str) -> tuple[int, ...]:
    """Return the numbers of a date, its month among them; nothing if it is none."""
    if len(text) > _LONGEST or text.isdigit():
        return ()
    parts = _NUMBERS.findall(text)
    if not 2 <= len(parts) <= _PARTS:
        return ()
    words = [part for part in parts if not part[0].isdigit()]
    numbers = tuple(_MONTH.get(fold(part)[:3], 0) if part in words else int(part) for part in parts)
    if words:
        is_date = len(words) == 1 and 0 not in numbers and not _ODD.search(text)
    else:
        is_date = _IN_FIGURES.fullmatch(text.strip()) is not None
    return numbers if is_date else ()

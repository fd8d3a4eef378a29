"""A page to take along with a tape measure: what to measure of each frame, and which numbers go into the job."""

from collections.abc import Iterator, Sequence
from html import escape
from typing import TextIO

from nesting.model.job import Unit
from nesting.names import UNIT_WORDS

__all__ = ["HEADINGS", "TITLE", "explained", "measuring_rows", "write_measuring_page"]

TITLE = "To measure"
"""What the page to measure with is called."""
HEADINGS = (
    "frame",
    "width at the top",
    "width at the bottom",
    "height at the left",
    "height at the right",
    "diagonal from top left",
    "diagonal from top right",
    "depth of the recess",
    "inside width: the smaller width",
    "inside height: the smaller height",
)
"""The columns of the page to measure with."""
_EXAMPLE = {
    Unit.IN: ("15 7/16", "15 3/8", "19 1/4", "19 5/16", "24 5/8", "24 11/16", "1/2", "15 3/8", "19 1/4"),
    Unit.MM: ("392", "391", "489", "490", "626", "628", "13", "391", "489"),
    Unit.CM: ("39.2", "39.1", "48.9", "49", "62.6", "62.8", "1.3", "39.1", "48.9"),
}
_LINES, _SPARE = 15, 3
_STYLE = (
    "body{font:11pt sans-serif;color:#000;background:#fff;margin:1.5em}table{border-collapse:collapse;width:100%}"
    "th,td{border:1px solid #000;padding:.3em;text-align:left;vertical-align:bottom}td{height:1.8em}"
    "th:nth-last-child(-n+2),td:nth-last-child(-n+2){border-width:3px}"
    "thead{display:table-header-group}tr{break-inside:avoid}"
    "@page{size:landscape;margin:12mm}@media print{body{margin:0}}"
)


def explained(unit: Unit) -> tuple[str, ...]:
    """Return how to measure and what to do with the numbers, in sentences; no sums but one difference are needed."""
    # By geometry a parallelogram leans by no more than 0.71 of the difference of its diagonals along its longer side,
    # so that the whole difference off that side is enough.
    lean = "1/8 in" if unit is Unit.IN else "3 mm"
    return (
        (
            "Lay the frame on its face. Measure from its back, inside the recess from edge to edge, in "
            f"{UNIT_WORDS[unit]}, down to the last mark that fits. Old frames are out of square, so each side is "
            "measured twice."
        ),
        (
            "Two numbers go into the table pieces: the smaller width as inside width, the smaller height as inside "
            "height. Where several frames share a row, take the smallest of them all."
        ),
        (
            f"If the two diagonals differ by more than {lean}, the frame leans: take their difference off the longer "
            "of the two numbers as well, and try a card of that size in the frame before you cut board."
        ),
        "The depth stays on this page: glass, mats, picture and backing must fit into it together.",
    )


def measuring_rows(unit: Unit, frames: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """Give the rows of the page: an example filled in, then the frames that are known, then lines for others.

    Parameters
    ----------
    unit : Unit
        The unit of the example.
    frames : sequence of str
        Names of frames.

    Yields
    ------
    tuple of str
        A cell for each heading, empty where a number is to be written.
    """
    yield ("an example", *_EXAMPLE[unit])
    blank = ("",) * (len(HEADINGS) - 1)
    for frame in frames:
        yield (frame, *blank)
    for _ in range(max(_SPARE, _LINES - len(frames))):
        yield ("", *blank)


def write_measuring_page(unit: Unit, frames: Sequence[str], file: TextIO) -> None:
    """Write the page for a browser, which prints it.

    Parameters
    ----------
    unit : Unit
        The unit to measure in.
    frames : sequence of str
        Names of frames.
    file : TextIO
        Open for writing.
    """
    file.write(f'<!doctype html>\n<html lang="en">\n<head><meta charset="utf-8"><title>{TITLE}</title>')
    file.write(f"<style>{_STYLE}</style></head>\n<body>\n<h1>{TITLE}</h1>\n")
    file.writelines(f"<p>{escape(line)}</p>\n" for line in explained(unit))
    file.write("<table>\n<thead>" + _row("th", HEADINGS) + "</thead>\n<tbody>\n")
    file.writelines(_row("td", row) + "\n" for row in measuring_rows(unit, frames))
    file.write("</tbody>\n</table>\n</body>\n</html>\n")


def _row(tag: str, cells: Sequence[str]) -> str:
    return "<tr>" + "".join(f"<{tag}>{escape(cell)}</{tag}>" for cell in cells) + "</tr>"

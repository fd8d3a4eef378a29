"""What is proposed as rows of the table pieces, in the words that stand in the tables of pictures and frames."""

from collections.abc import Iterator, Mapping
from fractions import Fraction

from nesting.errors import LengthError
from nesting.lengths import TICKS_PER_MM, format_length, parse_length
from nesting.model.job import Bench, Unit
from nesting.pairing.asked import Asked
from nesting.pairing.pair import Match, Pairing
from nesting.pairing.tables import OF_THE_FRAME
from nesting.reading.columns import Column, Kind, table_named
from nesting.reading.tables import RawTable
from nesting.spelling import fold

__all__ = ["Rows", "job_tables", "pieces_table"]

Rows = tuple[tuple[str, ...], ...]
"""A table as text: its headings, then its rows."""

_PIECES = table_named("pieces")
_LENGTHS = frozenset({Kind.SIDE, Kind.LENGTH, Kind.SIGNED})


def pieces_table(pairing: Pairing) -> Rows:
    """Return the table pieces: its headings, then a row for each picture in its frame.

    Parameters
    ----------
    pairing : Pairing
        What is proposed; pictures without a frame have no row.

    Returns
    -------
    tuple of tuple of str
        Only columns that something stands in, in the order of the contract. Lengths carry their unit, so that they
        mean the same in any job. Where a picture is cropped, show width and show height say to what.
    """
    names = _names(pairing)
    rows = [_row(pairing.asked, match, name) for match, name in zip(pairing.matches, names, strict=True)]
    needed = [c.heading for c in _PIECES.columns if c.required or any(row.get(c.heading) for row in rows)]
    return (tuple(needed), *(tuple(row.get(heading, "") for heading in needed) for row in rows))


def job_tables(pairing: Pairing) -> dict[str, Rows]:
    """Return all tables of the job that the pairing makes: pieces, and the others as they stand."""
    return {"pieces": pieces_table(pairing)} | {name: _copied(raw) for name, raw in pairing.asked.tables.items()}


def _copied(raw: RawTable) -> Rows:
    return tuple(tuple(cell.text for cell in row.cells) for row in (raw.headings, *raw.rows))


def _names(pairing: Pairing) -> Iterator[str]:
    """Name the pieces after their pictures; copies that go into frames of several rows after these too."""
    rows = [match.picture for match in pairing.matches]
    taken = {fold(picture.name) for picture in pairing.asked.pictures}
    for match in pairing.matches:
        name = pairing.asked.pictures[match.picture].name
        if rows.count(match.picture) > 1:
            name = f"{name}, {match.fit.frame.name}"
            while fold(name) in taken:
                name += " again"
            taken.add(fold(name))
        yield name


def _row(asked: Asked, match: Match, name: str) -> dict[str, str]:
    fit, bench = match.fit, asked.job.bench
    picture, frame = asked.written[match.picture], fit.frame.written
    marked = {
        column.heading: _marked(frame if column.heading in OF_THE_FRAME else picture, column, bench.unit)
        for column in _PIECES.columns
    }
    hung = f"frame: {fit.frame.name}{', turned' if fit.turned else ''}"
    notes = "; ".join(note for note in (hung, picture.get("notes")) if note)
    row = marked | {"piece": name, "quantity": str(match.count) if match.count > 1 else "", "notes": notes}
    if fit.turned:
        row |= zip(("inside width", "inside height"), (_exact(side, bench) for side in fit.piece.inside), strict=True)
    if any(fit.crop) and fit.piece.shown is not None:
        row |= zip(("show width", "show height"), (_exact(side, bench) for side in fit.piece.shown), strict=True)
    return row


def _marked(written: Mapping[str, str], column: Column, unit: Unit) -> str:
    """Return what stands in a cell, with its unit where it is a length without one."""
    text = written.get(column.heading, "")
    if column.kind not in _LENGTHS:
        return text
    try:
        lengths = {parse_length(text, one, signed=True) for one in (Unit.IN, Unit.MM)}
    except LengthError:
        return text  # an empty cell, or words for what stands in for one
    return text if len(lengths) == 1 else f"{text} {unit}"


def _exact(ticks: Fraction, bench: Bench) -> str:
    """Write a length so that it reads back as it is."""
    if ticks.denominator == 1:
        return format_length(int(ticks), bench.unit, bench.ruler, mark=True)
    return f"{ticks / TICKS_PER_MM} mm"

"""The tables pictures and frames, read by the rules of a job; every fault is found and located before stopping."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from nesting.errors import Fault, JobError
from nesting.geometry import ExactSize
from nesting.model.job import Bench, Job, Piece, Unit
from nesting.pairing.asked import Asked, Frame
from nesting.pairing.tables import FRAMES, PICTURES
from nesting.reading.alternatives import BoardNames
from nesting.reading.columns import EVERY_TABLE, Table, table_named
from nesting.reading.fields import Row
from nesting.reading.job import in_order, job_of, refuse_twice, table_rows
from nesting.reading.rows import bench_of, piece_of
from nesting.reading.tables import RawJob, raw_tables

__all__ = ["read_pairing"]

_KNOWN = (*EVERY_TABLE, FRAMES, PICTURES)
# A picture is read as a piece whose frame is not known yet, so that the rules between columns stand only once.
_COLUMNS = {column.heading: replace(column, required=False) for column in table_named("pieces").columns}
# For what is missing, which is a fault, so that no one sees it.
_STAND_IN = Fraction(1)


def read_pairing(path: str | Path) -> Asked:
    """Return the pictures and frames that a workbook or a folder of CSV files holds.

    Parameters
    ----------
    path : str or Path
        A workbook, or a folder, with the tables frames and pictures. The other tables of a job may stand beside them:
        bench for the unit and the defaults, offers and boards for what the board costs.

    Returns
    -------
    Asked
        Exact lengths, whole cents, names as first spelt; rows in the order of the tables.

    Raises
    ------
    JobError
        If anything is wrong in any table: all faults together, in the order of the tables and their rows.
    """
    raw = raw_tables(Path(path), _KNOWN)
    faults = list(raw.faults)
    said: list[str] = []
    bench = bench_of(table_rows(raw, table_named("bench"), Unit.IN, faults, said), faults)
    frame_rows, rows = (_rows(raw, table, bench, faults, said) for table in (FRAMES, PICTURES))
    frames = tuple(_frame(row, bench) for row in frame_rows)
    job = job_of(
        str(path),
        raw,
        bench,
        faults,
        lambda boards: tuple(_picture(row, bench, boards, faults) for row in rows),
        passed_over=said,
    )
    if faults:
        raise JobError(in_order(faults, _KNOWN))
    others = {name: table for name, table in raw.tables.items() if name not in {"frames", "pictures", "pieces"}}
    return Asked(_warned(job, raw), frames, tuple(_written(row, PICTURES) for row in rows), others)


def _rows(raw: RawJob, table: Table, bench: Bench, faults: list[Fault], said: list[str]) -> Sequence[Row]:
    """Rows of a table that must be there and have some; its names stand once."""
    unread = any(fault.table == table.name for fault in raw.faults)
    rows = table_rows(raw, table, bench.unit, faults, said)
    if not rows and not unread:
        problem = "has no rows" if table.name in raw.tables else "this table is missing"
        remedy = f"Write a table {table.name}, {table.meaning[0].lower()}{table.meaning[1:-1]}"
        faults.append(Fault(table.name, None, None, None, None, problem, remedy))
    refuse_twice(rows, table.columns[0].heading)
    return rows


def _frame(row: Row, bench: Bench) -> Frame:
    allowance = row.maybe_length("allowance")
    width, height = row.sides("inside")
    return Frame(
        name=row.name("frame"),
        row=row.number,
        quantity=row.count("quantity"),
        inside=ExactSize(width or _STAND_IN, height or _STAND_IN),
        allowance=bench.allowance if allowance is None else allowance,
        width=row.maybe_length("moulding width"),
        cost=row.money("frame cost"),
        turn=row.choice("turn") == "yes",
        written=_written(row, FRAMES),
    )


def _picture(row: Row, bench: Bench, boards: BoardNames, faults: list[Fault]) -> Piece:
    cells = {column.heading: row.cell(column.heading) for column in PICTURES.columns if column.heading in _COLUMNS}
    as_piece = Row("pictures", row.number, _COLUMNS, cells, unit=bench.unit, faults=faults)
    piece = replace(piece_of(as_piece, bench, boards), name=row.name("picture"))
    if piece.shown is None and as_piece.is_sound:
        row.fault(
            "picture width",
            "is empty, so no frame can be found for the picture",
            "Write the width and the height of the picture, or of the part of it to be seen",
        )
    return piece


def _written(row: Row, table: Table) -> Mapping[str, str]:
    return {column.heading: row.cell(column.heading).text for column in table.columns}


def _warned(job: Job, raw: RawJob) -> Job:
    """Say so where there is a table pieces already, which nothing is read of."""
    if "pieces" not in raw.tables:
        return job
    said = "the table pieces was passed over: frames that it uses are free only if they stand in the table frames too"
    return replace(job, warnings=(*job.warnings, said))

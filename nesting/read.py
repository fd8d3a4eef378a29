"""A job as the user keeps it, read into frozen values; every fault is found and located before stopping."""

from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

from nesting.columns import TABLES, table_named
from nesting.errors import Fault, JobError
from nesting.fields import Row, Spellings, fold, rows_of
from nesting.job import Bench, Board, Job, Offer, Shop, Unit
from nesting.lengths import parse_length
from nesting.lookalike import lookalike_warnings
from nesting.rows import bench_of, board_of, offer_of, piece_of, shelf_piece_of, shop_of
from nesting.tables import RawJob, raw_tables

__all__ = ["read_job"]


def read_job(path: str | Path) -> Job:
    """Return the job that a workbook or a folder of CSV files holds.

    Parameters
    ----------
    path : str or Path
        A workbook (``.xlsx``), or a folder with ``pieces.csv`` and either ``offers.csv`` or ``shelf.csv``.

    Returns
    -------
    Job
        Exact lengths, whole cents, every name in its first spelling; rows in the order of the tables.

    Raises
    ------
    JobError
        If anything is wrong: all faults together, in the order of the tables and their rows.
    """
    raw = raw_tables(Path(path))
    faults = list(raw.faults)
    bench = bench_of(_rows(raw, "bench", Unit.IN, faults), faults)
    job = _job(str(path), raw, bench, faults)
    if faults:
        raise JobError(tuple(sorted(faults, key=_place)))
    return job


def _job(path: str, raw: RawJob, bench: Bench, faults: list[Fault]) -> Job:
    """Read all tables but the bench, in the order in which names are first spelt."""
    tables = {table.name: _rows(raw, table.name, bench.unit, faults) for table in TABLES if table.name != "bench"}
    _refuse_too_little(raw, tables, faults)
    for name, heading in (("pieces", "piece"), ("shops", "shop"), ("shelf", "label"), ("boards", "board")):
        _refuse_twice(tables[name], heading)
    board_names, shop_names = Spellings(), Spellings()
    pieces = tuple(piece_of(row, bench, board_names) for row in tables["pieces"])
    offers = tuple(
        offer_of(row, number, bench, shop_names, board_names) for number, row in enumerate(tables["offers"], 1)
    )
    shops = _shops([shop_of(row, shop_names) for row in tables["shops"]], shop_names)
    shelf = tuple(shelf_piece_of(row, bench, board_names) for row in tables["shelf"])
    boards = _boards([board_of(row, board_names) for row in tables["boards"]], board_names)
    lookalikes = lookalike_warnings(pieces, offers, shops, shelf, boards)
    warnings = (*raw.warnings, *_tiny_discounts(offers), *lookalikes)
    return Job(path, pieces, offers, shops, shelf, boards, bench, warnings)


def _rows(raw: RawJob, name: str, unit: Unit, faults: list[Fault]) -> list[Row]:
    """Rows of a table; none where the job has no such table."""
    return rows_of(table_named(name), raw.tables[name], unit, faults) if name in raw.tables else []


def _place(fault: Fault) -> tuple[int, int]:
    """Order faults by table and row; those within a row stay in the order found."""
    names = [table.name for table in TABLES]
    return names.index(fault.table), fault.row or 0


def _refuse_too_little(raw: RawJob, tables: dict[str, list[Row]], faults: list[Fault]) -> None:
    """Note that there is nothing to cut, or nothing to cut it from; unless a table could not be read at all."""
    unread = {fault.table for fault in faults} - set(raw.tables)
    if not tables["pieces"] and "pieces" not in unread:
        problem = "has no rows" if "pieces" in raw.tables else "is a table that is missing"
        faults.append(
            Fault("pieces", None, None, None, None, problem, "Write a table pieces with a row for each framed piece")
        )
    if not tables["offers"] and not tables["shelf"] and not {"offers", "shelf"} & unread:
        problem, remedy = (
            "there is nothing to cut from",
            "Write what shops ask in a table offers, or what you hold in a table shelf",
        )
        faults.append(Fault("offers", None, None, None, None, problem, remedy))


def _refuse_twice(rows: Sequence[Row], heading: str) -> None:
    """Note names that stand twice where each may stand once, case and spare spaces aside."""
    first: dict[str, int] = {}
    for row in rows:
        cell = row.cell(heading)
        row_before = first.setdefault(fold(cell.text), cell.row)
        if cell.text and row_before != cell.row:
            row.fault(heading, f"is in row {row_before} already", "Give each row a name of its own")


def _shops(listed: Sequence[Shop], names: Spellings) -> tuple[Shop, ...]:
    """Make an entry for every shop named anywhere; one without a row charges nothing beside its prices."""
    known = {shop.name: shop for shop in listed}
    return tuple(known.get(name) or Shop(name, 0, None, Decimal(0)) for name in names.all)


def _boards(listed: Sequence[Board], names: Spellings) -> tuple[Board, ...]:
    """Make an entry for every board named anywhere; one without a row is as boards usually are."""
    known = {board.name: board for board in listed}
    thickness = parse_length(table_named("boards").column("thickness").default or "", Unit.IN)
    return tuple(known.get(name) or Board(name, None, thickness, turn=True) for name in names.all)


def _tiny_discounts(offers: Sequence[Offer]) -> tuple[str, ...]:
    """Warn of discounts that look like fractions of one rather than per cent."""
    return tuple(
        f"the discount in row number {offer.number} of offers is {offer.discount} per cent; "
        f"if {(offer.discount * 100).normalize():f} per cent is meant, write so"
        for offer in offers
        if 0 < offer.discount < 1
    )

"""A job as the user keeps it, read into frozen values; every fault is found and located before stopping."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from nesting.errors import Fault, JobError, UnreadableError
from nesting.geometry import ExactSize
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, format_length, parse_length, round_near
from nesting.model.job import Bench, Board, Job, Offer, Piece, Shop, Unit
from nesting.reading.alternatives import BoardNames
from nesting.reading.choices import choices_of
from nesting.reading.columns import ANY, EVERY_TABLE, Table, table_named
from nesting.reading.fields import Row, rows_of
from nesting.reading.limits import beyond
from nesting.reading.lookalike import lookalike_warnings
from nesting.reading.named_sizes import named_sizes
from nesting.reading.rows import bench_of, board_of, offer_of, piece_of, shelf_piece_of, shop_of
from nesting.reading.tables import RawJob, raw_tables
from nesting.spelling import Spellings, fold

__all__ = ["in_order", "job_of", "read_job", "refuse_twice", "table_rows"]

_RULERS = {Unit.IN: TICKS_PER_INCH // 16, Unit.MM: TICKS_PER_MM, Unit.CM: TICKS_PER_MM}
_LARGE = 100 * TICKS_PER_INCH
_SMALL = 40 * TICKS_PER_MM
_SMALL_IN_INCHES = 10 * TICKS_PER_INCH
_CM = 10 * TICKS_PER_MM
_OTHERS = ("offers", "shops", "shelf", "boards")


def read_job(path: str | Path, held: Sequence[str] | None = None) -> Job:
    """Return the job that a workbook or a folder of CSV files holds.

    Parameters
    ----------
    path : str or Path
        A workbook (``.xlsx``), or a folder with ``pieces.csv`` and, unless there is a shelf elsewhere, either
        ``offers.csv`` or ``shelf.csv``.
    held : sequence of str, optional
        The boards on a shelf that is kept elsewhere and may be cut from too; None if there is no such shelf.

    Returns
    -------
    Job
        Exact lengths, whole cents, every name in its first spelling; rows in the order of the tables.

    Raises
    ------
    JobError
        If anything is wrong: all faults together, in the order of the tables and their rows.
    """
    raw = raw_tables(Path(path), EVERY_TABLE)
    faults = list(raw.faults)
    said: list[str] = []
    bench = bench_of(table_rows(raw, table_named("bench"), Unit.IN, faults, said), faults)
    rows = table_rows(raw, table_named("pieces"), bench.unit, faults, said)
    refuse_twice(rows, "piece")

    def pieces(boards: BoardNames) -> tuple[Piece, ...]:
        return tuple(piece_of(row, bench, boards) for row in rows)

    job = job_of(str(path), raw, bench, faults, pieces, held=held or (), passed_over=said)
    _refuse_too_little(raw, job, faults, held)
    if faults:
        raise JobError(in_order(faults, EVERY_TABLE))
    return job


def job_of(
    path: str,
    raw: RawJob,
    bench: Bench,
    faults: list[Fault],
    read_pieces: Callable[[BoardNames], tuple[Piece, ...]],
    *,
    held: Sequence[str] = (),
    passed_over: Sequence[str] = (),
) -> Job:
    """Return a job of all its tables, whatever its pieces are made of.

    Parameters
    ----------
    path : str
        As the user gave it.
    raw : RawJob
        The tables as they stand.
    bench : Bench
        The bench, which is read first, as its unit is that of all other tables.
    faults : list of Fault
        Where faults are added.
    read_pieces : callable
        Reads the pieces, given the spellings of boards, since theirs come first.
    held : sequence of str
        Boards on a shelf that is kept elsewhere.
    passed_over : sequence of str
        What was passed over in the tables that are read already.

    Returns
    -------
    Job
        To be used only if there are no faults.
    """
    said = list(passed_over)
    tables = {name: table_rows(raw, table_named(name), bench.unit, faults, said) for name in _OTHERS}
    for name, heading in (("shops", "shop"), ("shelf", "label"), ("boards", "board")):
        refuse_twice(tables[name], heading)
    board_names, shop_names = BoardNames((*_named(tables), *held)), Spellings()
    pieces = _grouped(read_pieces(board_names))
    offers = tuple(
        offer_of(row, number, bench, shop_names, board_names) for number, row in enumerate(tables["offers"], 1)
    )
    shops = _shops([shop_of(row, shop_names) for row in tables["shops"]], shop_names)
    shelf = tuple(shelf_piece_of(row, bench, board_names) for row in tables["shelf"])
    boards = _boards([board_of(row, board_names) for row in tables["boards"]], board_names)
    choices = choices_of(table_rows(raw, table_named("choices"), bench.unit, faults, said), faults)
    _refuse_several(tables["offers"], pieces)
    faults.extend(beyond(pieces, offers, shelf, boards))
    lookalikes = () if faults else lookalike_warnings(pieces, offers, shops, shelf, boards)
    odd = (*_odd_units(pieces, bench.unit), *_tiny_discounts(offers))
    warnings = (*raw.warnings, *said, *odd, *board_names.doubts, *lookalikes)
    return Job(path, pieces, offers, shops, shelf, boards, bench, warnings, choices)


def _named(tables: Mapping[str, Sequence[Row]]) -> Iterator[str]:
    """Yield what certainly are boards, as each names one board by itself."""
    texts = (row.cell("board").text for name in ("offers", "shelf", "boards") for row in tables[name])
    return (text for text in texts if text and fold(text) != ANY)


def _refuse_several(offers: Sequence[Row], pieces: Sequence[Piece]) -> None:
    """Note offers that list boards as pieces do; each sells one board, or any."""
    asked = {fold(board) for piece in pieces for board in (*piece.boards, *piece.under_boards, *piece.backing)}
    for row in offers:
        text = row.cell("board").text
        try:
            names = BoardNames().listed(text) if text and fold(text) not in asked else ()
        except UnreadableError:
            continue
        if len(names) > 1 and asked.issuperset(map(fold, names)):
            remedy = "Write a row for each, or 'any' for all the boards of your pieces at this price"
            row.fault("board", f"names {len(names)} boards", remedy)


def _grouped(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Spell the groups as each was first spelt, so that a group is not totalled in two parts."""
    groups = Spellings()
    return tuple(piece if piece.group is None else replace(piece, group=groups.spell(piece.group)) for piece in pieces)


def table_rows(
    raw: RawJob, table: Table, unit: Unit, faults: list[Fault], passed_over: list[str] | None = None
) -> list[Row]:
    """Return the rows of a table, as `rows_of` does; none where the job has no such table."""
    return rows_of(table, raw.tables[table.name], unit, faults, passed_over) if table.name in raw.tables else []


def in_order(faults: Sequence[Fault], tables: Sequence[Table]) -> tuple[Fault, ...]:
    """Return faults in the order of tables and their rows; those within a row stay in the order found."""
    names = [table.name for table in tables]
    return tuple(sorted(faults, key=lambda fault: (names.index(fault.table), fault.row or 0)))


def _refuse_too_little(raw: RawJob, job: Job, faults: list[Fault], held: Sequence[str] | None) -> None:
    """Note that there is nothing to cut, or nothing to cut it from; unless a table could not be read at all."""
    unread = {fault.table for fault in faults} - set(raw.tables)
    if not job.pieces and "pieces" not in unread:
        problem = "has no rows" if "pieces" in raw.tables else "this table is missing"
        remedy = _perhaps(raw, "pieces", "Write a table pieces with a row for each framed piece")
        faults.append(Fault("pieces", None, None, None, None, problem, remedy))
    of_shelf = {fold(board.name) for board in job.boards} & set(map(fold, held or ()))
    if not job.offers and not job.shelf and not of_shelf and not {"offers", "shelf"} & unread:
        problem, remedy = _nothing_to_cut_from(job, held)
        if raw.fitting(table_named("offers")) and "offers" not in raw.tables:
            problem, remedy = _NO_OFFERS
        faults.append(Fault("offers", None, None, None, None, problem, _perhaps(raw, "offers", remedy)))


_NO_OFFERS = "this table is missing, so there is nothing to cut from", "Write what shops ask in a table offers"


def _perhaps(raw: RawJob, table: str, remedy: str) -> str:
    """Name first the sheet or file whose headings are those of a table that is missing, then what else to do."""
    name = None if table in raw.tables else raw.fitting(table_named(table))
    return f"If {name!r} is it, rename it '{table}'; otherwise {remedy[0].lower()}{remedy[1:]}" if name else remedy


def _nothing_to_cut_from(job: Job, held: Sequence[str] | None) -> tuple[str, str]:
    remedy = "Write what shops ask in a table offers, or what you hold in a table shelf"
    if held is None:
        return "there is nothing to cut from", f"{remedy}, or plan with --shelf to use your own shelf file"
    asked = " or ".join(board.name for board in job.boards) or "board"
    problem = f"there is nothing to cut from: the job has no offers and no shelf, and the shelf file holds no {asked}"
    return problem, remedy


def refuse_twice(rows: Sequence[Row], heading: str) -> None:
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


def _odd_units(pieces: Sequence[Piece], unit: Unit) -> tuple[str, ...]:
    """Warn of inside sizes in inches that would be usual in millimetres, and the other way round."""
    if unit is Unit.IN:
        odd, meant = [piece for piece in pieces if max(piece.inside) > _LARGE], Unit.MM
    else:
        odd, meant = [piece for piece in pieces if max(piece.inside) < _SMALL or _is_inches(piece, unit)], Unit.IN
    if not odd:
        return ()
    more = f" and those of {len(odd) - 1} more" if len(odd) > 1 else ""
    place = f"pieces, row {odd[0].row}, inside width"
    sides = [format_length(round_near(side, 1), unit, _RULERS[unit]) for side in odd[0].inside]
    how = "larger than frames usually are" if unit is Unit.IN else "smaller than frames usually are"
    words = "inches" if meant is Unit.IN else str(meant)
    written = " and ".join(
        f"inside {side} {length} {meant}" for side, length in zip(("width", "height"), sides, strict=True)
    )
    mend = (
        f"if you mean {words} there, write {written}; if every number without a unit means {words}, set the unit to"
        f" '{meant}' in the bench table; otherwise leave it"
    )
    size = " x ".join(sides)
    return (f"{place}: the inside size of {odd[0].name!r}, {size} {unit}{more}, is {how}; {mend}",)


def _is_inches(piece: Piece, unit: Unit) -> bool:
    """Return whether a size in centimetres has the numbers of a small frame or print that is called by its inches.

    The larger ones, as 30x40, are common in centimetres too.
    """
    inside = ExactSize(*sorted(piece.inside))
    names = {size.size for size in named_sizes() if not size.is_paper and size.size.width < _SMALL_IN_INCHES}
    return unit is Unit.CM and ExactSize(*(side / _CM * TICKS_PER_INCH for side in inside)) in names


def _tiny_discounts(offers: Sequence[Offer]) -> tuple[str, ...]:
    """Warn of discounts that look like fractions of one rather than per cent."""
    return tuple(
        f"offers, row {offer.row}: the discount is {offer.discount} per cent; "
        f"if you mean {(offer.discount * 100).normalize():f} per cent, write {(offer.discount * 100).normalize():f}"
        for offer in offers
        if 0 < offer.discount < 1
    )

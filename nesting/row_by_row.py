"""A job that is being typed, row by row: what is sound is sized and drawn, the rest has its faults beside it."""

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from nesting.bench.bevels import unplanned_work
from nesting.drawing.framed import draw_framed
from nesting.drawing.mat import draw_mat
from nesting.drawing.svg import svg_text
from nesting.errors import Fault, JobError
from nesting.geometry import ExactSize, Size
from nesting.model.job import Bench, Job, Piece, Unit, When
from nesting.model.mat import Mat
from nesting.names import Names, length_words, size_words
from nesting.offers import sells
from nesting.reading.alternatives import BoardNames
from nesting.reading.columns import EVERY_TABLE, plain_key, table_named
from nesting.reading.job import job_of, refuse_twice, table_rows
from nesting.reading.rows import bench_of, piece_of
from nesting.reading.tables import Cell, RawJob, RawRow, RawTable, raw_tables
from nesting.sizing import oddities, size_pieces
from nesting.spelling import fold, without_mark

__all__ = ["Back", "Look", "Remark", "Sized", "changed_pieces", "drawn_group", "look_at", "look_at_row", "sized_rows"]

_CLOSE = 0.6
_MOST_KEPT = 10_000


@dataclass(frozen=True, slots=True)
class Remark:
    """What is said under a cell: a fault or a thing worth a look, and the cells that a button would write instead."""

    column: str | None
    words: str
    is_fault: bool
    mend: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Back:
    """A mat as it lies face down: its drawing, and its pencil lines in words, each with the edge that it is off."""

    name: str
    drawing: str
    lines: str


@dataclass(frozen=True, slots=True)
class Sized:
    """A row of the table pieces: what is said of it, its mats' sizes in words, and its drawings front and back.

    `rounding` says why a window is smaller than was asked; it is empty where it is not.
    """

    row: int
    remarks: tuple[Remark, ...]
    size: str
    drawing: str
    backs: tuple[Back, ...] = ()
    rounding: str = ""


@dataclass(frozen=True, slots=True)
class Look:
    """A wall as it was read: the job with what is sound of it, and all faults."""

    job: Job
    faults: tuple[Fault, ...]
    raw: RawJob
    seen: Mapping[int, Piece]
    sheets: Mapping[str, tuple[Size, ...]]
    held: frozenset[str]

    def of_table(self, name: str) -> Iterator[Fault]:
        """Yield the faults of a table."""
        return (fault for fault in self.faults if fault.table == name)

    def has_rows(self, name: str) -> bool:
        """Whether anything is written in a table."""
        raw = self.raw.tables.get(name)
        return raw is not None and bool(raw.rows)

    def has(self, board: str, blank: Size | None = None) -> bool:
        """Whether there are sheets of a board, or one that is large enough for a blank; of a shelf any may be."""
        ways = () if blank is None else (blank, blank.turned) if self.job.board(board).turn else (blank,)
        sheets = self.sheets.get(board, ())
        fits = bool(sheets) if blank is None else any(w.w <= s.w and w.h <= s.h for s in sheets for w in ways)
        return fits or board in self.held

    def texts(self, row: int) -> Mapping[str, str]:
        """Return the cells of a row of the table pieces as they are written, by the plain headings of its table."""
        raw = self.raw.tables.get("pieces")
        cells = next((its.cells for its in raw.rows if its.number == row), ()) if raw else ()
        headings = [cell.text for cell in raw.headings.cells] if raw else []
        known = {plain_key(column.heading): column.heading for column in table_named("pieces").columns}
        written = {plain_key(heading): cell.text for heading, cell in zip(headings, cells, strict=False)}
        return {known[key]: text for key, text in written.items() if key in known}


def look_at(folder: Path, held: Sequence[str] = ()) -> Look:
    """Return what the tables of a wall ask for, with the faults beside it.

    Parameters
    ----------
    folder : Path
        Of the tables.
    held : sequence of str
        The boards on a shelf that is kept elsewhere and may be cut from too.

    Returns
    -------
    Look
    """
    return _look(raw_tables(folder, EVERY_TABLE), str(folder), held)


def _look(raw: RawJob, path: str, held: Iterable[str]) -> Look:
    faults = list(raw.faults)
    bench = bench_of(table_rows(raw, table_named("bench"), Unit.IN, faults), faults)
    rows = table_rows(raw, table_named("pieces"), bench.unit, faults)
    refuse_twice(rows, "piece")
    seen: dict[int, Piece] = {}

    def pieces(boards: BoardNames) -> tuple[Piece, ...]:
        seen.update({row.number: piece_of(row, bench, boards) for row in rows})
        return tuple(seen.values())

    names = tuple(held)
    job = job_of(path, raw, bench, faults, pieces, held=names)
    there = set(map(fold, names))
    on_shelf = frozenset(board.name for board in job.boards if fold(board.name) in there)
    return Look(job, tuple(faults), raw, seen, _sheets(job), on_shelf)


def sized_rows(look: Look) -> tuple[Sized, ...]:
    """Return every row of the table pieces, without its drawing."""
    faults: dict[int, list[Fault]] = {}
    for fault in look.of_table("pieces"):
        faults.setdefault(fault.row or 0, []).append(fault)
    return tuple(_sized(look, piece, faults.get(row, []), drawn=False) for row, piece in look.seen.items())


def drawn_group(look: Look, group: str) -> tuple[Sized, ...]:
    """Return the rows of the pieces of a group, each with its drawing."""
    faulty = {fault.row for fault in look.of_table("pieces")}
    its = ((row, piece) for row, piece in look.seen.items() if piece.group is not None)
    rows = [piece for row, piece in its if fold(piece.group or "") == fold(group) and row not in faulty]
    return tuple(_sized(look, piece, (), drawn=True) for piece in rows)


def look_at_row(look: Look, row: int, cells: Mapping[str, str]) -> Sized:
    """Return a row as it is being typed, with its drawing.

    Parameters
    ----------
    look : Look
        The wall as it is kept.
    row : int
        The number of the row.
    cells : mapping of str to str
        Its cells by heading.

    Returns
    -------
    Sized
    """
    texts = {heading: text for heading, text in cells.items() if text.strip()}
    raw = RawTable(
        RawRow(1, tuple(Cell(1, heading) for heading in texts)),
        (RawRow(row, tuple(Cell(row, text.strip()) for text in texts.values())),),
    )
    tables = {**look.raw.tables, "pieces": raw}
    one = _look(replace(look.raw, tables=tables, faults=()), look.job.path, look.held)
    piece = one.seen.get(row)
    if piece is None:
        return Sized(row, (), "", "")
    faults = [fault for fault in one.of_table("pieces") if fault.row == row]
    names = [other.name for number, other in look.seen.items() if number != row]
    if piece.name and piece.name.casefold() in map(str.casefold, names):
        faults.append(
            Fault("pieces", row, "piece", None, piece.name, "stands twice", "Give each row a name of its own")
        )
    return _sized(one, piece, faults, drawn=True)


def _sized(look: Look, piece: Piece, faults: Sequence[Fault], *, drawn: bool) -> Sized:
    known = [board.name for board in look.job.boards]
    there = [name for name in known if look.has(name)]
    remarks = [_remark(fault, known, is_fault=True) for fault in faults]
    mats: tuple[Mat, ...] = ()
    if not faults:
        mats, wrong, odd = _measured(piece, look.job.bench)
        swap = _swap(look, piece) if wrong or odd else {}
        remarks += [_with_swap(_remark(fault, known, is_fault=True), swap) for fault in wrong]
        remarks += [_with_swap(_remark(fault, known, is_fault=False), swap) for fault in odd]
        remarks += [_remark(fault, there, is_fault=True) for fault in _out_of_reach(look, piece, mats)]
    layers = [mat for mat in mats if mat.copy == 1 and (mat.layer == 0 or mat.windows)]
    drawing = svg_text(draw_framed(look.job, piece, layers)) if layers and drawn else ""
    backs = tuple(_back(look.job, mat) for mat in layers if mat.windows) if drawn else ()
    size, rounding = _size_words(layers, look.job.bench), _rounding_words(piece, layers, look.job.bench)
    return Sized(piece.row, tuple(remarks), size, drawing, backs, rounding)


def _back(job: Job, mat: Mat) -> Back:
    name = f"{without_mark(mat.piece)}{Names(job).behind(mat)}"
    work = unplanned_work(mat, name, job.bench)
    lines = ", ".join(f"{line.edge} {length_words(line.distance, job.bench)}" for line in work.lines)
    return Back(name, svg_text(draw_mat(work, job.bench)), lines)


def _swap(look: Look, piece: Piece) -> Mapping[str, str]:
    """Return the cells that exchange width and height of the picture, where the mat is sound then."""
    texts = look.texts(piece.row)
    what = next((what for what in ("show", "picture") if texts.get(f"{what} width")), "")
    width, height = texts.get(f"{what} width", ""), texts.get(f"{what} height", "")
    if not (width and height) or piece.shown is None:
        return {}
    turned = replace(piece, shown=_turned(piece.shown), picture=_turned(piece.picture) if piece.picture else None)
    _, wrong, odd = _measured(turned, look.job.bench)
    return {} if wrong or odd else {f"{what} width": height, f"{what} height": width}


def changed_pieces(before: Look, after: Look) -> tuple[str, ...]:
    """Return the pieces of a wall whose mats are not what they were, or that are not asked for any longer.

    Parameters
    ----------
    before, after : Look
        The wall as it was planned, and as it is.

    Returns
    -------
    tuple of str
        In the order of the table as it was.
    """
    now = {fold(piece.name): _mats_of(after, piece) for piece in after.job.pieces}
    return tuple(p.name for p in before.job.pieces if now.get(fold(p.name)) != _mats_of(before, p))


def _mats_of(look: Look, piece: Piece) -> tuple[object, ...]:
    mats, _, _ = _measured(piece, look.job.bench)
    return tuple((mat.layer, mat.blank, mat.borders, mat.windows, tuple(map(fold, mat.boards))) for mat in mats)


def _turned(size: ExactSize) -> ExactSize:
    return ExactSize(size.height, size.width)


def _with_swap(remark: Remark, swap: Mapping[str, str]) -> Remark:
    return replace(remark, mend=swap) if swap and not remark.mend else remark


def _sheets(job: Job) -> dict[str, tuple[Size, ...]]:
    """Return what each board can be cut from: the usable sheets that are sold, and the job's own shelf pieces."""
    sheets: dict[str, tuple[Size, ...]] = {}
    for board in job.boards:
        sold = [offer.sheet.inset(job.bench.trim) for offer in job.offers if sells(job, offer, board.name)]
        sheets[board.name] = (*sold, *(held.size for held in job.shelf if held.board == board.name))
    return sheets


def _out_of_reach(look: Look, piece: Piece, mats: Sequence[Mat]) -> Iterator[Fault]:
    """Yield, once there are prices, what is wrong with the boards of a piece: nobody has them, or not so large."""
    if not look.job.offers:
        return
    for column, boards, layer in (("boards", piece.boards, 0), ("under boards", piece.under_boards, 1)):
        blank = next((mat.blank for mat in mats if mat.layer == layer), None)
        if boards and not any(look.has(board) for board in boards):
            problem = f"nobody sells {' or '.join(boards)}, and none is on the shelf"
            yield Fault("pieces", piece.row, column, None, boards[0], problem, "Write a price for it, or another board")
        elif boards and blank is not None and not any(look.has(board, blank) for board in boards):
            said = size_words(blank, look.job.bench)
            problem = f"the blank, {said}, is larger than every sheet of {' or '.join(boards)}"
            yield Fault("pieces", piece.row, column, None, None, problem, "Write a price for a larger sheet")


@lru_cache(_MOST_KEPT)
def _measured(piece: Piece, bench: Bench) -> tuple[tuple[Mat, ...], tuple[Fault, ...], tuple[Fault, ...]]:
    """Return the mats of a piece, its faults and its oddities; kept, so that a changed cell costs its own row alone."""
    alone = Job("", (piece,), (), (), (), (), bench, ())
    try:
        return size_pieces(alone, When.LATER), (), oddities(alone)
    except JobError as error:
        return (), error.faults, ()


def _size_words(layers: Sequence[Mat], bench: Bench) -> str:
    if not layers:
        return ""
    said = f"Blank {size_words(layers[0].blank, bench)}"
    windows = layers[0].windows
    return f"{said}, window {size_words(windows[0].size, bench)}" if windows else said


def _rounding_words(piece: Piece, layers: Sequence[Mat], bench: Bench) -> str:
    """Say why the window of the innermost mat is smaller than was asked; nothing where it is not."""
    cut = next((mat.windows[0].size for mat in reversed(layers) if mat.windows), None)
    if cut is None or piece.shown is None or (cut.w >= piece.shown.width and cut.h >= piece.shown.height):
        return ""
    mark = length_words(bench.ruler, bench)
    mark = mark if mark.endswith(f" {Unit.MM}") else f"{mark} {bench.unit}"
    return f"Borders are rounded up to {mark}, so the window is a little smaller than asked."


def _remark(fault: Fault, boards: Sequence[str], *, is_fault: bool) -> Remark:
    words = f"{fault.problem[0].upper()}{fault.problem[1:]}. {fault.remedy}."
    return Remark(fault.column, words, is_fault, _mend(fault, boards))


def _mend(fault: Fault, boards: Sequence[str]) -> Mapping[str, str]:
    """Return what a button would write: a board that is nearly named."""
    if fault.column not in {"boards", "under boards", "backing"} or not fault.given:
        return {}
    near = difflib.get_close_matches(fault.given, [name for name in boards if name != fault.given], 1, _CLOSE)
    return {fault.column: near[0]} if near else {}

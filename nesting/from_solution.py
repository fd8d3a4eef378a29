"""From the solver's cutting to sheets, mats and leftovers that can be named and found at the bench."""

from collections import defaultdict, deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from nesting.geometry import Point, Size, is_worth_keeping
from nesting.model.cut_tree import Offcut, Placed, leaves
from nesting.model.job import Job
from nesting.model.mat import Mat
from nesting.model.plan import Bought, CutSheet, FalloutLeft, FromFallout, FromShelf, OffcutLeft, PlacedMat, Source
from nesting.packing.instance import Instance, Lot
from nesting.packing.merge_offcuts import merge_offcuts
from nesting.packing.pattern import GrownSize, cut_tree
from nesting.packing.solution import Sheet, Solution
from nesting.sizing import fallout_size
from nesting.to_instance import shelf_edge

__all__ = ["Arranged", "arrange"]


@dataclass(frozen=True, slots=True)
class Arranged:
    """Everything that is cut, and what is left of it."""

    mats: tuple[PlacedMat, ...]
    sheets: tuple[CutSheet, ...]
    leftover: tuple[OffcutLeft | FalloutLeft, ...]


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece of stock that may be cut: whole, and where what can be divided of it begins."""

    source: Source
    size: Size
    edge: int


def arrange(job: Job, mats: Sequence[Mat], instance: Instance, solution: Solution) -> Arranged:
    """Give every pattern a real piece of stock and every part of it a mat.

    Parameters
    ----------
    job, mats, instance : Job, sequence of Mat, Instance
        As `to_instance.pose` takes and returns them.
    solution : Solution
        What the solver found.

    Returns
    -------
    Arranged
        Sheets parents before their fallouts, those of a board together; fallouts are used before shelf pieces, and
        those before bought sheets, where they are of one size.
    """
    boards = {item: board for lot, board in _with_boards(instance, solution) for item in lot.items}
    waiting = _waiting(instance, solution)
    stock = _stock(job, mats, instance, solution, boards)
    cut = [(sheet, stock[sheet.board, sheet.size].popleft()) for sheet in solution.sheets]
    drafts = [_draft(job, instance, sheet, piece, waiting[sheet.board]) for sheet, piece in cut]
    ordered = _parents_first([d for d in drafts if any(isinstance(leaf, Placed) for leaf in leaves(d.root))])
    sheets = tuple(CutSheet(f"S{place}", d.board, d.source, d.size, d.root) for place, d in enumerate(ordered, start=1))
    placed = _placed(job, mats, boards, sheets)
    return Arranged(placed, sheets, tuple(_leftover(job, placed, sheets)))


def _with_boards(instance: Instance, solution: Solution) -> Iterator[tuple[Lot, int]]:
    """Yield each lot that is cut with its board."""
    for lot, board in zip(instance.lots, solution.boards, strict=True):
        if board is not None:
            yield lot, board


def _waiting(instance: Instance, solution: Solution) -> dict[int, dict[Size, deque[int]]]:
    """For each board the items that wait for a part of their true size, told as `Instance.kind` tells it."""
    waiting: dict[int, dict[Size, deque[int]]] = defaultdict(lambda: defaultdict(deque))
    for lot, board in _with_boards(instance, solution):
        waiting[board][instance.kind(lot.size, board)].extend(lot.items)
    return waiting


def _stock(
    job: Job, mats: Sequence[Mat], instance: Instance, solution: Solution, boards: Mapping[int, int]
) -> dict[tuple[int, GrownSize], deque[_Piece]]:
    """Every piece of stock by board and size, in the order in which it is to be used up."""
    stock: dict[tuple[int, GrownSize], deque[_Piece]] = defaultdict(deque)
    bench = job.bench
    if bench.use_fallout:
        for item, mat in enumerate(mats):
            for place, window in enumerate(mat.windows):
                key = boards[item], instance.grown(fallout_size(window, bench.squaring))
                stock[key].append(_Piece(FromFallout(mat.id, place), window.size, bench.squaring))
    for held, piece in zip(instance.held, job.shelf, strict=True):
        edge = shelf_edge(job, piece)
        for _ in range(held.count):
            stock[held.board, instance.grown(held.size)].append(_Piece(FromShelf(piece.label), piece.size, edge))
    for (offer, board), count in sorted(solution.counts.items()):
        whole = job.offers[offer].sheet
        for _ in range(count):
            key = board, instance.grown(instance.offers[offer].size)
            stock[key].append(_Piece(Bought(job.offers[offer].number), whole, bench.trim))
    return stock


def _draft(job: Job, instance: Instance, sheet: Sheet, piece: _Piece, waiting: dict[Size, deque[int]]) -> CutSheet:
    def take(size: Size) -> int | None:
        queue = waiting[instance.kind(size, sheet.board)]
        return queue.popleft() if queue else None

    at = Point(piece.edge, piece.edge)
    whole = cut_tree(sheet.part, at, piece.size.inset(piece.edge), instance.kerf, take)
    root = merge_offcuts(whole, instance.kerf, instance.longest)
    return CutSheet("", job.boards[sheet.board].name, piece.source, piece.size, root)


def _parents_first(drafts: Sequence[CutSheet]) -> list[CutSheet]:
    """Order sheets by how many fallouts deep they lie; a fallout is smaller than its mat, so there are no circles."""
    rank = {Bought: 0, FromShelf: 1, FromFallout: 2}
    return sorted(drafts, key=lambda d: (rank[type(d.source)], d.board, -d.size.area))


def _placed(
    job: Job, mats: Sequence[Mat], boards: Mapping[int, int], sheets: Sequence[CutSheet]
) -> tuple[PlacedMat, ...]:
    where = {
        leaf.item: (sheet.id, leaf.size) for sheet in sheets for leaf in leaves(sheet.root) if isinstance(leaf, Placed)
    }
    return tuple(
        PlacedMat(mat, job.boards[boards[item]].name, where[item][0], where[item][1] != mat.blank)
        for item, mat in enumerate(mats)
    )


def _leftover(job: Job, placed: Sequence[PlacedMat], sheets: Sequence[CutSheet]) -> Iterator[OffcutLeft | FalloutLeft]:
    """Yield what is left, sheet by sheet and then mat by mat."""
    keep, squaring = job.bench.keep_at_least, job.bench.squaring
    for sheet in sheets:
        for leaf in leaves(sheet.root):
            if isinstance(leaf, Offcut):
                yield OffcutLeft(sheet.id, leaf.at, leaf.size, is_worth_keeping(leaf.size, keep))
    used = {(s.source.mat, s.source.window) for s in sheets if isinstance(s.source, FromFallout)}
    for mat in (p.mat for p in placed):
        for place, window in enumerate(mat.windows):
            if (mat.id, place) not in used:
                kept = is_worth_keeping(fallout_size(window, squaring), keep)
                yield FalloutLeft(mat.id, place, window.size, kept)

"""Every sheet is what it says it comes from, is there to be cut, and what it leaves is listed."""

from collections import Counter
from collections.abc import Iterator

from nesting.geometry import Size
from nesting.model.cut_tree import Offcut, leaves
from nesting.model.job import Bench, Job, ShelfKind
from nesting.model.plan import (
    Bought,
    CutSheet,
    FalloutLeft,
    FromFallout,
    FromShelf,
    OffcutLeft,
    PlacedMat,
    Plan,
)

__all__ = ["sheet_faults"]


def sheet_faults(plan: Plan) -> Iterator[str]:
    """Yield a line for each sheet with a wrong source, and for each wrong line of the leftovers.

    Parameters
    ----------
    plan : Plan
        The plan with the job that it answers.

    Yields
    ------
    str
        What is wrong, the sheet first.
    """
    ids = Counter(sheet.id for sheet in plan.sheets)
    yield from (f"{name}: the id of {count} sheets" for name, count in ids.items() if count > 1)
    mats = {placed.mat.id: placed for placed in plan.mats}
    for sheet in plan.sheets:
        yield from _source_faults(plan.job, sheet, mats)
    yield from _use_faults(plan)
    yield from _descent_faults(plan)
    yield from _leftover_faults(plan, mats)


def _source_faults(job: Job, sheet: CutSheet, mats: dict[str, PlacedMat]) -> Iterator[str]:
    match sheet.source:
        case Bought(number):
            offered = [offer for offer in job.offers if offer.number == number]
            if not offered:
                yield f"{sheet.id}: there is no offer {number}"
            for offer in offered:
                yield from _size_faults(job, sheet, offer.sheet, job.bench.trim)
        case FromShelf(label):
            held = [piece for piece in job.shelf if piece.label == label]
            if not held:
                yield f"{sheet.id}: nothing on the shelf is called {label}"
            for piece in held:
                yield from _board_faults(sheet, piece.board)
                edge = job.bench.trim if piece.kind is ShelfKind.SHEET else 0
                yield from _size_faults(job, sheet, piece.size, edge)
        case FromFallout(name, number):
            if not job.bench.use_fallout:
                yield f"{sheet.id}: is a fallout, and the job uses none"
            if name not in mats or not 0 <= number < len(mats[name].mat.windows):
                yield f"{sheet.id}: mat {name} has no window {number}"
                return
            yield from _board_faults(sheet, mats[name].board)
            yield from _size_faults(job, sheet, mats[name].mat.windows[number].size, job.bench.squaring)


def _board_faults(sheet: CutSheet, board: str) -> Iterator[str]:
    if sheet.board != board:
        yield f"{sheet.id}: is {sheet.board}, but comes from {board}"


def _size_faults(job: Job, sheet: CutSheet, size: Size, edge: int) -> Iterator[str]:
    """Hold a sheet against the size it comes in, and its tree against what is left once `edge` is cut off."""
    may_turn = not any(board.name == sheet.board and not board.turn for board in job.boards)
    if sheet.size != size and not (may_turn and sheet.size == (size.h, size.w)):
        yield f"{sheet.id}: is {sheet.size.w} x {sheet.size.h}, but comes as {size.w} x {size.h}"
    if sheet.root.at != (edge, edge):
        yield f"{sheet.id}: cutting starts at {tuple(sheet.root.at)}, not at {(edge, edge)}"
    if sheet.root.size != (sheet.size.w - 2 * edge, sheet.size.h - 2 * edge):
        yield f"{sheet.id}: what is divided is not the sheet less {edge} at each edge"


def _use_faults(plan: Plan) -> Iterator[str]:
    used = Counter(sheet.source for sheet in plan.sheets)
    held = {piece.label: piece.quantity for piece in plan.job.shelf}
    for source, count in used.items():
        match source:
            case FromShelf(label) if count > held.get(label, count):
                yield f"{label}: cut {count} times, but the shelf holds {held[label]}"
            case FromFallout(name, number) if count > 1:
                yield f"{name}: the fallout of window {number} is used {count} times"
            case _:
                pass


def _descent_faults(plan: Plan) -> Iterator[str]:
    """Find fallouts listed before the sheet of their mat; one that comes from itself is always among them."""
    cut_from = {placed.mat.id: placed.sheet for placed in plan.mats}
    places = {sheet.id: place for place, sheet in enumerate(plan.sheets)}
    for place, sheet in enumerate(plan.sheets):
        if not isinstance(sheet.source, FromFallout):
            continue
        parent = cut_from.get(sheet.source.mat, "")
        if places.get(parent, place) >= place:
            yield f"{sheet.id}: falls out of {sheet.source.mat}, which is not cut from a sheet before it"


def _leftover_faults(plan: Plan, mats: dict[str, PlacedMat]) -> Iterator[str]:
    left = Counter(
        (sheet.id, leaf.at, leaf.size)
        for sheet in plan.sheets
        for leaf in leaves(sheet.root)
        if isinstance(leaf, Offcut)
    )
    listed = Counter((entry.sheet, entry.at, entry.size) for entry in plan.leftover if isinstance(entry, OffcutLeft))
    yield from (f"{sheet}: the offcut at {tuple(at)} is not listed" for sheet, at, _ in left - listed)
    yield from (f"{sheet}: the offcut listed at {tuple(at)} is not there" for sheet, at, _ in listed - left)
    divided = {(s.source.mat, s.source.window) for s in plan.sheets if isinstance(s.source, FromFallout)}
    windows = {(name, number) for name, placed in mats.items() for number in range(len(placed.mat.windows))}
    fallen = Counter(windows - divided)
    named = Counter((entry.mat, entry.window) for entry in plan.leftover if isinstance(entry, FalloutLeft))
    yield from (f"{name}: the fallout of window {number} is not listed" for name, number in fallen - named)
    yield from (f"{name}: the fallout listed for window {number} is not left" for name, number in named - fallen)
    for entry in plan.leftover:
        yield from _entry_faults(plan.job.bench, entry, mats)


def _entry_faults(bench: Bench, entry: OffcutLeft | FalloutLeft, mats: dict[str, PlacedMat]) -> Iterator[str]:
    name, lost = entry.sheet if isinstance(entry, OffcutLeft) else entry.mat, 0
    if isinstance(entry, FalloutLeft):
        lost = 2 * bench.squaring
        windows = mats[entry.mat].mat.windows if entry.mat in mats else ()
        if 0 <= entry.window < len(windows) and entry.size != windows[entry.window].size:
            yield f"{name}: the fallout of window {entry.window} is not listed at the size of its window"
    short, long = sorted(side - lost for side in entry.size)
    least_short, least_long = sorted(bench.keep_at_least)
    if entry.keep != (short >= least_short and long >= least_long):
        yield f"{name}: what is left, {short} x {long}, is marked {'to keep' if entry.keep else 'as scrap'}"

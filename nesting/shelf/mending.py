"""Cutting spoiled mats again: the job for it, less what the wall has already taken, and what is reserved for it."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from nesting.bench.rounds import leftover_names
from nesting.geometry import ExactSize, Size
from nesting.model.job import Job, Piece, ShelfKind, ShelfPiece, When, plain_blank
from nesting.model.mat import Mat
from nesting.model.plan import FalloutLeft, OffcutLeft, PlacedMat
from nesting.offers import offers_after
from nesting.plan_file.read import Again, PlanFile
from nesting.shelf.booking import SPARE, booked_of, spare_name
from nesting.shelf.held import Shelf
from nesting.shelf.history import History, Reservation
from nesting.shelf.reserving import Claims, kept_for_others, reservation_of, reserve
from nesting.shelf.sources import finder, left_label, takes
from nesting.shelf.stock import with_shelf
from nesting.shelf.store import Edited
from nesting.sizing import size_pieces
from nesting.spelling import fold

__all__ = ["again_of", "job_again", "reserve_again"]


def job_again(
    job: Job, plan: PlanFile, mats: Sequence[PlacedMat], shelf: Shelf, history: History, *, reserved_too: bool = False
) -> Job:
    """Return the job of cutting some mats of a plan again, from what is there and what can be bought.

    The rest of the plan stays as it is: shelf pieces that it will still cut are not touched, and what it will leave
    counts as there. What the plan of the whole wall and every plan that mends it took is gone: sheets of limited
    offers, pieces of the job's own shelf table, and pieces of the shelf file.

    Parameters
    ----------
    job : Job
        The job that was planned, as read now; its offers, bench and shelf table count.
    plan : PlanFile
        The plan.
    mats : sequence of PlacedMat
        What must be cut again, each from the board that it was planned for.
    shelf : Shelf
        The shelf file with what is booked of the plan.
    history : History
        Its log.
    reserved_too : bool
        Whether pieces that are kept for other plans may be cut.

    Returns
    -------
    Job
        A piece for each mat, with the same blank and windows. Something that the plan will leave is not used if the
        user has given its name to another piece.
    """
    booked = booked_of(plan, history, shelf.change)
    mending, replaced = again_of(plan, mats), _replaced_by(plan, mats, history, shelf.change)
    bought, used = _taken(
        plan, mending, [one for one in history.reservations(shelf.change) if one.plan not in replaced]
    )
    find = finder(shelf, history)
    waiting = Counter(find.label(label) for sheet, label in takes(plan) if sheet.id not in booked)
    kept = Counter[str]() if reserved_too else kept_for_others(shelf, history, {plan.identity, *replaced})
    pieces = tuple(_piece(job, placed, row) for row, placed in enumerate(mats, 2))
    whole = with_shelf(replace(job, pieces=pieces, offers=offers_after(job, bought)), shelf)
    table = {fold(label): count for label, count in mending.table}
    left = [
        (piece, piece.quantity - waiting[fold(piece.label)] - kept[fold(piece.label)])
        if piece.in_file
        else (piece, _left_of_table(piece.quantity, table.get(fold(piece.label)), used[fold(piece.label)]))
        for piece in whole.shelf
    ]
    named = {fold(piece.label) for piece in whole.shelf}
    awaited = (piece for piece in _awaited(job, plan, booked) if fold(piece.label) not in named)
    left += [(piece, piece.quantity - kept[fold(piece.label)]) for piece in awaited]
    return replace(whole, shelf=tuple(replace(piece, quantity=count) for piece, count in left if count > 0))


def again_of(plan: PlanFile, mats: Sequence[PlacedMat]) -> Again:
    """Return what a plan that cuts these mats again records of the plans that it belongs to."""
    keys = tuple(plan.keys[placed.mat.id] for placed in mats)
    if plan.again is not None:
        return replace(plan.again, plan=plan.identity, mats=keys)
    took = reservation_of(plan)
    return Again(plan.identity, keys, plan.identity, took.offers, took.table, plan.table)


def _replaced_by(plan: PlanFile, mats: Sequence[PlacedMat], history: History, change: int) -> frozenset[str]:
    """Return, by identity, the uncut plans that cut some of these mats again: a newer plan replaces them."""
    keys = {plan.keys[placed.mat.id] for placed in mats}
    return frozenset(
        kept.plan
        for kept in history.reservations(change)
        if kept.mends == plan.identity and keys.intersection(kept.mats) and not history.times(change, kept.plan)
    )


def reserve_again(
    plan: PlanFile,
    mats: Sequence[PlacedMat],
    mending: PlanFile,
    shelf: Shelf,
    history: History,
    *,
    reserved_too: bool = False,
) -> Edited:
    """Return the change that reserves what a plan of cutting some mats again takes from the shelf.

    Earlier plans that cut these mats again lose their reservation, if they are not cut.

    Parameters
    ----------
    plan : PlanFile
        The plan whose mats were spoiled.
    mats : sequence of PlacedMat
        These mats.
    mending : PlanFile
        The plan that cuts them again.
    shelf : Shelf
        The shelf as it is.
    history : History
        Its log.
    reserved_too : bool
        Whether pieces that are kept for other plans may be taken.

    Returns
    -------
    Edited
        The same shelf.

    Raises
    ------
    ShelfChangeError
        If somebody has taken or reserved in the meantime what the plan takes. Plan again then.
    """
    replaced = _replaced_by(plan, mats, history, shelf.change)
    to_come = {left_label(plan, name): count for name, _, _, _, count, _ in _to_come(plan)}
    claims = Claims(shelf, history, {mending.identity, *replaced}, also_kept=reserved_too, to_come=to_come)
    return Edited(shelf, (), reserved=reserve(mending, claims), dropped=tuple(sorted(replaced)))


def _taken(plan: PlanFile, mending: Again, kept: Iterable[Reservation]) -> tuple[Counter[int], Counter[str]]:
    """Count what all plans of one wall took: sheets by offer, and pieces of its own shelf table by folded label."""
    bought, used = Counter(dict(mending.offers)), Counter[str]()
    others = [one for one in kept if one.first == mending.first and one.plan != plan.identity]
    own = [reservation_of(plan)] if plan.again is not None else []  # otherwise it is the first, and counted already
    for label, count in mending.shelf:
        used[fold(label)] += count
    for one in (*own, *others):
        bought.update(dict(one.offers))
        for label, count in one.table:
            used[fold(label)] += count
    return bought, used


def _left_of_table(now: int, then: int | None, used: int) -> int:
    """Return how many pieces of a row of the job's own table are left once some are used.

    If the row holds less now than when the wall was planned, the user has lowered it, as `done` asks, and what was
    used is not taken off again.
    """
    if then is None:
        return now - used
    return max(0, now - then) + min(now, then - used)


def _awaited(job: Job, plan: PlanFile, booked: frozenset[str]) -> Iterator[ShelfPiece]:
    """Yield what the rest of a plan will leave and is worth keeping, labelled by the plan and its name there."""
    boards = {fold(board.name): board.name for board in job.boards}
    for name, unit, board, size, count, kind in _to_come(plan):
        if unit not in booked and fold(board) in boards:
            yield ShelfPiece(left_label(plan, name), boards[fold(board)], size, count, kind, in_file=True)


def _to_come(plan: PlanFile) -> Iterator[tuple[str, str, str, Size, int, ShelfKind]]:
    """Yield everything that a plan leaves for the shelf: its name, the sheet or mat it comes with, and what it is."""
    of_sheet = {sheet.id: sheet.board for sheet in plan.sheets}
    of_mat = {placed.mat.id: placed.board for placed in plan.mats}
    for name, left in zip(leftover_names(plan), plan.leftover, strict=True):
        match left:
            case OffcutLeft(sheet, _, size, True):
                yield name, sheet, of_sheet[sheet], size, 1, ShelfKind.OFFCUT
            case FalloutLeft(mat, _, size, True):
                yield name, mat, of_mat[mat], size.inset(plan.squaring), 1, ShelfKind.FALLOUT
            case _:
                pass
    for spare in plan.spares:
        yield spare_name(spare), SPARE, spare.board, spare.size, spare.count, ShelfKind.SHEET


def _piece(job: Job, placed: PlacedMat, row: int) -> Piece:
    """Return a piece with just this mat, or a plain blank where rounding would change the borders."""
    mat = placed.mat
    group = next((piece.group for piece in job.pieces if fold(piece.name) == fold(mat.piece)), None)
    board = next((board.name for board in job.boards if fold(board.name) == fold(placed.board)), placed.board)
    blank = ExactSize(*map(Fraction, mat.blank))
    plain = replace(plain_blank(f"{mat.piece} ({mat.id})", board, blank, row=row), group=group)
    if mat.borders is None:
        return plain
    windowed = _windowed(plain, mat)
    made = size_pieces(replace(job, pieces=(windowed,)), When.LATER)
    is_same = [(one.blank, one.borders, one.windows) for one in made] == [(mat.blank, mat.borders, mat.windows)]
    return windowed if is_same else plain


def _windowed(plain: Piece, mat: Mat) -> Piece:
    """Give a blank the windows of a mat: as many across and down, with bars of the same width."""
    first = mat.windows[0]
    columns, rows = ([*dict.fromkeys(sorted(window.at[axis] for window in mat.windows))] for axis in (0, 1))
    ends = [(columns, first.size.w), (rows, first.size.h)]
    gap = max((places[1] - places[0] - length for places, length in ends if len(places) > 1), default=0)
    extra = mat.borders.bottom - mat.borders.top if mat.borders else 0
    return replace(
        plain,
        shown=ExactSize(Fraction(first.size.w), Fraction(first.size.h)),
        across=len(columns),
        down=len(rows),
        gap=Fraction(gap),
        bottom_extra=Fraction(max(0, extra)),
    )

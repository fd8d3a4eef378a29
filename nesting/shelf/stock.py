"""From the shelf file to the stock of a job, and from a spoiled mat to the job of cutting it again."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from nesting.errors import Fault, JobError
from nesting.geometry import ExactSize, Size
from nesting.job import Job, Piece, ShelfKind, ShelfPiece, When
from nesting.lookalike import lookalike_warnings
from nesting.offers import offers_after
from nesting.plan_file import PlanFile
from nesting.planned import FalloutLeft, FromShelf, Mat, OffcutLeft, PlacedMat, Plan
from nesting.shelf.booking import SPARE, left_label, spare_name
from nesting.shelf.held import Shelf
from nesting.sizing import size_pieces
from nesting.spelling import fold
from nesting.tidy import leftover_names

__all__ = ["job_again", "used_labels", "with_shelf"]


def with_shelf(job: Job, shelf: Shelf) -> Job:
    """Return a job that may also cut what the shelf file holds of the boards that it names.

    Parameters
    ----------
    job : Job
        The job as read.
    shelf : Shelf
        The shelf as read. Whole sheets of which trimming would leave nothing are passed over.

    Returns
    -------
    Job
        Its own shelf table first; the pieces of the file know that they are of the file. Boards of the file that look
        like one of the job's misspelt are among its warnings.

    Raises
    ------
    JobError
        If a label is on a piece of the job's own shelf table and on one of the file.
    """
    own = {fold(piece.label): piece.label for piece in job.shelf}
    clashes = [own[fold(piece.label)] for piece in shelf.pieces if fold(piece.label) in own]
    if clashes:
        problem = "is on a piece of this table and on one of the shelf file"
        remedy = "Take the row out of the table if it is the same piece; otherwise give it another label"
        raise JobError(tuple(Fault("shelf", None, "label", None, label, problem, remedy) for label in clashes))
    boards = {fold(board.name): board.name for board in job.boards}
    held = tuple(
        ShelfPiece(piece.label, boards[fold(piece.board)], piece.size, piece.quantity, piece.kind, in_file=True)
        for piece in shelf.pieces
        if fold(piece.board) in boards and (piece.kind is not ShelfKind.SHEET or min(piece.size) > 2 * job.bench.trim)
    )
    return replace(job, shelf=(*job.shelf, *held), warnings=(*job.warnings, *_lookalikes(job, shelf)))


def _lookalikes(job: Job, shelf: Shelf) -> Iterator[str]:
    """Yield a warning for each board of the shelf that is passed over and looks like one of the job's."""
    known = {fold(board.name) for board in job.boards}
    for name in dict.fromkeys(piece.board for piece in shelf.pieces if fold(piece.board) not in known):
        for board in job.boards:
            yield from lookalike_warnings((), (), (), (), (board, replace(board, name=name)))


def used_labels(plan: Plan) -> tuple[str, ...]:
    """Return the labels of the pieces of the shelf file that a plan cuts, in the order of its sheets."""
    in_file = {piece.label for piece in plan.job.shelf if piece.in_file}
    used = [sheet.source.label for sheet in plan.sheets if isinstance(sheet.source, FromShelf)]
    return tuple(dict.fromkeys(label for label in used if label in in_file))


def job_again(job: Job, plan: PlanFile, mats: Sequence[PlacedMat], shelf: Shelf, booked: frozenset[str]) -> Job:
    """Return the job of cutting some mats of a plan again, from what is there and what can be bought.

    The rest of the plan stays as it is: no piece of the shelf that it will still cut is touched. What it will leave
    counts as there.

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
    booked : frozenset of str
        The sheets and mats of the plan that are booked.

    Returns
    -------
    Job
        A piece for each mat, of the same blank and windows; offers less what the plan bought of them. Of what the plan
        will leave, a piece whose name a user has given to another piece is not used.
    """
    pieces = tuple(_piece(job, placed, row) for row, placed in enumerate(mats, 2))
    waiting = Counter(
        fold(sheet.source.label)
        for sheet in plan.sheets
        if isinstance(sheet.source, FromShelf) and (sheet.id not in booked or sheet.source.label not in plan.in_file)
    )
    bought = Counter[int]()
    for line in plan.bought:
        bought[line.offer] += line.count
    offers = offers_after(job, bought)
    whole = with_shelf(replace(job, pieces=pieces, offers=offers), shelf)
    left = ((piece, piece.quantity - waiting[fold(piece.label)]) for piece in whole.shelf)
    held = (replace(piece, quantity=count) for piece, count in left if count > 0)
    taken = {fold(piece.label) for piece in whole.shelf}
    awaited = (piece for piece in _awaited(job, plan, booked) if fold(piece.label) not in taken)
    return replace(whole, shelf=(*held, *awaited))


def _awaited(job: Job, plan: PlanFile, booked: frozenset[str]) -> Iterator[ShelfPiece]:
    """Yield what is worth keeping of what the rest of a plan will leave, known by the plan and its name there."""
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
    """Return a piece whose one mat is the mat again; a plain blank where rounding would make other borders of it."""
    mat = placed.mat
    group = next((piece.group for piece in job.pieces if fold(piece.name) == fold(mat.piece)), None)
    board = next((board.name for board in job.boards if fold(board.name) == fold(placed.board)), placed.board)
    plain = _plain(replace(placed, board=board), group, row)
    if mat.borders is None:
        return plain
    windowed = _windowed(plain, mat)
    made = size_pieces(replace(job, pieces=(windowed,)), When.LATER)
    is_same = [(one.blank, one.borders, one.windows) for one in made] == [(mat.blank, mat.borders, mat.windows)]
    return windowed if is_same else plain


def _plain(placed: PlacedMat, group: str | None, row: int) -> Piece:
    nothing = Fraction(0)
    return Piece(
        name=f"{placed.mat.piece} ({placed.mat.id})",
        row=row,
        quantity=1,
        group=group,
        opening=ExactSize(*map(Fraction, placed.mat.blank)),
        picture=None,
        shown=None,
        overlap=nothing,
        bottom_extra=nothing,
        allowance=nothing,
        across=1,
        down=1,
        gap=nothing,
        boards=(placed.board,),
        under_boards=(),
        reveal=nothing,
        under_inset=nothing,
        backing=(),
        frame_width=None,
        when=When.NOW,
        priority=None,
        frame_cost=0,
        other_cost=0,
        quote=None,
        notes=None,
    )


def _windowed(plain: Piece, mat: Mat) -> Piece:
    """Give a blank the windows of a mat: as many across and down, with bars as wide as theirs."""
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

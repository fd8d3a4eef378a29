"""How many more blanks still fit in what is bought, and what to leave out to need one sheet fewer."""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from nesting.errors import CannotBeCutError
from nesting.geometry import ExactSize
from nesting.model.job import Job, Piece, ShelfKind, ShelfPiece, When, plain_blank
from nesting.model.plan import FromShelf, Plan
from nesting.options import Left
from nesting.scenarios.afterwards import bought_stock, left_over
from nesting.scenarios.session import Session
from nesting.scenarios.shortages import left_out
from nesting.sizing import size_pieces
from nesting.spelling import internal

__all__ = ["Fewer", "HowMany", "how_many_more", "one_sheet_fewer"]

_SECONDS = 2.0
_CHOOSING = 6.0
_PARTS = 10_000
"""Areas are told apart in this many parts of the largest, as the solver is quicker with small numbers."""
_MOST = 500
"""Further blanks beyond which nobody asks how many more fit; thousands would take minutes and memory to lay out."""


@dataclass(frozen=True, slots=True)
class HowMany:
    """So many further blanks for an inside size fit in what a plan buys of a board, beside everything that it cuts.

    `plan` cuts them and all that the first plan cuts of that board, from what was bought, or them alone from what the
    first plan leaves; it is the first plan itself where none fits. `most` says that no more can fit; otherwise there
    may be a way that was not found.
    """

    board: str
    inside: ExactSize
    count: int
    most: bool
    plan: Plan


@dataclass(frozen=True, slots=True)
class Fewer:
    """Without these copies of pieces a board needs one sheet fewer, or still fewer; `saved` is in cents.

    `fewest` says that no fewer copies do, nor as many others of less worth.
    """

    board: str
    without: tuple[tuple[str, int], ...]
    sheets: int
    saved: int
    plan: Plan
    fewest: bool = True


def how_many_more(first: Plan, session: Session, board: str, inside: ExactSize) -> HowMany:
    """Return how many further plain blanks for an inside size fit in the sheets of one board that a plan buys.

    Parameters
    ----------
    first : Plan
        The plan that is bought for.
    session : Session
        Plans its job.
    board : str
        In the job's spelling.
    inside : ExactSize
        Of a frame; the job's allowance comes off it.

    Returns
    -------
    HowMany
        So many as fit where everything of that board may be cut anew, or where that takes too long as fit in what is
        left with nothing moved; up to 500.
    """
    step, room = f"how many more of {board}", _room(first, board, inside)
    counted, held = min(room, _MOST), replace(session.options, sheets=0)
    if not counted:
        return HowMany(board, inside, 0, most=True, plan=first)
    further, beside = _further(first.job, board, inside, counted), _as_cut(first, board)
    job = replace(session.job, pieces=(*beside, further), shelf=(*_used(first), *bought_stock(first)))

    def weigh(piece: Piece) -> tuple[int, int]:
        return int(piece.name != further.name), int(piece.name == further.name)

    found = session.select(
        held, seconds=_SECONDS, step=step, job=job, apart=True, weigh=weigh, liked=False, refined=False
    )
    copies = Counter(cost.piece for cost in found.plan.pieces) if found else Counter[str]()
    if found and all(copies[piece.name] == piece.quantity for piece in beside):
        count = copies[further.name]
        return HowMany(board, inside, count, found.proven and not count == _MOST < room, found.plan if count else first)
    return _in_what_is_left(first, session, board, inside, counted)


def _in_what_is_left(first: Plan, session: Session, board: str, inside: ExactSize, counted: int) -> HowMany:
    """Return how many further blanks fit in what a plan leaves, with nothing moved: there may be room for more."""
    rest, held = _rest(first, board), replace(session.options, sheets=0)

    def ask(count: int) -> Plan | CannotBeCutError:
        job = replace(session.job, pieces=(_further(first.job, board, inside, count),), shelf=rest)
        return session.plan(held, seconds=_SECONDS / 4, job=job, apart=True, first=True)

    fits, _, alone = _largest(0, counted, ask)
    return HowMany(board, inside, fits, most=False, plan=alone or first)


def _largest(fits: int, room: int, ask: Callable[[int], Plan | CannotBeCutError]) -> tuple[int, bool, Plan | None]:
    """Find by doubling and halving how many there is a plan for, whether no more can be, and the plan of the last."""
    fails, stride, most, best = room + 1, 1, True, None
    while fails - fits > 1:
        count = min(fits + stride, (fits + fails) // 2)
        tried = ask(count)
        if isinstance(tried, Plan):
            best, fits, stride = tried, count, 2 * stride
        else:
            fails, stride, most = count, room, tried.proven
    return fits, most, best


def _rest(first: Plan, board: str) -> tuple[ShelfPiece, ...]:
    """Return what is left of a board, without what falls out of windows where that is not to be used."""
    usable = first.job.bench.use_fallout
    return tuple(piece for piece in left_over(first, board) if usable or piece.kind is not ShelfKind.FALLOUT)


def _further(job: Job, board: str, inside: ExactSize, count: int) -> Piece:
    """Return a piece of so many plain blanks for frames of one inside size, named as no user can name one."""
    return plain_blank(internal("further blanks"), board, inside, quantity=count, allowance=job.bench.allowance)


def _used(plan: Plan) -> Iterator[ShelfPiece]:
    """Yield what the plan takes of the shelf; what stays there is not bought and does not count as room."""
    used = Counter(sheet.source.label for sheet in plan.sheets if isinstance(sheet.source, FromShelf))
    for piece in plan.job.shelf:
        if used[piece.label]:
            yield replace(piece, quantity=used[piece.label])


def _as_cut(plan: Plan, board: str) -> tuple[Piece, ...]:
    """Return the pieces of a plan that are cut from a board, each with only the boards that it is cut from.

    The others stay as they are planned: what they are cut from gives no room of this board and takes none.
    """
    taken = {(placed.mat.piece, placed.mat.layer): (placed.board,) for placed in plan.mats}
    planned = {placed.mat.piece for placed in plan.mats if placed.board == board}

    def settled(piece: Piece) -> Piece:
        under = taken.get((piece.name, 1), ()) if piece.under_boards else ()
        back = taken.get((piece.name, 2 if piece.under_boards else 1), ()) if piece.backing else ()
        return replace(piece, boards=taken[piece.name, 0], under_boards=under, backing=back)

    return tuple(settled(piece) for piece in plan.job.pieces if piece.name in planned)


def _room(plan: Plan, board: str, inside: ExactSize) -> int:
    """Return how many blanks the area that is not in mats would hold, were it of one piece."""
    job = plan.job
    blank = size_pieces(replace(job, pieces=(_further(job, board, inside, 1),)), When.NOW)[0].blank
    stock = sum(
        line.sheet.inset(job.bench.trim).area * line.count for line in plan.purchase.lines if line.board == board
    )
    of_shelf = {piece.label: piece.size.area for piece in _used(plan)}
    for sheet in plan.sheets:
        if sheet.board == board and isinstance(sheet.source, FromShelf):
            stock += of_shelf[sheet.source.label]
    used = 0
    for placed in plan.mats:
        if placed.board == board:
            used += placed.mat.blank.area
            if job.bench.use_fallout:
                used -= sum(window.size.area for window in placed.mat.windows)
    return max(0, (stock - used) // blank.area)


def one_sheet_fewer(first: Plan, session: Session, board: str) -> Fewer | None:
    """Return the fewest copies of pieces without which a board needs fewer sheets and less is paid; None if none help.

    Parameters
    ----------
    first : Plan
        The plan that is bought for.
    session : Session
        Plans its job.
    board : str
        In the job's spelling, one that the plan buys.

    Returns
    -------
    Fewer or None
        Among as few copies those with the least quote together, or where not every piece has a quote the smallest. None
        also where all that is left is nothing, and where the search was stopped.
    """
    options, total = session.options, first.purchase.total - 1
    limited = replace(
        options,
        left=(*options.left, Left(None, board, first.summary.sheets_by_board[board] - 1)),
        budget=total if options.budget is None else min(total, options.budget),
    )
    weigh = _by_worth(first)
    selected = session.select(
        limited, seconds=_CHOOSING, step=f"one {board} fewer", weigh=weigh, liked=False, refined=False
    )
    if selected is None or not selected.plan.pieces:
        return None
    plan = selected.plan
    sheets = first.summary.sheets_by_board[board] - plan.summary.sheets_by_board.get(board, 0)
    saved = first.purchase.total - plan.purchase.total
    return Fewer(board, left_out(first, plan), sheets, saved, plan, selected.proven)


def _by_worth(plan: Plan) -> Callable[[Piece], tuple[int, int]]:
    """Return what a copy of a piece counts: one, and among equals its quote, or its area where some have no quote."""
    area: Counter[str] = Counter()
    for placed in plan.mats:
        if placed.mat.copy == 1:
            area[placed.mat.piece] += placed.mat.blank.area
    largest = max(area.values())
    parts = {name: its * _PARTS // largest for name, its in area.items()}
    quotes = {cost.piece: cost.quote for cost in plan.pieces}
    worth = parts if None in quotes.values() else quotes
    return lambda piece: (1, worth.get(piece.name) or 0)

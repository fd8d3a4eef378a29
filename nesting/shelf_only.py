"""What can be made with what is there: the pieces that can be cut without buying, and what the rest would need."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from time import monotonic

from nesting.errors import CannotBeCutError, Obstacle
from nesting.job import Job, Piece, When
from nesting.plan import Options, Progress, make_plan
from nesting.planned import FromShelf, Plan
from nesting.sizing import size_pieces

__all__ = ["FromHeld", "LeftOut", "plan_from_held"]

_NO_ROOM = "there is no room for it beside what is cut before it"
_REMEDY = "Put such a piece on the shelf, or name another board that is held"
_LEAST_SECONDS = 0.1


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Copies of a piece that cannot be cut from what is there, and why."""

    piece: str
    copies: int
    reason: str


@dataclass(frozen=True, slots=True)
class FromHeld:
    """The plan of all that can be cut without buying, what is left out, and a plan of buying for that.

    `rest` is None where nothing is left out, and where no offer could help.
    """

    plan: Plan
    left_out: tuple[LeftOut, ...]
    rest: Plan | None


def plan_from_held(
    job: Job,
    options: Options | None = None,
    *,
    seconds: float = 10.0,
    seed: int = 0,
    progress: Callable[[Progress], None] | None = None,
) -> FromHeld:
    """Return the best plan for as many pieces as can be cut from what is there, the most wanted first.

    Parameters
    ----------
    job : Job
        The job; its shelf is all that may be cut.
    options : Options, optional
        Which pieces, and whether fallout is used.
    seconds : float
        The time limit for all together, nearly.
    seed : int
        As of `make_plan`.
    progress : callable, optional
        As of `make_plan`.

    Returns
    -------
    FromHeld
        Every plan in it checked, of a job that holds its own pieces alone.

    Raises
    ------
    JobError
        If a mat cannot be sized.
    CannotBeCutError
        If not one piece can be cut from what is there.

    Notes
    -----
    All pieces are tried together. Where they do not fit, they are added one by one in order of priority, among equals
    the smallest first, and each stays that leaves a plan. A heuristic: another choice may hold one piece more.
    """
    options = options or Options()
    size_pieces(job, options.when)  # tells the faults of all pieces, also of those that are left out
    wanted = tuple(
        _of_held_boards(job, piece) for piece in job.pieces if piece.when is When.NOW or options.when is When.LATER
    )
    reasons = {piece.name: lack for piece in wanted if (lack := _lack(job, piece)) is not None}
    pieces = tuple(piece for piece in wanted if piece.name not in reasons)
    if reasons and not pieces:
        raise CannotBeCutError(tuple(Obstacle(name, lack, _REMEDY) for name, lack in reasons.items()))
    search = _Search(replace(job, offers=()), options, seconds, seed, progress)
    counts, plan, others = _most(job, pieces, search)
    reasons |= others
    rest = _counted(job.pieces, {piece.name: piece.quantity - counts.get(piece.name, 0) for piece in wanted})
    left_out = tuple(LeftOut(piece.name, piece.quantity, reasons[piece.name]) for piece in rest)
    return FromHeld(plan, left_out, _bought(job, _same_boards(rest, plan), plan, search))


def _lack(job: Job, piece: Piece) -> str | None:
    """Say of which boards that a piece needs nothing is held; such a board comes out of no window either."""
    held = {one.board for one in job.shelf}
    layers = (("mat", piece.boards), ("under-mat", piece.under_boards), ("backing", piece.backing))
    lacks = [
        f"nothing is held of {' or '.join(boards)} for its {layer}"
        for layer, boards in layers
        if boards and held.isdisjoint(boards)
    ]
    return "; ".join(lacks) or None


def _of_held_boards(job: Job, piece: Piece) -> Piece:
    """Leave out of a piece's boards those of which nothing is held, unless that leaves none to say what is missing."""
    held = {one.board for one in job.shelf}

    def narrowed(boards: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(board for board in boards if board in held) or boards

    return replace(
        piece,
        boards=narrowed(piece.boards),
        under_boards=narrowed(piece.under_boards),
        backing=narrowed(piece.backing),
    )


class _Search:
    """Plans some of the pieces from what is held, within one time limit for all of its plans together."""

    def __init__(
        self, job: Job, options: Options, seconds: float, seed: int, progress: Callable[[Progress], None] | None
    ) -> None:
        self._job, self._options, self._seed, self._progress = job, options, seed, progress
        self.seconds = seconds
        self._ends = monotonic() + seconds

    def plan(self, pieces: Sequence[Piece], seconds: float, job: Job | None = None) -> Plan | CannotBeCutError:
        limit = max(_LEAST_SECONDS, min(seconds, self._ends - monotonic()))
        asked = replace(job or self._job, pieces=tuple(pieces))
        try:
            return make_plan(asked, self._options, seconds=limit, seed=self._seed, progress=self._progress)
        except CannotBeCutError as error:
            return error


def _most(job: Job, pieces: Sequence[Piece], search: _Search) -> tuple[Mapping[str, int], Plan, Mapping[str, str]]:
    """Plan all pieces, or as many as fit: how many copies of each, the plan, and why the others are left."""
    whole = search.plan(pieces, search.seconds * 0.4)
    if isinstance(whole, Plan):
        return {piece.name: piece.quantity for piece in pieces}, whole, {}
    counts, best, reasons = _greedy(job, pieces, search)
    if best is None:
        raise whole
    again = search.plan(_counted(pieces, counts), search.seconds * 0.8)
    return counts, again if isinstance(again, Plan) else best, reasons


def _greedy(
    job: Job, pieces: Sequence[Piece], search: _Search
) -> tuple[Mapping[str, int], Plan | None, Mapping[str, str]]:
    """Add pieces as long as there is a plan: how many copies of each, the last plan, and why the others are left."""
    counts: Counter[str] = Counter()
    reasons: dict[str, str] = {}
    best: Plan | None = None
    each = search.seconds * 0.5 / len(pieces)
    for piece in _in_order(job, pieces):
        fits, fails, copies = 0, piece.quantity + 1, piece.quantity
        while fails - fits > 1:
            tried = search.plan(_counted(pieces, {**counts, piece.name: copies}), each)
            if isinstance(tried, Plan):
                best, fits = tried, copies
            else:
                reasons[piece.name], fails = _reason(piece, tried), copies
            copies = (fits + fails) // 2
        counts[piece.name] = fits
    return counts, best, reasons


def _in_order(job: Job, pieces: Sequence[Piece]) -> list[Piece]:
    """Sort pieces by priority, those without one last, and then by the board that one copy takes."""
    area: Counter[str] = Counter()
    for mat in size_pieces(job, When.LATER):
        if mat.copy == 1:
            area[mat.piece] += mat.blank.area
    return sorted(pieces, key=lambda piece: (piece.priority is None, piece.priority or 0, area[piece.name]))


def _counted(pieces: Sequence[Piece], counts: Mapping[str, int]) -> tuple[Piece, ...]:
    """Return the pieces in their order with so many copies each; those with none are left out."""
    return tuple(replace(piece, quantity=counts[piece.name]) for piece in pieces if counts.get(piece.name))


def _reason(piece: Piece, error: CannotBeCutError) -> str:
    own = [obstacle.problem for obstacle in error.obstacles if obstacle.piece == piece.name]
    return "; ".join(own) or _NO_ROOM


def _same_boards(rest: Sequence[Piece], plan: Plan) -> tuple[Piece, ...]:
    """Let the copies that are left take the boards of those that are cut."""
    taken = {(placed.mat.piece, placed.mat.layer): placed.board for placed in plan.mats}

    def settled(piece: Piece, layer: int, boards: tuple[str, ...]) -> tuple[str, ...]:
        return (taken[piece.name, layer],) if boards and (piece.name, layer) in taken else boards

    return tuple(
        replace(
            piece,
            boards=settled(piece, 0, piece.boards),
            under_boards=settled(piece, 1, piece.under_boards),
            backing=settled(piece, 2 if piece.under_boards else 1, piece.backing),
        )
        for piece in rest
    )


def _bought(job: Job, rest: Sequence[Piece], plan: Plan, search: _Search) -> Plan | None:
    """Plan what is left with what can be bought and what the first plan leaves on the shelf."""
    if not rest or not job.offers:
        return None
    used = Counter(sheet.source.label for sheet in plan.sheets if isinstance(sheet.source, FromShelf))
    left = tuple(replace(piece, quantity=piece.quantity - used[piece.label]) for piece in job.shelf)
    held = tuple(piece for piece in left if piece.quantity)
    made = search.plan(rest, search.seconds * 0.2, replace(job, shelf=held))
    return made if isinstance(made, Plan) else None

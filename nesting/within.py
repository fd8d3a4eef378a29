"""What can be made within limits: from what is there without buying, for so much money, from so many sheets.

The pieces most wanted come first, then as many as possible; what is left out is named, with what it would need.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from time import monotonic

from nesting.afterwards import shelf_after
from nesting.errors import CannotBeCutError
from nesting.job import Job, Piece, When
from nesting.money import format_money
from nesting.offers import offers_after
from nesting.options import Options
from nesting.plan import Progress, learning, make_plan
from nesting.planned import Plan
from nesting.sizing import size_pieces

__all__ = ["LeftOut", "Within", "plan_within"]

_LEAST_SECONDS = 0.1


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Copies of a piece that cannot be cut within the limits, and why."""

    piece: str
    copies: int
    reason: str


@dataclass(frozen=True, slots=True)
class Within:
    """The plan of all that can be cut within the limits, what is left out, and plans of buying for that.

    `rest` buys for what is left out alone, with what the plan leaves; None where nothing is left out, and where no
    offer could help. `whole` is everything at once without the limits; None also where nothing may be bought.
    """

    plan: Plan
    left_out: tuple[LeftOut, ...]
    rest: Plan | None
    whole: Plan | None


def plan_within(
    job: Job,
    options: Options,
    *,
    seconds: float = 10.0,
    seed: int = 0,
    progress: Callable[[Progress], None] | None = None,
) -> Within:
    """Return the best plan for as many pieces as its limits allow, the most wanted first.

    Parameters
    ----------
    job : Job
        The job.
    options : Options
        With a budget, or with a count of sheets: with none to be bought, only what is held may be cut.
    seconds : float
        The time limit for all together, nearly.
    seed : int
        As of `make_plan`.
    progress : callable, optional
        As of `make_plan`.

    Returns
    -------
    Within
        Every plan in it checked, of a job that holds its own pieces alone; of none where nothing can be cut.

    Raises
    ------
    JobError
        If a mat cannot be sized.

    Notes
    -----
    All pieces are tried together, first without the limits, which may hold of themselves. Where they do not fit, they
    are added one by one in order of priority, among equals the smallest first, and each stays that leaves a plan. A
    heuristic: another choice may hold one piece more.
    """
    size_pieces(job, options.when)  # tells the faults of all pieces, also of those that are left out
    wanted = tuple(piece for piece in job.pieces if piece.when is When.NOW or options.when is When.LATER)
    if options.sheets == 0:
        wanted = tuple(_of_held_boards(job, piece) for piece in wanted)
    lacking = ((piece, _lack(job, piece) if options.sheets == 0 else None) for piece in wanted)
    reasons = {piece.name: lack for piece, lack in lacking if lack is not None}
    search = _Search(job, options, seconds, seed, progress)
    whole = None if options.sheets == 0 else search.free(replace(job, pieces=wanted), 0.4, learn=True)
    if whole is not None and _keeps(options, whole):
        return Within(whole, (), None, None)
    hopeless = whole is not None and _cannot_keep(options, whole)
    able = tuple(piece for piece in wanted if piece.name not in reasons)
    counts, plan, others = _most(job, able, search, hopeless=hopeless)
    reasons |= others
    rest = _counted(job.pieces, {piece.name: piece.quantity - counts.get(piece.name, 0) for piece in wanted})
    left_out = tuple(LeftOut(piece.name, piece.quantity, reasons[piece.name]) for piece in rest)
    return Within(plan, left_out, _bought(_same_boards(rest, plan), plan, search), whole if left_out else None)


def _keeps(options: Options, whole: Plan) -> bool:
    """Say whether a plan made without the limits keeps within them."""
    return (options.budget is None or whole.purchase.total <= options.budget) and (
        options.sheets is None or whole.summary.sheets_bought <= options.sheets
    )


def _cannot_keep(options: Options, whole: Plan) -> bool:
    """Say whether it is proven that not everything can be had for the money."""
    return options.budget is not None and whole.purchase.lower_bound > options.budget


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
    """Plans some of the pieces within the limits, and within one time limit for all of its plans together."""

    def __init__(
        self, job: Job, options: Options, seconds: float, seed: int, progress: Callable[[Progress], None] | None
    ) -> None:
        self.job, self.options, self._seed, self._progress = job, options, seed, progress
        self.seconds = seconds
        self._ends = monotonic() + seconds
        self._known = learning(job, options.when)

    def plan(self, pieces: Sequence[Piece], seconds: float, *, first: bool = False) -> Plan | CannotBeCutError:
        """Plan these pieces with all that is known; the first plan will do where one only asks whether there is any."""
        asked = replace(self.job, pieces=tuple(pieces))
        return self._made(asked, self.options, seconds, learn=True, first=first)

    def free(self, job: Job, share: float, *, learn: bool = False) -> Plan | None:
        """Plan another job without the limits in a share of the time; None where there is no plan."""
        free = replace(self.options, budget=None, sheets=None)
        made = self._made(job, free, self.seconds * share, learn=learn, first=False)
        return made if isinstance(made, Plan) else None

    def _made(self, job: Job, options: Options, seconds: float, *, learn: bool, first: bool) -> Plan | CannotBeCutError:
        limit = max(_LEAST_SECONDS, min(seconds, self._ends - monotonic()))
        known = self._known if learn else None
        try:
            return make_plan(
                job, options, seconds=limit, seed=self._seed, progress=self._progress, pools=known, first=first
            )
        except CannotBeCutError as error:
            return error


def _most(
    job: Job, pieces: Sequence[Piece], search: _Search, *, hopeless: bool
) -> tuple[Mapping[str, int], Plan, Mapping[str, str]]:
    """Plan all pieces, or as many as fit: how many copies of each, the plan, and why the others are left."""
    whole = None if hopeless else search.plan(pieces, search.seconds * 0.3)
    if isinstance(whole, Plan):
        return {piece.name: piece.quantity for piece in pieces}, whole, {}
    counts, best, reasons = _greedy(job, pieces, search)
    again = search.plan(_counted(pieces, counts), search.seconds * 0.3)
    return counts, again if isinstance(again, Plan) else best, reasons


def _greedy(job: Job, pieces: Sequence[Piece], search: _Search) -> tuple[Mapping[str, int], Plan, Mapping[str, str]]:
    """Add pieces as long as there is a plan: how many copies of each, the last plan, and why the others are left."""
    counts: Counter[str] = Counter()
    reasons: dict[str, str] = {}
    best = make_plan(replace(job, pieces=()), search.options)
    each = search.seconds * 0.5 / len(pieces)
    for piece in _in_order(job, pieces):
        fits, fails, copies = 0, piece.quantity + 1, piece.quantity
        while fails - fits > 1:
            tried = search.plan(_counted(pieces, {**counts, piece.name: copies}), each, first=True)
            if isinstance(tried, Plan):
                best, fits = tried, copies
            else:
                reasons[piece.name], fails = _reason(piece, tried, search), copies
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


def _reason(piece: Piece, error: CannotBeCutError, search: _Search) -> str:
    own = [obstacle.problem for obstacle in error.obstacles if obstacle.piece == piece.name]
    return "; ".join(own) or _too_much(search.job, search.options)


def _too_much(job: Job, options: Options) -> str:
    """Say that a piece does not go in beside those that come before it."""
    if options.sheets == 0:
        return "there is no room for it beside what is cut before it"
    limits = []
    if options.budget is not None:
        limits.append(f"cost more than {format_money(options.budget, job.bench.currency)}")
    if options.sheets is not None:
        limits.append(f"take more than {options.sheets} sheet{'' if options.sheets == 1 else 's'}")
    return f"with what comes before it, it would {' or '.join(limits)}"


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


def _bought(rest: Sequence[Piece], plan: Plan, search: _Search) -> Plan | None:
    """Plan what is left with what can still be bought and what is held once the first plan is cut."""
    job = search.job
    if not rest or not job.offers:
        return None
    bought = Counter[int]()
    for line in plan.purchase.lines:
        bought[line.offer] += line.count
    left = replace(job, pieces=tuple(rest), shelf=shelf_after(plan), offers=offers_after(job, bought))
    return search.free(left, 0.2)

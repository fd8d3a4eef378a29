"""What can be made within limits: from what is there without buying, for so much money, from so many sheets.

The pieces most wanted come first, then as many as possible; what is left out is named, with what it would need.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from time import monotonic

from nesting.errors import CannotBeCutError, Obstacle
from nesting.model.job import Job, Piece, When
from nesting.model.plan import Plan
from nesting.money import format_money
from nesting.offers import offers_after
from nesting.options import Options
from nesting.plan import Progress, hopeless, make_plan
from nesting.scenarios.afterwards import shelf_after
from nesting.scenarios.selection import Selection, Trial, add_in_turn, select_exactly
from nesting.scenarios.session import LEAST_SECONDS, NOT_TRIED, Session
from nesting.sizing import size_pieces

__all__ = ["LeftOut", "Within", "plan_within"]

_SHARE = 0.4
"""The share of the time that a plan without the limits is worth where they do not hold of themselves."""

_LEAST_EXACTLY = 1.0
"""A plan of few copies takes some hundredths of a second; where a machine is busy it may take this long."""

_LEAST_CHOOSING = 3.0
"""So many seconds a choice among few may take whatever the limit, so that it does not hang on how busy a machine is."""

_CHOOSING = 0.8
"""The share of the time that is left in which the solver chooses; the rest is for what it left open."""


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
    All pieces are tried together, first without the limits, which may hold of themselves. Where they do not fit and
    there are few choices of copies, every one is tried (`selection.select_exactly`); otherwise the solver chooses
    (`plan_selection`). Where that is not proven in the time, what was left out is tried piece by piece, and what was
    only not found is never said to be impossible.
    """
    size_pieces(job, options.when)  # tells the faults of all pieces, also of those that are left out
    wanted = tuple(piece for piece in job.pieces if piece.when is When.NOW or options.when is When.LATER)
    if options.sheets == 0:
        wanted = tuple(_of_held_boards(job, piece) for piece in wanted)
    able, reasons = _able(job, wanted, options)
    session = Session(job, options, seconds=seconds, seed=seed, progress=progress)
    whole = _whole(able, session)
    if isinstance(whole, Plan) and not reasons and _keeps(options, whole):
        return Within(whole, (), None, None)
    selection = _most(able, session, whole)
    plan = selection.plan
    for piece in able:
        reasons[piece.name] = _reason(piece, selection, session)
    rest = _counted(job.pieces, {piece.name: piece.quantity - selection.counts[piece.name] for piece in wanted})
    left_out = tuple(LeftOut(piece.name, piece.quantity, reasons[piece.name]) for piece in rest)
    at_once = whole if isinstance(whole, Plan) and len(able) == len(wanted) and options.sheets != 0 else None
    return Within(plan, left_out, _bought(_same_boards(rest, plan), plan, session), at_once if left_out else None)


def _keeps(options: Options, whole: Plan) -> bool:
    """Say whether a plan made without the limits keeps within them."""
    return (options.budget is None or whole.purchase.total <= options.budget) and (
        options.sheets is None or whole.summary.sheets_bought <= options.sheets
    )


def _able(job: Job, wanted: Sequence[Piece], options: Options) -> tuple[tuple[Piece, ...], dict[str, str]]:
    """Return the pieces that can be cut by themselves, as far as is seen at once, and why the others cannot.

    A piece that cannot be cut gives no fallout, so it is looked again until nothing changes.
    """
    reasons: dict[str, str] = {}
    if options.sheets == 0:
        lacks = ((piece, _lack(job, piece)) for piece in wanted)
        reasons = {piece.name: lack for piece, lack in lacks if lack is not None}
    while True:
        able = tuple(piece for piece in wanted if piece.name not in reasons)
        found = hopeless(replace(job, pieces=able), options)
        if not found:
            return able, reasons
        for name in dict.fromkeys(obstacle.piece for obstacle in found):
            reasons[name] = "; ".join(obstacle.problem for obstacle in found if obstacle.piece == name)


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


def _planned(
    pieces: Sequence[Piece],
    session: Session,
    seconds: float,
    *,
    first: bool = False,
    refined: bool = True,
    least: float = LEAST_SECONDS,
) -> Plan | CannotBeCutError:
    """Plan some of the pieces within the limits; the first plan will do where one only asks whether there is any."""
    return session.plan(
        seconds=seconds,
        least=least,
        job=replace(session.job, pieces=tuple(pieces)),
        first=first,
        liked=refined,
        refined=refined,
        explained=False,
    )


def _freely(pieces: Sequence[Piece], session: Session, seconds: float) -> Plan | CannotBeCutError:
    """Plan these pieces without the limits, in less time once the money is proven not to be enough for them."""
    budget = session.options.budget

    def limit(now: Progress) -> float:
        return seconds if budget is None or now.lower_bound <= budget else _SHARE * session.seconds

    asked = replace(session.job, pieces=tuple(pieces))
    free = _limitless(session.options)
    return session.plan(free, seconds=seconds, job=asked, refined=True, explained=False, limit=limit)


def _limitless(options: Options) -> Options:
    return replace(options, budget=None, sheets=None)


def _exactly(pieces: Sequence[Piece], session: Session, ends: float) -> Plan | CannotBeCutError:
    """Plan a few copies, to know for certain whether they can be cut and for how much.

    A search that ends without an answer may have spent its time on loading the compiled kernels, so it is made once
    more.
    """
    free = session.options.sheets == 0  # all that can be cut costs the same then
    for _ in range(2):
        if monotonic() > ends:
            break
        share = max(_LEAST_EXACTLY, 0.2 * session.left())
        tried = _planned(pieces, session, share, first=free, refined=False, least=_LEAST_EXACTLY)
        if isinstance(tried, Plan) or tried.proven:
            return tried
    return CannotBeCutError((NOT_TRIED,), proven=False)


def _whole(pieces: Sequence[Piece], session: Session) -> Plan | CannotBeCutError:
    """Plan all pieces at once, without the limits where they may hold of themselves.

    A budget takes most of the time, as only the cheapest plan of all pieces shows that it is enough; but once it is
    proven not to be, the rest of the time goes to choosing.
    """
    options = session.options
    if options.sheets == 0:
        return _planned(pieces, session, 0.5 * session.seconds)
    share = 0.9 if options.sheets is None else _SHARE
    whole = _freely(pieces, session, share * session.seconds)
    if not isinstance(whole, Plan) or whole.purchase.proven or not _keeps(options, whole) or not session.left():
        return whole
    again = _freely(pieces, session, session.left())
    better = isinstance(again, Plan) and _keeps(options, again) and again.purchase.total <= whole.purchase.total
    return again if isinstance(again, Plan) and better else whole


def _most(pieces: Sequence[Piece], session: Session, whole: Plan | CannotBeCutError) -> Selection:
    """Plan as many of the pieces as can be found within the limits, and note why the others are left."""
    everything = Counter({piece.name: piece.quantity for piece in pieces})
    if isinstance(whole, Plan) and _keeps(session.options, whole):
        return Selection(everything, whole)
    if session.options.sheets and not _cannot_keep(session.options, whole):
        whole = _planned(pieces, session, 0.3 * session.seconds)
        if isinstance(whole, Plan):
            return Selection(everything, whole)
    selection = _few(pieces, session) or _chosen(pieces, session)
    trial = _trial(pieces, session, share=1 / (4 + len(pieces)))
    add_in_turn(selection, _in_order(session.job, pieces), trial, lambda: session.left() > 0)
    again = _planned(_counted(pieces, selection.counts), session, session.left())
    if isinstance(again, Plan) and again.purchase.total <= selection.plan.purchase.total:
        selection.plan = again
    return selection


def _cannot_keep(options: Options, whole: Plan | CannotBeCutError) -> bool:
    """Say whether it is proven that not everything can be had for the money."""
    if isinstance(whole, CannotBeCutError):
        return whole.proven
    return options.budget is not None and whole.purchase.lower_bound > options.budget


def _few(pieces: Sequence[Piece], session: Session) -> Selection | None:
    """Choose exactly where there are few choices, and where whatever can be cut can be cut with copies left out.

    It cannot for sure where sheets must not be left uncut, or where a blank must be cut free of what lies beside it.
    """
    if session.job.bench.room_for_sheets is not None or session.job.bench.longest_cut is not None:
        return None
    ends = monotonic() + max(_LEAST_CHOOSING, session.left())
    return select_exactly(
        pieces,
        _areas(session.job),
        _nothing(session),
        lambda counts: _exactly(_counted(pieces, counts), session, ends),
        costly=session.options.sheets != 0,
    )


def _chosen(pieces: Sequence[Piece], session: Session) -> Selection:
    """Let the solver choose, with the copies optional; where that is proven, no more of any piece goes in."""
    made = session.select(replace(session.job, pieces=tuple(pieces)), seconds=_CHOOSING * session.left())
    if made is None:
        return Selection(Counter(), _nothing(session))
    refused: dict[str, tuple[Obstacle, ...]] = {piece.name: () for piece in pieces} if made.proven else {}
    return Selection(Counter(made.counts), made.plan, refused)


def _nothing(session: Session) -> Plan:
    """Return the plan of no piece, which keeps every limit."""
    return make_plan(replace(session.job, pieces=()), session.options)


def _trial(pieces: Sequence[Piece], session: Session, *, share: float) -> Trial:
    """Return what plans a choice of copies in a share of the time that is left then."""
    return lambda counts: _planned(_counted(pieces, counts), session, share * session.left(), first=True, refined=False)


def _in_order(job: Job, pieces: Sequence[Piece]) -> list[Piece]:
    """Sort pieces by priority, those without one last, and then by the board that one copy takes."""
    area = _areas(job)
    return sorted(pieces, key=lambda piece: (piece.priority is None, piece.priority or 0, area[piece.name]))


def _areas(job: Job) -> Counter[str]:
    """Return how much board one copy of each piece takes."""
    area: Counter[str] = Counter()
    for mat in size_pieces(job, When.LATER):
        if mat.copy == 1:
            area[mat.piece] += mat.blank.area
    return area


def _counted(pieces: Sequence[Piece], counts: Mapping[str, int]) -> tuple[Piece, ...]:
    """Return the pieces in their order with so many copies each; those with none are left out."""
    return tuple(replace(piece, quantity=counts[piece.name]) for piece in pieces if counts.get(piece.name))


def _reason(piece: Piece, selection: Selection, session: Session) -> str:
    """Say why a piece is left out: what is in its way, that it is proven not to go in, or that no way was found."""
    if piece.name not in selection.refused:
        return _not_found(session.job, session.options)
    own = [obstacle.problem for obstacle in selection.refused[piece.name] if obstacle.piece == piece.name]
    return "; ".join(own) or _too_much(session.job, session.options)


def _too_much(job: Job, options: Options) -> str:
    """Say that a piece does not go in beside those that come before it."""
    if options.sheets == 0:
        return "there is no room left for it on the shelf"
    return f"does not fit {' or '.join(_within(job, options))}"


def _not_found(job: Job, options: Options) -> str:
    """Say that a piece was not fitted in beside those that come before it, which does not mean that it cannot be."""
    if options.sheets == 0:
        return "no room was found for it on the shelf in the time; more --seconds may find some"
    return (
        f"no way was found in the time to fit it into {' or '.join(_within(job, options))}; more --seconds may find one"
    )


def _within(job: Job, options: Options) -> list[str]:
    """Name the limits."""
    limits = []
    if options.budget is not None:
        limits.append(f"the {format_money(options.budget, job.bench.currency)} budget")
    if options.sheets is not None:
        limits.append(f"the limit of {options.sheets} sheet{'' if options.sheets == 1 else 's'}")
    return limits


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


def _bought(rest: Sequence[Piece], plan: Plan, session: Session) -> Plan | None:
    """Plan what is left with what can still be bought and what is held once the first plan is cut."""
    job = session.job
    if not rest or not job.offers:
        return None
    bought = Counter[int]()
    for line in plan.purchase.lines:
        bought[line.offer] += line.count
    left = replace(job, pieces=tuple(rest), shelf=shelf_after(plan), offers=offers_after(job, bought))
    seconds = 0.2 * session.seconds
    made = session.plan(
        _limitless(session.options), seconds=seconds, job=left, apart=True, refined=True, explained=False
    )
    return made if isinstance(made, Plan) else None

"""What can be made within limits: from what is there without buying, for so much money, from so many sheets.

The pieces most wanted come first, then as many as possible; what is left out is named, with what it would need.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.errors import CannotBeCutError
from nesting.model.job import Job, Piece, When
from nesting.model.plan import Plan
from nesting.money import format_money
from nesting.offers import offers_after
from nesting.options import Left, Options
from nesting.plan import Progress, hopeless, make_plan
from nesting.plan_selection import SelectedPlan
from nesting.scenarios.afterwards import shelf_after
from nesting.scenarios.session import Session
from nesting.sizing import size_pieces

__all__ = ["LeftOut", "Within", "limits_pieces", "plan_within"]

_SHARE = 0.4
"""The share of the time that a plan of everything is worth where the limits do not hold of themselves."""

_CHOOSING = 0.8
"""The share of the time left in which the solver chooses; the rest is for what it leaves out."""


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
    offer could help. `whole` is everything at once without the limits; None also where nothing may be bought. `proven`
    says that no choice of pieces is better.
    """

    plan: Plan
    left_out: tuple[LeftOut, ...]
    rest: Plan | None
    whole: Plan | None
    proven: bool = True


def limits_pieces(options: Options) -> bool:
    """Return whether the options may keep some pieces from being cut that could be cut without them."""
    return options.budget is not None or options.sheets is not None or bool(options.left or options.shops)


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
        With a budget, with a count of sheets (with none to be bought, only what is held may be cut), with boards that
        are sold out or short, or with shops to buy at.
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
    All pieces are tried together first, without a budget or a count of sheets, which may hold of themselves. Where they
    do not, the solver chooses (`plan_selection`): exactly, if there is time. What was only not found is never said to
    be impossible.
    """
    size_pieces(job, options.when)  # tells the faults of all pieces, also of those that are left out
    wanted = tuple(piece for piece in job.pieces if piece.when is When.NOW or options.when is When.LATER)
    if options.sheets == 0:
        wanted = tuple(_of_held_boards(job, piece) for piece in wanted)
    able, reasons = _able(job, wanted, options)
    session = Session(job, options, seconds=seconds, seed=seed, progress=progress)
    whole = None if options.sheets == 0 else _whole(able, session)
    everything = Counter({piece.name: piece.quantity for piece in able})
    selected = None
    if isinstance(whole, Plan) and _keeps(options, whole):
        plan, counts, proven = whole, everything, True
    else:
        selected = session.select(seconds=_CHOOSING * session.left(), job=replace(job, pieces=able))
        plan, counts, proven = _chosen(selected, session)
    reasons |= {piece.name: _reason(piece, session, proven=proven) for piece in able}
    rest = _counted(job.pieces, {piece.name: piece.quantity - counts[piece.name] for piece in wanted})
    left_out = tuple(LeftOut(piece.name, piece.quantity, reasons[piece.name]) for piece in rest)
    at_once = whole if isinstance(whole, Plan) and whole is not plan and len(able) == len(wanted) else None
    apart = _bought(_same_boards(rest, plan), plan, session)
    return Within(plan, left_out, apart, at_once if left_out else None, proven)


def _chosen(selected: SelectedPlan | None, session: Session) -> tuple[Plan, Counter[str], bool]:
    """Return the plan of a choice, its copies, and whether it is proven; of nothing where there was no time for one."""
    if selected is None:
        return make_plan(replace(session.job, pieces=()), session.options), Counter(), False
    return selected.plan, Counter(selected.counts), selected.proven


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


def _freely(pieces: Sequence[Piece], session: Session, seconds: float) -> Plan | CannotBeCutError:
    """Plan these pieces without a budget or a count of sheets."""
    asked = replace(session.job, pieces=tuple(pieces))
    return session.plan(_limitless(session.options), seconds=seconds, job=asked, refined=True, explained=False)


def _limitless(options: Options) -> Options:
    return replace(options, budget=None, sheets=None)


def _whole(pieces: Sequence[Piece], session: Session) -> Plan | CannotBeCutError:
    """Plan all pieces at once without a budget or a count of sheets; for longer where such a plan is within them."""
    whole = _freely(pieces, session, _SHARE * session.seconds)
    if not isinstance(whole, Plan) or whole.purchase.proven or not _keeps(session.options, whole):
        return whole
    again = _freely(pieces, session, session.left()) if session.left() else whole
    better = isinstance(again, Plan) and again.purchase.total <= whole.purchase.total
    return again if better and isinstance(again, Plan) and _keeps(session.options, again) else whole


def _counted(pieces: Sequence[Piece], counts: Mapping[str, int]) -> tuple[Piece, ...]:
    """Return the pieces in their order with so many copies each; those with none are left out."""
    return tuple(replace(piece, quantity=counts[piece.name]) for piece in pieces if counts.get(piece.name))


def _reason(piece: Piece, session: Session, *, proven: bool) -> str:
    """Say why a piece is left out: that it is proven not to go in beside the others, or that no way was found."""
    job, options = session.job, session.options
    if options.sheets == 0:
        if proven:
            return "there is no room left for it on the shelf"
        return "no room was found for it on the shelf in the time; more --seconds may find some"
    limits = " or ".join(_limits(piece, job, options))
    if proven:
        return f"does not fit {limits}"
    return f"no way was found in the time to fit it into {limits}; more --seconds may find one"


def _limits(piece: Piece, job: Job, options: Options) -> list[str]:
    """Name the limits that may keep a piece from being cut."""
    limits = []
    if options.budget is not None:
        limits.append(f"the {format_money(options.budget, job.bench.currency)} budget")
    if options.sheets is not None:
        limits.append(f"the limit of {options.sheets} sheet{'' if options.sheets == 1 else 's'}")
    its = {*piece.boards, *piece.under_boards, *piece.backing}
    limits += [_left_words(left) for left in options.left if left.board in its]
    return limits or [f"what {' and '.join(options.shops) or 'the shops'} can sell"]


def _left_words(left: Left) -> str:
    """Name what is left of a board."""
    where = f" at {left.shop}" if left.shop else ""
    if not left.sheets:
        return f"what there is without {left.board}{where}"
    return f"the {left.sheets} sheet{'' if left.sheets == 1 else 's'} of {left.board}{where}"


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

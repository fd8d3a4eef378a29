"""Sheets worth buying for stock while they are cheap: for the pieces of later, and for boards that are often used.

Every figure comes from plans: the plan with the stock less the plan without it is what the stock costs now; a plan of
the stock alone, at ordinary prices and from what the first plan leaves, is what it would cost another day.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from nesting.geometry import ExactSize, Size
from nesting.model.job import Job, Offer, Piece, When, plain_blank
from nesting.model.plan import Plan
from nesting.money import half_up
from nesting.offers import sells, unit_price
from nesting.options import Options
from nesting.scenarios.afterwards import another_day
from nesting.scenarios.session import Session
from nesting.scenarios.shortages import exchanged
from nesting.shelf.history import Change
from nesting.spelling import fold, internal

__all__ = ["Extra", "extras", "yearly_use"]


@dataclass(frozen=True, slots=True)
class Extra:
    """What is worth buying beyond a plan, and the three plans that say so.

    Parameters
    ----------
    first : Plan
        The plan that is bought for.
    stocked : Plan
        The same with the stock, at the same prices.
    apart : Plan
        The stock alone another day, at ordinary prices and from what the first plan leaves.
    used : tuple of (str, Fraction)
        Boards and how many sheets of each were used in a year; none where the stock is for the later pieces.
    """

    first: Plan
    stocked: Plan
    apart: Plan
    used: tuple[tuple[str, Fraction], ...] = ()

    @property
    def buys(self) -> tuple[tuple[int, str, str, Size], ...]:
        """What is bought more than for the first plan: how many, shop, board and sheet."""
        return exchanged(self.first, self.stocked)[0]

    @property
    def leaves(self) -> tuple[tuple[int, str, str, Size], ...]:
        """What is bought less than for the first plan."""
        return exchanged(self.first, self.stocked)[1]

    @property
    def more(self) -> int:
        """What the stock costs now, in cents."""
        return self.stocked.purchase.total - self.first.purchase.total

    @property
    def saved(self) -> int:
        """What buying it now saves, in cents."""
        return self.apart.purchase.total - self.more

    @property
    def proven(self) -> bool:
        """Whether no other plan makes any of these sums smaller or larger."""
        return all(plan.purchase.proven for plan in (self.first, self.stocked, self.apart))


def extras(first: Plan, session: Session, used: Mapping[str, int], *, seconds: float) -> tuple[Extra, ...]:
    """Return what is worth stocking: for the later pieces, and of the boards that are often used.

    Parameters
    ----------
    first : Plan
        The plan that is bought for.
    session : Session
        Plans its job.
    used : Mapping of str to int
        The area of each board that was cut in the last year, by the shelf's log.
    seconds : float
        The time limit for each of the plans, of which there are two for each kind of stock.

    Returns
    -------
    tuple of Extra
        Only what saves money. For the later pieces, exactly what the plan with them buys otherwise. Of boards that cost
        less than usual, as many whole sheets as were used in a year, together no more than there is room for beside
        those that the plan leaves uncut. Coupons do not count as ordinary prices: they are for a sheet or two.
    """
    job, options = session.job, session.options
    often = tuple(_within_room(first, _often_used(job, used)))
    stock = tuple(_whole_sheets(job, its) for its in often)
    later = () if options.when is When.LATER else tuple(piece for piece in job.pieces if piece.when is When.LATER)
    wanted = (
        (job, replace(options, when=When.LATER), later, ()),
        (replace(job, pieces=(*job.pieces, *stock)), options, stock, tuple((its.board, its.yearly) for its in often)),
    )
    found = []
    for whole, its, pieces, sheets in wanted:
        if pieces:
            stocked = session.plan(its, seconds=seconds, step="with stock", job=whole, apart=whole is not job)
            other, later_too = another_day(first, pieces), Options(When.LATER)
            apart = session.plan(later_too, seconds=seconds, step="another day", job=other, apart=True)
            if isinstance(stocked, Plan) and isinstance(apart, Plan):
                found.append(Extra(first, stocked, apart, sheets))
    return tuple(extra for extra in found if extra.buys and extra.saved > 0)


def yearly_use(changes: Sequence[Change], boards: Iterable[str], today: date) -> dict[str, int]:
    """Return the area of each board that was used up in the year before a day, by the shelf's log.

    Parameters
    ----------
    changes : sequence of Change
        Those in force.
    boards : iterable of str
        In the job's spelling.
    today : date
        The day.

    Returns
    -------
    dict of str to int
        Square ticks: what plans took and bought, less what they put back on the shelf.
    """
    names = {fold(board): board for board in boards}
    used = dict.fromkeys(names.values(), 0)
    for change in changes:
        if change.command == "done" and today - date.fromisoformat(change.at[:10]) <= timedelta(days=365):
            for move in change.moves:
                if fold(move.board) in names:
                    used[names[fold(move.board)]] -= move.count * move.size.area
    return {board: max(0, area) for board, area in used.items()}


@dataclass(frozen=True, slots=True)
class _Often:
    """A board that is cheap now: the sheet that sells most of it for its money, how many of it were used in a year."""

    board: str
    sheet: Size
    count: int
    yearly: Fraction


def _often_used(job: Job, used: Mapping[str, int]) -> Iterator[_Often]:
    for board in _sold_by_name(job):
        offer = _cheapest(job, board)
        if offer is not None and unit_price(offer) < offer.price:
            yearly = Fraction(used.get(board, 0), offer.sheet.area)
            if half_up(yearly):
                yield _Often(board, offer.sheet, half_up(yearly), yearly)


def _sold_by_name(job: Job) -> Iterator[str]:
    """Yield the boards that sell alike whether they are asked for as a mat or not: `any` never sells a backing."""
    fronts = {board for piece in job.pieces for board in (*piece.boards, *piece.under_boards)}
    for board in job.boards:
        if board.name in fronts or all(offer.board is not None for offer in job.offers):
            yield board.name


def _cheapest(job: Job, board: str) -> Offer | None:
    """Return the offer without limits of number that sells most board for its money."""
    offers = [
        offer
        for offer in job.offers
        if sells(job, offer, board) and offer.at_most is None and offer.pack_of == 1 and offer.at_least in {None, 1}
    ]
    return min(offers, key=lambda offer: Fraction(unit_price(offer), offer.sheet.area), default=None)


def _within_room(first: Plan, often: Iterable[_Often]) -> Iterator[_Often]:
    room = first.job.bench.room_for_sheets
    left = None if room is None else room - first.summary.sheets_uncut
    for its in often:
        count = its.count if left is None else min(its.count, left)
        if count > 0:
            left = None if left is None else left - count
            yield replace(its, count=count)


def _whole_sheets(job: Job, often: _Often) -> Piece:
    """Return a piece that takes so many whole sheets and nothing less."""
    usable = ExactSize(*map(Fraction, often.sheet.inset(job.bench.trim)))
    return plain_blank(internal(f"sheets of {often.board}"), often.board, usable, quantity=often.count)

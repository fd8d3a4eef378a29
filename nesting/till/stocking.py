"""Sheets worth buying for stock while they are cheap: for the pieces of later, and for boards that are often used."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from nesting.geometry import Size
from nesting.job import Job, Offer
from nesting.money import half_up
from nesting.offers import sells, unit_price
from nesting.planned import Plan
from nesting.shelf.history import Change
from nesting.spelling import fold

__all__ = ["Extra", "extras", "yearly_use"]


@dataclass(frozen=True, slots=True)
class Extra:
    """Sheets of a board worth buying beyond the plan, and the reckoning.

    Parameters
    ----------
    board, shop, sheet : str, str, Size
        What to buy, and where.
    count : int
        How many.
    later : int
        How many more the later pieces take.
    used : Fraction
        How many were used in the last year by the shelf's log.
    price, usual : int
        What one costs now and what it costs without the discount, with tax, in cents.
    """

    board: str
    shop: str
    sheet: Size
    count: int
    later: int
    used: Fraction
    price: int
    usual: int

    @property
    def saved(self) -> int:
        """What buying them now saves, in cents."""
        return self.count * (self.usual - self.price)


def extras(first: Plan, later: Plan | None, used: Mapping[str, int]) -> tuple[Extra, ...]:
    """Return what is worth stocking, what saves most a sheet first.

    Parameters
    ----------
    first : Plan
        The plan that is bought for.
    later : Plan or None
        The plan with the later pieces, where there are any.
    used : Mapping of str to int
        The area of each board that was cut in the last year, by the shelf's log.

    Returns
    -------
    tuple of Extra
        As many sheets of a board as the later pieces take, or as were used in a year, whichever is more; together no
        more than there is room for beside those that the plan leaves uncut. Coupons do not count: they are for a sheet
        or two, and those the plan uses.
    """
    found = sorted(_wanted(first, later, used), key=lambda extra: extra.price - extra.usual)
    room = first.job.bench.room_for_sheets
    return tuple(found) if room is None else tuple(_within(found, room - first.summary.sheets_uncut))


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


def _within(found: Sequence[Extra], room: int) -> Iterator[Extra]:
    for extra in found:
        count = min(extra.count, room)
        if count > 0:
            room -= count
            yield replace(extra, count=count)


def _wanted(first: Plan, later: Plan | None, used: Mapping[str, int]) -> Iterator[Extra]:
    job = first.job
    for board in (board.name for board in job.boards):
        offer = _cheapest(job, board)
        if offer is None:
            continue
        price, usual = _with_tax(job, offer, unit_price(offer)), _with_tax(job, offer, offer.price)
        more = 0
        if later is not None:
            more = later.summary.sheets_by_board.get(board, 0) - first.summary.sheets_by_board.get(board, 0)
        yearly = Fraction(used.get(board, 0), offer.sheet.area)
        count = max(more, half_up(yearly))
        if count > 0 and usual > price:
            yield Extra(board, offer.shop, offer.sheet, count, max(0, more), yearly, price, usual)


def _cheapest(job: Job, board: str) -> Offer | None:
    """Return the offer without limits of number that sells most board for its money."""
    offers = [
        offer
        for offer in job.offers
        if sells(job, offer, board) and offer.at_most is None and offer.pack_of == 1 and offer.at_least in {None, 1}
    ]
    return min(offers, key=lambda offer: Fraction(unit_price(offer), offer.sheet.area), default=None)


def _with_tax(job: Job, offer: Offer, price: int) -> int:
    tax = next((shop.tax for shop in job.shops if shop.name == offer.shop), 0)
    return half_up(price * (1 + Fraction(tax) / 100))

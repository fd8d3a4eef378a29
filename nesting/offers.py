"""What sheets cost: discounts, delivery and tax; which offers sell a board, and what is left of them."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from nesting.errors import Fault, JobError, MoneyError
from nesting.model.job import Job, Offer
from nesting.model.plan import Line, Purchase
from nesting.money import half_up, parse_percent
from nesting.spelling import fold

__all__ = [
    "buy",
    "offers_after",
    "sells",
    "unit_price",
    "with_discount",
]


def sells(job: Job, offer: Offer, board: str) -> bool:
    """Return whether a sheet of `board` can be bought from `offer`.

    An offer for `any` sells every board that some piece, now or later, has in its columns `boards` or `under boards`,
    unless the shop has a row of its own for that board. A backing needs a row that names it: shops seldom sell one at
    the price of their mat boards. An offer of at most 0 is sold out.

    Parameters
    ----------
    job : Job
        The whole job, later pieces too.
    offer : Offer
        A row of its offers table.
    board : str
        The board in the job's spelling.

    Returns
    -------
    bool
    """
    if offer.at_most == 0:
        return False
    if offer.board is not None:
        return offer.board == board
    if any(other.shop == offer.shop and other.board == board for other in job.offers):
        return False
    return any(board in piece.boards or board in piece.under_boards for piece in job.pieces)


def unit_price(offer: Offer) -> int:
    """Return the price of one sheet after its discount, in cents, rounded half up.

    Parameters
    ----------
    offer : Offer
        A row of the offers table.

    Returns
    -------
    int
        Cents. Some tills round the sum of a line instead; here the price of one sheet is rounded.
    """
    return half_up(offer.price * (1 - Fraction(offer.discount) / 100))


def buy(job: Job, counts: Mapping[tuple[int, str], int], lower_bound: int) -> Purchase:
    """Return the purchase of some sheets, with delivery and tax shop by shop.

    Parameters
    ----------
    job : Job
        The job with its offers and shops.
    counts : Mapping of (int, str) to int
        How many sheets, by offer number and board; 0 means the same as no entry.
    lower_bound : int
        What no plan can cost less than, in cents.

    Returns
    -------
    Purchase
        Its lines in the order of the offers, those of one offer in the order of the job's boards.

    Raises
    ------
    KeyError
        For an offer number or a board that the job does not have.
    """
    offers = {offer.number: offer for offer in job.offers}
    rank = {board.name: place for place, board in enumerate(job.boards)}
    wanted = sorted((number, rank[board], board) for (number, board), count in counts.items() if count > 0)
    lines = tuple(_line(offers[number], board, counts[number, board]) for number, _, board in wanted)
    goods: Counter[str] = Counter()
    for line in lines:
        goods[line.shop] += line.amount
    return Purchase(
        lines=lines,
        delivery={shop: _fee(job, shop, spent) for shop, spent in goods.items()},
        tax={shop: _tax(job, shop, spent) for shop, spent in goods.items()},
        lower_bound=lower_bound,
    )


def _line(offer: Offer, board: str, count: int) -> Line:
    return Line(offer.shop, board, offer.number, offer.sheet, count, unit_price(offer))


def _fee(job: Job, name: str, spent: int) -> int:
    """Return the delivery fee in cents; it is free only where the goods cost more than the limit, not just as much."""
    for shop in job.shops:
        if shop.name == name:
            return 0 if shop.free_over is not None and spent > shop.free_over else shop.delivery
    return 0


def _tax(job: Job, name: str, spent: int) -> int:
    return next((half_up(spent * Fraction(shop.tax) / 100) for shop in job.shops if shop.name == name), 0)


def offers_after(job: Job, bought: Mapping[int, int]) -> tuple[Offer, ...]:
    """Return the offers that remain once some sheets are bought: a limit holds for a person, not for one visit.

    Parameters
    ----------
    job : Job
        The job with its offers.
    bought : Mapping of int to int
        Sheets by offer number.

    Returns
    -------
    tuple of Offer
        A limit is lowered by what was bought. An offer is left out once less remains than must be bought at least.
    """
    left = []
    for offer in job.offers:
        if offer.at_most is None:
            left.append(offer)
        elif offer.at_most - bought.get(offer.number, 0) >= (offer.at_least or 1):
            left.append(replace(offer, at_most=offer.at_most - bought.get(offer.number, 0)))
    return tuple(left)


def with_discount(job: Job, text: str, option: str = "--discount") -> Job:
    """Return the job with one discount on every offer without a limit, as at a sale.

    A row with `at most` is a coupon: a sale does not replace it.

    Parameters
    ----------
    job : Job
        The job as read.
    text : str
        Per cent off, ``50`` or ``50%``, or for one shop only ``SHOP=50``.
    option : str
        Where it is written, for the fault.

    Returns
    -------
    Job
        With the discounts replaced; all else is the same.

    Raises
    ------
    JobError
        If the text is no discount from 0 to 100, or names a shop that no offer has.
    """
    before, equals, after = text.rpartition("=")
    percent = _percent(text, after, option)
    shop = _known_shop(job, text, before, option) if equals else None
    return replace(
        job,
        offers=tuple(
            replace(offer, discount=percent) if offer.at_most is None and shop in {None, offer.shop} else offer
            for offer in job.offers
        ),
    )


def _percent(text: str, number: str, option: str) -> Decimal:
    try:
        return parse_percent(number)
    except MoneyError as error:
        raise JobError(
            (_fault(option, text, error.problem, "Write per cent off from 0 to 100, as 50 or Shop=50"),)
        ) from error


def _known_shop(job: Job, text: str, written: str, option: str) -> str:
    shops = tuple(dict.fromkeys(offer.shop for offer in job.offers))
    for shop in shops:
        if fold(shop) == fold(written):
            return shop
    known = f"The shops are: {', '.join(shops)}" if shops else "The job has no offers, so there is nothing to discount"
    raise JobError((_fault(option, text, "names a shop that no offer has", known),))


def _fault(option: str, given: str, problem: str, remedy: str) -> Fault:
    return Fault(table=option, row=None, column=None, cell=None, given=given, problem=problem, remedy=remedy)

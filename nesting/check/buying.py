"""What is bought can be bought, is enough, and costs what the till will say."""

from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction

from nesting.job import Job, Offer, Shop
from nesting.packing.status import SolveStatus
from nesting.planned import Bought, Line, Plan

__all__ = ["purchase_faults"]


def purchase_faults(plan: Plan) -> Iterator[str]:
    """Yield a line for each rule of offers and shops that the purchase breaks, and for each wrong sum.

    Parameters
    ----------
    plan : Plan
        The plan with the job that it answers.

    Yields
    ------
    str
        What is wrong, the offer or shop first.
    """
    offers = {offer.number: offer for offer in plan.job.offers}
    listed = Counter((line.offer, line.board) for line in plan.purchase.lines)
    yield from (f"offer {number}: {count} lines for {board}" for (number, board), count in listed.items() if count > 1)
    for line in plan.purchase.lines:
        yield from _line_faults(plan.job, line, offers.get(line.offer))
    for offer in plan.job.offers:
        yield from _offer_faults(offer, [line for line in plan.purchase.lines if line.offer == offer.number])
    yield from _count_faults(plan)
    yield from _till_faults(plan)
    yield from _bound_faults(plan)


def _line_faults(job: Job, line: Line, offer: Offer | None) -> Iterator[str]:
    if offer is None:
        yield f"offer {line.offer}: there is no such offer"
        return
    if not _is_sold(job, offer, line.board):
        yield f"offer {offer.number}: does not sell {line.board}"
    if line.count < 1:
        yield f"offer {offer.number}: {line.count} sheets of {line.board}"
    if line.shop != offer.shop:
        yield f"offer {offer.number}: is from {offer.shop}, not {line.shop}"
    if line.sheet != offer.sheet:
        yield f"offer {offer.number}: the sheet is not {line.sheet.w} x {line.sheet.h}"
    price = _to_the_cent(offer.price * (100 - Fraction(offer.discount)), 100)
    if line.unit_price != price:
        yield f"offer {offer.number}: a sheet costs {price} cents, not {line.unit_price}"


def _is_sold(job: Job, offer: Offer, board: str) -> bool:
    own = {other.board for other in job.offers if other.shop == offer.shop}
    for_mats = {name for piece in job.pieces for name in (*piece.boards, *piece.under_boards)}
    return offer.board == board or (offer.board is None and board in for_mats - own)


def _to_the_cent(amount: Fraction, divisor: int) -> int:
    """Divide an amount that is never negative, half a cent upwards."""
    return int((2 * amount + divisor) // (2 * divisor))


def _offer_faults(offer: Offer, lines: list[Line]) -> Iterator[str]:
    bought = sum(line.count for line in lines)
    for line in lines:
        if line.count % offer.pack_of:
            yield f"offer {offer.number}: {line.count} sheets of {line.board} are not whole packs of {offer.pack_of}"
    if offer.at_most is not None and bought > offer.at_most:
        yield f"offer {offer.number}: {bought} sheets, at most {offer.at_most} are sold"
    if offer.at_least is not None and lines and bought < offer.at_least:
        yield f"offer {offer.number}: {bought} sheets, at least {offer.at_least} must be bought"


def _count_faults(plan: Plan) -> Iterator[str]:
    """Hold the sheets that are cut against those bought, and the rest against the room that there is for them."""
    bought = {(line.offer, line.board): line.count for line in plan.purchase.lines}
    cut = Counter((sheet.source.offer, sheet.board) for sheet in plan.sheets if isinstance(sheet.source, Bought))
    for (number, board), count in cut.items():
        if count > bought.get((number, board), 0):
            yield f"offer {number}: {count} sheets of {board} are cut, {bought.get((number, board), 0)} bought"
    spare, room = sum(bought.values()) - cut.total(), plan.job.bench.room_for_sheets
    if room is not None and spare > room:
        yield f"purchase: {spare} sheets are left uncut, there is room for {room}"


def _till_faults(plan: Plan) -> Iterator[str]:
    """Add up each till: goods, then the fee unless they come to more than the mark, then tax on the goods alone."""
    goods: Counter[str] = Counter()
    for line in plan.purchase.lines:
        goods[line.shop] += line.unit_price * line.count
    shops = {shop.name: shop for shop in plan.job.shops}
    fees = {name: _fee(shops.get(name), spent) for name, spent in goods.items()}
    taxes = {name: _tax(shops.get(name), spent) for name, spent in goods.items()}
    yield from _differences("delivery", fees, plan.purchase.delivery)
    yield from _differences("tax", taxes, plan.purchase.tax)
    total = goods.total() + sum(fees.values()) + sum(taxes.values())
    if plan.purchase.total != total:
        yield f"purchase: comes to {total} cents, not {plan.purchase.total}"


def _fee(shop: Shop | None, spent: int) -> int:
    if shop is None or (shop.free_over is not None and spent > shop.free_over):
        return 0
    return shop.delivery


def _tax(shop: Shop | None, spent: int) -> int:
    return 0 if shop is None else _to_the_cent(spent * Fraction(shop.tax), 100)


def _differences(name: str, right: Mapping[str, int], given: Mapping[str, int]) -> Iterator[str]:
    for shop in sorted(right.keys() | given.keys()):
        if right.get(shop, 0) != given.get(shop, 0):
            yield f"{shop}: {name} is {right.get(shop, 0)} cents, not {given.get(shop, 0)}"


def _bound_faults(plan: Plan) -> Iterator[str]:
    bound, total = plan.purchase.lower_bound, plan.purchase.total
    if not 0 <= bound <= total:
        yield f"bound: {bound} cents cannot be the least that a plan of {total} cents can cost"
    if plan.status is SolveStatus.PROVEN_OPTIMAL and bound != total:
        yield f"bound: said to be proven, with a bound of {bound} cents under a total of {total}"
    if plan.status in {SolveStatus.INFEASIBLE, SolveStatus.NOT_FOUND}:
        yield f"bound: there is a plan, yet the search is said to have ended as {plan.status}"

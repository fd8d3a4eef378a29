"""The least that a small job can cost, by trying every purchase: apart from the solver, whose answers it judges.

Purchases are tried from the cheapest goods on, until the goods and their tax alone cost as much as the best one, so
that none that could be cheaper is left out, however many sheets it holds. What a sheet gives is told by the smallest
spaces that straight cuts divide into given blanks: two such spaces side by side, or one above the other, for every way
of parting the blanks in two. `packing.brute` finds the same by trying every place of a cut.
"""

from collections import Counter, defaultdict
from fractions import Fraction
from functools import cache
from heapq import heappop, heappush
from itertools import combinations, product
from math import floor

from nesting.model.job import ShelfKind, When
from nesting.options import Options
from nesting.sizing import size_pieces

__all__ = ["least_cost", "least_cost_if_any", "spaces"]


@cache
def spaces(blanks, kerf, *, turn):
    """Return the smallest spaces (w, h) that straight cuts divide into all of these blanks, a sorted tuple of sizes."""
    if len(blanks) == 1:
        (w, h) = blanks[0]
        return frozenset({(w, h), (h, w)} if turn else {(w, h)})
    found = set()
    first, *others = range(len(blanks))
    for count in range(len(others)):
        for more in combinations(others, count):
            chosen = {first, *more}
            part = spaces(tuple(blanks[i] for i in sorted(chosen)), kerf, turn=turn)
            rest = spaces(tuple(b for i, b in enumerate(blanks) if i not in chosen), kerf, turn=turn)
            for (w, h), (x, y) in product(part, rest):
                found |= {(w + kerf + x, max(h, y)), (max(w, x), h + kerf + y)}
    return frozenset(s for s in found if not any(o != s and o[0] <= s[0] and o[1] <= s[1] for o in found))


@cache
def most_used(blanks, free, bought, kerf, *, turn):
    """Return how many bought sheets can be in use at most when all blanks of a board are cut; None where none can."""
    left = {blanks: 0}
    for is_bought, (width, height) in [*((0, size) for size in free), *((1, size) for size in bought)]:
        for waiting, used in list(left.items()):
            for taken in parts(waiting):
                if any(w <= width and h <= height for w, h in spaces(taken, kerf, turn=turn)):
                    rest = tuple(sorted((Counter(waiting) - Counter(taken)).elements()))
                    left[rest] = max(left.get(rest, 0), used + is_bought)
    return left.get(())


@cache
def parts(blanks):
    """Return every choice of one blank or more."""
    return frozenset(some for count in range(1, len(blanks) + 1) for some in combinations(blanks, count))


def least_cost(job):
    """Return the least total in cents at which the blanks of a job can all be cut.

    The job's last offer must sell every board, without a limit, a pack or a minimum, in a sheet that takes any blank.
    """
    blanks = sum(len(its) for its, _ in next(assignments(job)).values())
    enough = total(job, {(job.offers[-1].number, next(iter(next(assignments(job))))): blanks})
    return cheapest(job, Options(), enough, capped=False)


def least_cost_if_any(job, options):
    """Return the least total in cents at which the blanks of a job can all be cut; None where no purchase gives them.

    No sheet of the job may be for nothing, and no delivery free: then more sheets than blanks are bought only to make
    up a pack or a minimum, so there is an end of purchases.
    """
    return cheapest(job, options, None, capped=True)


def cheapest(job, options, best, *, capped):
    """Return the cheapest purchase's total, `best` where none is cheaper."""
    boards, ways = {board.name: board for board in job.boards}, list(assignments(job))
    slots = [(offer, name) for offer in job.offers for name in boards if is_open(job, offer, name, options)]
    blanks = sum(len(its) for its, _ in ways[0].values())
    queue = [(0, 0, ())]
    while queue:
        least, place, counts = heappop(queue)
        if best is not None and least >= best:
            break
        purchase = {(offer.number, name): n for (offer, name), n in zip(slots, counts, strict=False) if n}
        cost = total(job, purchase)
        if (
            is_legal(job, purchase)
            and (best is None or cost < best)
            and any(can_cut(job, boards, purchase, w) for w in ways)
        ):
            best = cost
        for slot in range(place, len(slots)):
            more = (*counts, *(0 for _ in slots[len(counts) :]))
            more = (*more[:slot], more[slot] + slots[slot][0].pack_of, *more[slot + 1 :])
            if is_left(slots, more, options) and is_within(slots, more, blanks, slot, capped=capped):
                heappush(queue, (floor_of(job, slots, more), slot, more))
    return best


def assignments(job):
    """Yield for every choice of boards: board -> (its blanks, what drops out of them)."""
    lots = defaultdict(list)
    for mat in size_pieces(job, When.NOW):
        lots[mat.piece, mat.layer].append(mat)
    lost = 2 * job.bench.squaring
    for choice in product(*(its[0].boards for its in lots.values())):
        found = defaultdict(lambda: ([], []))
        for name, its in zip(choice, lots.values(), strict=True):
            for mat in its:
                found[name][0].append(tuple(mat.blank))
                if job.bench.use_fallout:
                    found[name][1].extend((w.size.w - lost, w.size.h - lost) for w in mat.windows)
        yield found


def is_sold(job, offer, name):
    """Whether a row sells a board: the one it names, or any that its shop has no row for."""
    if offer.board is not None:
        return offer.board == name
    own = any(other.shop == offer.shop and other.board == name for other in job.offers)
    return not own and any(name in piece.boards + piece.under_boards for piece in job.pieces)


def is_open(job, offer, name, options):
    """Whether a row sells a board at a shop that is asked for."""
    return (not options.shops or offer.shop in options.shops) and is_sold(job, offer, name)


def is_left(slots, counts, options):
    """Whether a purchase takes no more of a board than is left of it."""
    return all(
        sum(
            count
            for (offer, name), count in zip(slots, counts, strict=True)
            if name == left.board and left.shop in (None, offer.shop)
        )
        <= left.sheets
        for left in options.left
    )


def price_of(offer):
    return floor(offer.price * (100 - Fraction(offer.discount)) / 100 + Fraction(1, 2))


def goods_and_tax(job, purchase):
    """Return for each shop the cents for goods and the tax on them."""
    goods = Counter()
    for offer in job.offers:
        for (number, _), count in purchase.items():
            if number == offer.number and count:
                goods[offer.shop] += price_of(offer) * count
    rates = {shop.name: Fraction(shop.tax) / 100 for shop in job.shops}
    return {name: (cents, floor(cents * rates[name] + Fraction(1, 2))) for name, cents in goods.items()}


def total(job, purchase):
    shops = {shop.name: shop for shop in job.shops}
    paid = 0
    for name, (goods, tax) in goods_and_tax(job, purchase).items():
        free = shops[name].free_over is not None and goods > shops[name].free_over
        paid += goods + tax + (0 if free else shops[name].delivery)
    return paid


def floor_of(job, slots, counts):
    """Return goods and tax alone, which only grow as a purchase does."""
    purchase = {(offer.number, name): n for (offer, name), n in zip(slots, counts, strict=True)}
    return sum(goods + tax for goods, tax in goods_and_tax(job, purchase).values())


def is_within(slots, counts, blanks, slot, *, capped):
    """Whether a purchase is worth trying: within its limit, and with no more free sheets than can be of any use."""
    offer = slots[slot][0]
    bought = sum(n for (other, _), n in zip(slots, counts, strict=True) if other is offer)
    if offer.at_most is not None and bought > offer.at_most:
        return False
    return (price_of(offer) > 0 and not capped) or counts[slot] < blanks + offer.pack_of + (offer.at_least or 1)


def is_legal(job, purchase):
    """Whether minimums are kept to; packs and limits are by the way in which purchases are made."""
    least = {offer.number: offer.at_least or 0 for offer in job.offers}
    bought = Counter()
    for (number, _), count in purchase.items():
        bought[number] += count
    return all(count >= least[number] for number, count in bought.items())


def can_cut(job, boards, purchase, way):
    """Whether a purchase and the shelf give all blanks, with no more sheets left uncut than there is room for."""
    bench, used = job.bench, 0
    sheets = {offer.number: inset(offer.sheet, bench.trim) for offer in job.offers}
    for name, (blanks, fallen) in way.items():
        held = [
            inset(piece.size, bench.trim if piece.kind is ShelfKind.SHEET else 0)
            for piece in job.shelf
            for _ in range(piece.quantity)
            if piece.board == name
        ]
        bought = Counter()
        for (number, board), count in purchase.items():
            if board == name:
                bought[sheets[number]] += count
        enough = sorted(size for size, count in bought.items() for _ in range(min(count, len(blanks))))
        its = most_used(tuple(sorted(blanks)), tuple(held + fallen), tuple(enough), bench.kerf, turn=boards[name].turn)
        if its is None:
            return False
        used += its
    return bench.room_for_sheets is None or sum(purchase.values()) - used <= bench.room_for_sheets


def inset(size, edge):
    return size[0] - 2 * edge, size[1] - 2 * edge

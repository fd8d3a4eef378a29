"""The best that can be made of a small job within limits, by trying every choice: apart from the solver, as its judge.

Every number of copies of each piece is tried with every board for each layer and every purchase within the limits
(`every_purchase`). Among the choices with most copies by priority the cheapest is found, and among those that cost the
same how many pieces can have their first boards, then their first or second.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from itertools import product

from nesting.model.job import When
from nesting.sizing import size_pieces
from tests.every_purchase import can_cut, is_legal, is_sold, is_within, total

__all__ = ["Best", "Limits", "best_choice"]


@dataclass(frozen=True)
class Limits:
    """What a purchase keeps to: cents, sheets, sheets of a board, and shops; None or nothing named is no limit."""

    budget: int | None = None
    sheets: int | None = None
    left: tuple[tuple[str, int], ...] = ()
    shops: tuple[str, ...] = ()

    def allow(self, job, purchase):
        counts = Counter()
        for (_, board), count in purchase.items():
            counts[board] += count
        shops = {offer.shop for offer in job.offers for number, _ in purchase if number == offer.number}
        return (
            (self.budget is None or total(job, purchase) <= self.budget)
            and (self.sheets is None or counts.total() <= self.sheets)
            and all(counts[board] <= count for board, count in self.left)
            and (not self.shops or shops <= set(self.shops))
        )


@dataclass(frozen=True)
class Best:
    """How many copies are cut at each priority, for how much, and how many in their first boards, first or second..."""

    copies: tuple[int, ...]
    cost: int
    preference: tuple[int, ...]


def best_choice(job, limits):
    """Return the best choice there is."""
    priorities = sorted({rank(piece) for piece in job.pieces})
    purchases = legal_purchases(job, limits)
    choices = defaultdict(list)
    for counts in product(*(range(piece.quantity + 1) for piece in job.pieces)):
        copies = Counter()
        for piece, count in zip(job.pieces, counts, strict=True):
            copies[rank(piece)] += count
        choices[tuple(copies[priority] for priority in priorities)].append(counts)
    for copies in sorted(choices, reverse=True):
        found = [best for counts in choices[copies] if (best := cheapest(job, counts, purchases)) is not None]
        if found:
            cost = min(cost for cost, _ in found)
            return Best(copies, cost, max(liked for its, liked in found if its == cost))
    return None


def rank(piece):
    return float("inf") if piece.priority is None else piece.priority


def legal_purchases(job, limits):
    """List every purchase within the limits with its cost, the cheapest first."""
    boards = [board.name for board in job.boards]
    slots = [(offer, name) for offer in job.offers for name in boards if is_sold(job, offer, name)]
    blanks, found, growing = len(size_pieces(job, When.NOW)), [], [(0, ())]
    while growing:
        place, counts = growing.pop()
        purchase = {(offer.number, name): n for (offer, name), n in zip(slots, counts, strict=False) if n}
        if limits.allow(job, purchase) and is_legal(job, purchase):
            found.append((total(job, purchase), purchase))
        for slot in range(place, len(slots)):
            more = (*counts, *(0 for _ in slots[len(counts) :]))
            more = (*more[:slot], more[slot] + slots[slot][0].pack_of, *more[slot + 1 :])
            if is_within(slots, more, blanks, slot, capped=False) and may_grow(job, slots, more, limits):
                growing.append((slot, more))
    return sorted(found, key=lambda one: one[0])


def may_grow(job, slots, counts, limits):
    """Whether a purchase that holds this one may be within the limits; goods alone only grow dearer."""
    goods = {(offer.number, name): n for (offer, name), n in zip(slots, counts, strict=True) if n}
    free = replace(job, shops=tuple(replace(shop, delivery=0) for shop in job.shops))
    return limits.allow(free, goods)


def cheapest(job, counts, purchases):
    """Return the least cost of so many copies and what can be liked at that cost; None if there is no way.

    The second is the number of copies with every layer in its first board, then in its first or second, and so on.
    """
    pieces = tuple(replace(p, quantity=n) for p, n in zip(job.pieces, counts, strict=True) if n)
    boards = {board.name: board for board in job.boards}
    most = max((len(names) for p in job.pieces for names in (p.boards, p.under_boards)), default=1)
    ways = list(ways_of(replace(job, pieces=pieces), most))
    best = None
    for cost, purchase in purchases:
        if best is not None and cost > best[0]:
            break
        for way, liked in ways:
            if (best is None or liked > best[1]) and can_cut(job, boards, purchase, way):
                best = (cost, liked)
    return best


def ways_of(job, most):
    """Yield for every choice of boards: board -> (its blanks, what drops out of them), and how well it is liked."""
    lots, copies = defaultdict(list), {piece.name: piece.quantity for piece in job.pieces}
    for mat in size_pieces(job, When.NOW):
        lots[mat.piece, mat.layer].append(mat)
    lost = 2 * job.bench.squaring
    for choice in product(*(its[0].boards for its in lots.values())):
        found = defaultdict(lambda: ([], []))
        places = defaultdict(int)
        for name, its in zip(choice, lots.values(), strict=True):
            places[its[0].piece] = max(places[its[0].piece], its[0].boards.index(name))
            for mat in its:
                found[name][0].append(tuple(mat.blank))
                if job.bench.use_fallout:
                    found[name][1].extend((w.size.w - lost, w.size.h - lost) for w in mat.windows)
        yield (
            found,
            tuple(sum(copies[p] for p, place in places.items() if place < ranks) for ranks in range(1, most + 1)),
        )

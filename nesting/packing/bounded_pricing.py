"""Pricing with no more items of any kind in a pattern than there are, by listing the sets that a sheet can hold.

The recursion in `pricing` takes items of every kind without end. Where each kind is there once, its patterns soon hold
one twice that is there once, and no solution is made of such patterns. Here its values only bound what a sheet can hold
beside a box of items (`set_listing`), and what is listed has no more of any kind than there are.

A list can become too long. Then only the upper half of the values between the least that is asked for and what the
recursion allows is listed, then the upper quarter, and so on; where that holds nothing, half of what is left below it.
Where nothing is listed, the pattern of the recursion may still do without what it has too many of.

References
----------
Baldacci, Christofides & Mingozzi (2008), Math. Program. 115: enumeration by reduced cost.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.packing.board_lp import BoardLP
from nesting.packing.pattern import GrownSize, Part, contents, without
from nesting.packing.pricing import ValidInequality
from nesting.packing.set_listing import ListedSet, SetListing
from nesting.packing.stop import Stop

__all__ = ["BoundedPricer", "BoundedResult"]

ROOM = 10_000
"""How many boxes may be listed for a sheet, if the kernels can list so many."""

BEST = 60
"""How many patterns of a size of stock are taken at a time."""

LISTS = 6
"""How many lists are made of a size of stock at a time."""


@dataclass(frozen=True, slots=True)
class BoundedResult:
    """The inequality that the values prove, and patterns of at least the value that was asked for, with their stock."""

    inequality: ValidInequality
    patterns: tuple[tuple[GrownSize, Part], ...]


class BoundedPricer:
    """Pricing of one board within what there is of each kind.

    Parameters
    ----------
    lp : BoardLP
        The linear programme of the board, which prices without that bound, and knows how many there are.
    """

    def __init__(self, lp: BoardLP) -> None:
        self._lp = lp
        self._shares: dict[GrownSize, float] = {}

    @classmethod
    def of(cls, lp: BoardLP) -> "BoundedPricer | None":
        """Return the pricer of a board; None if its linear programme keeps the bound itself, or sets are too large."""
        if lp.subsets is not None and all(size in lp.subsets.stock for size in lp.pricer.stock):
            return None
        return cls(lp) if SetListing.can_list(lp.pricer, lp.most) else None

    def price(
        self, values: Sequence[int], least: Mapping[GrownSize, int], stop: Stop, *, best: int = BEST
    ) -> BoundedResult:
        """Return what values prove, and the best patterns.

        Parameters
        ----------
        values : Sequence of int
            Whole values of the kinds, in the order of the pricer, 0 or more.
        least : Mapping of GrownSize to int
            The least value of a pattern that is wanted, by size of stock.
        stop : Stop
            Says how long lists may take.
        best : int
            How many patterns of a size of stock are returned at most.
        """
        lp = self._lp
        priced = lp.price(values)
        by_kind, worth = priced.inequality.values, dict(priced.inequality.worth)
        listed = () if lp.subsets is None else lp.subsets.stock
        patterns: list[tuple[GrownSize, Part]] = []
        listing: SetListing | None = None
        for size in lp.pricer.stock:
            if worth[size] < least[size] or stop():
                continue
            if size in listed:
                patterns.append((size, priced.pattern(size)))
                continue
            if listing is None:
                wanted = {kind: count for kind, count in lp.most.items() if by_kind[kind]}
                listing = SetListing.of(lp.pricer, wanted, by_kind, min(ROOM, lp.pricer.engine.boxes))
            if listing is None:
                continue
            between = least[size], worth[size]
            sets, worth[size] = self._list(listing, size, between, stop, best=best)
            patterns += [(size, one.pattern()) for one in sets]
            if not sets:
                part = self._without_surplus(priced.pattern(size))
                if sum(by_kind[lp.kind(item)] * count for item, count in contents(part).items()) >= least[size]:
                    patterns.append((size, part))
        return BoundedResult(ValidInequality(lp.board, by_kind, worth), tuple(patterns))

    def _without_surplus(self, part: Part) -> Part:
        """Return a pattern without the items that it has more of than there are."""
        left = Counter(self._lp.most)
        for item in list(contents(part).elements()):
            kind = self._lp.kind(item)
            left[kind] -= 1
            if left[kind] < 0:
                part = without(part, item)
        return part

    def _list(
        self, listing: SetListing, size: GrownSize, between: tuple[int, int], stop: Stop, *, best: int
    ) -> tuple[list[ListedSet], int]:
        """List the best sets of a size of stock between two values, and return the most that it is worth.

        What can be listed down to some value cannot be too long down to a higher one. So it begins with the share of
        the range, at its upper end, that was not too long the last time, goes down from there, and halves what is left
        once a list is too long.
        """
        least, most = between
        highest, too_low = most, least - 1
        low = most - int(self._shares.get(size, 1.0) * (most - least))
        for _ in range(LISTS):
            sets = listing.sets(size, low, stop, best=best)
            if sets is None:
                too_low = low
            else:
                most = max((one.value for one in sets), default=low - 1)
                share = (highest - low + 1) / (highest - least + 1)
                self._shares[size] = share if len(sets) == best else min(1.0, 2 * share)
                if sets or most < least:
                    return sets, most
            if most <= too_low + 1:
                break
            low = least if too_low < least else (too_low + most + 1) // 2
        return [], most

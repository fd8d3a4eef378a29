"""The most value that straight cuts get out of a small sheet, by trying every cut and every division of the copies."""

from functools import cache
from itertools import product

__all__ = ["most_value"]


def most_value(sheet, kinds, values, *, turn, copies=None, longest=None):
    """Return the most value of items cut from a sheet, `copies` of each kind or any number; sizes in whole units.

    Every whole place of a cut is tried, so only small sheets will do.
    """
    ways = [(place, size) for place, kind in enumerate(kinds) for size in {kind, kind.turned if turn else kind}]

    @cache
    def most(w, h, left):
        best = 0
        for place, size in ways:
            if size == (w, h) and (left is None or left[place]):
                best = max(best, values[place])
        for part in [None] if left is None else product(*(range(count + 1) for count in left)):
            rest = None if left is None else tuple(a - b for a, b in zip(left, part, strict=True))
            if longest is None or h <= longest:
                best = max([best, *(most(x, h, part) + most(w - x, h, rest) for x in range(1, w))])
            if longest is None or w <= longest:
                best = max([best, *(most(w, y, part) + most(w, h - y, rest) for y in range(1, h))])
        return best

    return most(*sheet, None if copies is None else tuple(copies))

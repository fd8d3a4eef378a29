"""Small problems in whole numbers for the tests of the solver."""

from fractions import Fraction

from nesting.geometry import Size
from nesting.packing.instance import Held, Instance, Lot, Priced, Till

__all__ = ["held", "instance", "lots", "offer", "till"]


def lots(*wanted, boards=(0,)):
    """Return lots for ``(w, h, copies)``; copies of one lot take one board. Items are numbered through."""
    made, first = [], 0
    for w, h, copies in wanted:
        made.append(Lot(Size(w, h), tuple(range(first, first + copies)), boards, ()))
        first += copies
    return tuple(made)


def offer(w, h, price, **changes):
    """Return an offer of board 0 from till 0, without a limit, unless told otherwise."""
    facts = {"boards": (0,), "till": 0, "at_most": None, "at_least": 1, "pack": 1}
    return Priced(Size(w, h), price=price, **facts | changes)


def till(fee=0, free_over=None, tax="0"):
    """Return a till whose tax is given in per cent."""
    return Till(fee, free_over, Fraction(tax) / 100)


def held(w, h, count=1, board=0):
    return Held(board, Size(w, h), count)


def instance(wanted, offers, **changes):
    """Return a problem on one board that may be turned, without kerf, unless told otherwise."""
    facts = {"kerf": 0, "longest": None, "turn": (True,), "held": (), "tills": (till(),), "room": None}
    return Instance(lots=wanted, offers=tuple(offers), **facts | changes)

"""Sizes and places in whole ticks, and exact sizes before they are rounded."""

from fractions import Fraction
from typing import NamedTuple, Self

__all__ = ["ExactSize", "Point", "Size", "is_worth_keeping"]


class Size(NamedTuple):
    """A width and a height in whole ticks."""

    w: int
    h: int

    @property
    def area(self) -> int:
        """Square ticks."""
        return self.w * self.h

    @property
    def turned(self) -> Self:
        """The same size after a quarter turn."""
        return type(self)(self.h, self.w)

    def inset(self, edge: int) -> "Size":
        """Return what is left when a strip `edge` wide is cut off all four sides; may be nothing or less."""
        return Size(self.w - 2 * edge, self.h - 2 * edge)


class Point(NamedTuple):
    """A place in whole ticks: `x` runs right and `y` up from the lower left corner, seen from the front."""

    x: int
    y: int


class ExactSize(NamedTuple):
    """A width and a height in ticks, exact, as measured."""

    width: Fraction
    height: Fraction


def is_worth_keeping(size: Size, least: ExactSize | Size) -> bool:
    """Return whether a piece, lying either way, is at least as large as the least size that is kept for the shelf."""
    return min(size) >= min(least) and max(size) >= max(least)

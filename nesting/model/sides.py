"""Edges and directions of what lies on the bench."""

from enum import StrEnum

from nesting.geometry import Size
from nesting.model.cut_tree import Way

__all__ = ["Edge", "across", "along", "resized", "shortened"]


class Edge(StrEnum):
    """A side of what lies on the bench, as seen from the back: face down, turned over like a page."""

    LEFT = "left"
    TOP = "top"
    RIGHT = "right"
    BOTTOM = "bottom"


def along(size: Size, way: Way) -> int:
    """Return how far a part reaches in the direction in which cuts of this way follow each other."""
    return size.w if way is Way.UPRIGHT else size.h


def across(size: Size, way: Way) -> int:
    """Return how long a cut of this way through the whole of a part is."""
    return size.h if way is Way.UPRIGHT else size.w


def resized(size: Size, way: Way, reach: int) -> Size:
    """Return a strip as long as cuts of this way, that reaches so far along."""
    return Size(reach, size.h) if way is Way.UPRIGHT else Size(size.w, reach)


def shortened(size: Size, way: Way, by: int) -> Size:
    """Return what is left of a part when a cut of this way takes so much off it."""
    return resized(size, way, along(size, way) - by)

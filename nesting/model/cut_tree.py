"""The cut tree, which *is* the solution: every part of a sheet, down to the blanks and offcuts."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from nesting.geometry import Point, Size

__all__ = ["Cut", "Node", "Offcut", "Placed", "Way", "leaves", "nodes"]


class Way(StrEnum):
    """Which way a straight cut runs: bottom to top (parts side by side) or left to right (parts stacked)."""

    UPRIGHT = "upright"
    LEVEL = "level"


@dataclass(frozen=True, slots=True)
class Placed:
    """A part that is one item, whole."""

    at: Point
    size: Size
    item: int


@dataclass(frozen=True, slots=True)
class Offcut:
    """A part from which nothing is cut."""

    at: Point
    size: Size


@dataclass(frozen=True, slots=True)
class Cut:
    """A part divided by cuts all one way, kerf between the parts: from the left if upright, from the bottom if level.

    A last strip no wider than the kerf is eaten by it and has no part of its own.
    """

    at: Point
    size: Size
    way: Way
    parts: "tuple[Node, ...]"


Node = Placed | Offcut | Cut
"""A part of a sheet: a blank, an offcut, or a cut with its parts."""


def nodes(root: Node) -> Iterator[Node]:
    """Yield every part of the tree, parents before their parts, left to right and bottom to top."""
    yield root
    if isinstance(root, Cut):
        for part in root.parts:
            yield from nodes(part)


def leaves(root: Node) -> Iterator[Placed | Offcut]:
    """Yield the parts that are not divided further, left to right and bottom to top."""
    for node in nodes(root):
        if not isinstance(node, Cut):
            yield node

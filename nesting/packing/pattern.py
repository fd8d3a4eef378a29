"""Cutting patterns: how one sheet is divided, before it is known which item lies where.

A pattern counts sizes grown by the kerf (`GrownSize`), so that it can be compared and valued by whole numbers alone;
`cut_tree` turns it into the true parts.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from nesting.geometry import Point, Size
from nesting.model.cut_tree import Cut, Node, Offcut, Placed, Way
from nesting.model.sides import along

__all__ = [
    "AnySize",
    "GrownSize",
    "Part",
    "Split",
    "area_of",
    "contents",
    "cut_tree",
    "filled",
    "freed",
    "from_recipe",
    "gaps",
    "halves",
    "legal",
    "longest_possible",
    "mirrored",
    "parted",
    "without",
]


AnySize = TypeVar("AnySize", bound=Size)
"""True sizes or grown ones, but all of one kind."""


class GrownSize(Size):
    """A true size plus the kerf, each way, by which straight cuts lose nothing.

    Parts of true widths a and b are cut from one of a + kerf + b. Grown by the kerf, the widths just add up. The type
    keeps the two kinds of size apart: a true one will not do where a grown one is wanted.
    """

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Split:
    """A part divided in two by one cut: `first` is `at` wide (upright) or high (level), `rest` what is beyond."""

    way: Way
    at: int
    first: "Part"
    rest: "Part"


Part = GrownSize | Split | None
"""A pattern: an item that fills its part, a cut, or nothing cut from it."""


def contents(part: Part) -> Counter[GrownSize]:
    """Return how many items of each size, as they lie, a pattern has."""
    found: Counter[GrownSize] = Counter()
    todo = [part]
    while todo:
        match todo.pop():
            case Split() as cut:
                todo += [cut.first, cut.rest]
            case Size() as size:
                found[size] += 1
            case None:
                pass
    return found


def area_of(part: Part) -> int:
    """Return the area of the items of a pattern."""
    return sum(size.area for size in contents(part).elements())


def without(part: Part, size: GrownSize) -> Part:
    """Return a pattern with one item of this size, as it lies, left out; ValueError if it has none."""
    match part:
        case Split(way=way, at=at, first=first, rest=rest):
            if contents(first)[size]:
                return Split(way, at, without(first, size), rest)
            return Split(way, at, first, without(rest, size))
        case Size() if part == size:
            return None
        case _:
            raise ValueError(f"the pattern has no item of {size}")


def from_recipe(space: GrownSize, steps: Sequence[tuple[int, GrownSize | int, Way]]) -> Part:
    """Return the pattern of a recipe of the kernels: for each step its rectangle, its item and the first cut.

    Rectangle 0 is `space`; step i leaves rectangle 2i + 1 at the right of its item and 2i + 2 above it. If there is a
    number in place of the item, the step is a single cut so far in, with 2i + 1 before it and 2i + 2 beyond.
    """
    into = {rect: (number, size, way) for number, (rect, size, way) in enumerate(steps)}

    def divide(rect: int, space: GrownSize) -> Part:
        if rect not in into:
            return None
        number, size, way = into[rect]
        if isinstance(size, int):
            near, far = halves(way, size, space)
            return Split(way, size, divide(2 * number + 1, near), divide(2 * number + 2, far))
        right, above = 2 * number + 1, 2 * number + 2
        if way is Way.UPRIGHT:
            tall = _split(Way.LEVEL, size.h, space.h, size, lambda: divide(above, GrownSize(size.w, space.h - size.h)))
            return _split(way, size.w, space.w, tall, lambda: divide(right, GrownSize(space.w - size.w, space.h)))
        wide = _split(Way.UPRIGHT, size.w, space.w, size, lambda: divide(right, GrownSize(space.w - size.w, size.h)))
        return _split(way, size.h, space.h, wide, lambda: divide(above, GrownSize(space.w, space.h - size.h)))

    return divide(0, space)


def _split(way: Way, at: int, whole: int, first: Part, rest: Callable[[], Part]) -> Part:
    return first if at == whole else Split(way, at, first, rest())


def freed(size: GrownSize, space: GrownSize, longest: int | None) -> Part:
    """Return the cuts that free one item in a corner of a space, the upright one first where it is not too long."""
    if longest is None or space.h <= longest or size.w == space.w:
        part: Part = size if size.h == space.h else Split(Way.LEVEL, size.h, size, None)
        return part if size.w == space.w else Split(Way.UPRIGHT, size.w, part, None)
    part = size if size.w == space.w else Split(Way.UPRIGHT, size.w, size, None)
    return part if size.h == space.h else Split(Way.LEVEL, size.h, part, None)


def longest_possible(longest: int | None, spaces: Iterable[Size]) -> int:
    """Return the longest cut, or the longest that these spaces allow where cuts have no longest length."""
    return max((max(space) for space in spaces), default=0) if longest is None else longest


def legal(part: Part, space: GrownSize, longest: int | None) -> bool:
    """Return whether no cut of a pattern on `space` is longer than `longest`, both grown by the kerf."""
    match part:
        case Split(way=way, at=at) as cut:
            length = space.h if way is Way.UPRIGHT else space.w
            near, far = halves(way, at, space)
            return (
                (longest is None or length <= longest)
                and legal(cut.first, near, longest)
                and legal(cut.rest, far, longest)
            )
        case _:
            return True


def parted(
    way: Way,
    near: GrownSize,
    box: GrownSize,
    space: GrownSize,
    longest: int | None,
    *,
    first: Callable[[GrownSize], Part],
    second: Callable[[GrownSize], Part],
) -> Part:
    """Return the cuts that free a box made of two boxes side by side or one above the other.

    Parameters
    ----------
    way : Way
        Which way the cut between the two runs.
    near, box, space : GrownSize
        The box before that cut, the two together, and what they are cut from; what is beyond the box goes to the parts.
    longest : int or None
        The longest cut. If the cut between the two is longer, the space is first trimmed to the box, where the cut
        that does so is not too long.
    first, second : callable
        Given the space before the cut and the one beyond it, the pattern on it.

    Returns
    -------
    Part
    """
    side = Way.LEVEL if way is Way.UPRIGHT else Way.UPRIGHT
    length, across, trim = along(space, side), along(space, way), along(box, side)
    is_trimmed = longest is not None and length > longest >= across and trim < length
    at, whole = along(near, way), halves(side, trim, space)[0] if is_trimmed else space
    inner, outer = halves(way, at, whole)
    cut = Split(way, at, first(inner), second(outer))
    return Split(side, trim, cut, None) if is_trimmed else cut


def mirrored(part: Part) -> Part:
    """Return a pattern turned with its sheet, over the diagonal."""
    match part:
        case Split(way=way, at=at, first=first, rest=rest):
            other = Way.LEVEL if way is Way.UPRIGHT else Way.UPRIGHT
            return Split(other, at, mirrored(first), mirrored(rest))
        case Size():
            return part.turned
        case None:
            return None


def gaps(part: Part, space: GrownSize) -> list[GrownSize]:
    """List the parts of a pattern on `space` that nothing is cut from."""
    match part:
        case Split(way=way, at=at, first=first, rest=rest):
            near, far = halves(way, at, space)
            return gaps(first, near) + gaps(rest, far)
        case None:
            return [space] if min(space) > 0 else []
        case _:
            return []


def filled(part: Part, space: GrownSize, take: Callable[[GrownSize], Part]) -> Part:
    """Return a pattern on `space` with the pattern that `take` gives for each part that nothing is cut from."""
    match part:
        case Split(way=way, at=at, first=first, rest=rest):
            near, far = halves(way, at, space)
            return Split(way, at, filled(first, near, take), filled(rest, far, take))
        case None:
            return take(space)
        case _:
            return part


def halves(way: Way, at: int, space: AnySize) -> tuple[AnySize, AnySize]:
    """Return the two parts of a space that a cut leaves, the one before it first."""
    kind = type(space)
    if way is Way.UPRIGHT:
        return kind(at, space.h), kind(space.w - at, space.h)
    return kind(space.w, at), kind(space.w, space.h - at)


def cut_tree(part: Part, at: Point, space: Size, kerf: int, take: Callable[[Size], int | None]) -> Node:
    """Return the true parts of a pattern on a part of true size `space` that lies at `at`.

    Parameters
    ----------
    part : Part
        The pattern.
    at, space : Point, Size
        Where the divided part lies and how large it is, in true ticks.
    kerf : int
        What each cut removes.
    take : callable
        Given the true size of an item as it lies, the number of an item to put there, or None for none left: the part
        is then an offcut.

    Returns
    -------
    Node
        Cuts that follow each other the same way are one `Cut` with several parts.
    """
    match part:
        case None:
            return Offcut(at, space)
        case Size():
            item = take(space)
            return Offcut(at, space) if item is None else Placed(at, space, item)
        case Split():
            return _cut(part, at, space, kerf, take)


def _cut(part: Split, at: Point, space: Size, kerf: int, take: Callable[[Size], int | None]) -> Node:
    near, far = halves(part.way, part.at, space)  # at is grown by the kerf, so far begins past the cut
    first = cut_tree(part.first, at, _less(near, part.way, kerf), kerf, take)
    if min(far) <= 0:  # a last strip no wider than the kerf
        parts: tuple[Node, ...] = (first,)
    else:
        place = Point(at.x + part.at, at.y) if part.way is Way.UPRIGHT else Point(at.x, at.y + part.at)
        rest = cut_tree(part.rest, place, far, kerf, take)
        parts = (
            *_level_with(first, part.way),
            *(rest.parts if isinstance(rest, Cut) and rest.way is part.way else (rest,)),
        )
    if all(isinstance(p, Offcut) for p in parts):
        return Offcut(at, space)
    return Cut(at, space, part.way, parts)


def _less(size: Size, way: Way, kerf: int) -> Size:
    return Size(size.w - kerf, size.h) if way is Way.UPRIGHT else Size(size.w, size.h - kerf)


def _level_with(node: Node, way: Way) -> tuple[Node, ...]:
    """Take the parts of a cut the same way, unless kerf ate its last strip: what follows is then not a kerf away."""
    if not isinstance(node, Cut) or node.way is not way:
        return (node,)
    last = node.parts[-1]
    full = last.at.x + last.size.w == node.at.x + node.size.w and last.at.y + last.size.h == node.at.y + node.size.h
    return node.parts if full else (node,)

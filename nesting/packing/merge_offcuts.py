"""Offcuts that lie side by side made one, so that fewer cuts leave larger pieces."""

from collections.abc import Iterator, Sequence
from typing import assert_never

from nesting.geometry import Point, Size
from nesting.model.cut_tree import Cut, Node, Offcut, Placed, Way
from nesting.model.sides import along, resized

__all__ = ["merge_offcuts"]


def merge_offcuts(root: Node, kerf: int, longest: int | None) -> Node:
    """Return the same blanks out of the same part with fewer and larger offcuts.

    The parts of a cut may change places, because each runs from edge to edge. So the wanted ones are put first, the
    widest at the edge and alike ones together, and the offcuts last, where they are one. Where neighbours across a cut
    each end in offcuts of one width, one cut takes those off all of them at once.

    Parameters
    ----------
    root : Node
        What is divided.
    kerf : int
        What each cut removes, in ticks.
    longest : int or None
        The longest cut that the cutter can make, in ticks; no cut is made longer than that which was shorter before.

    Returns
    -------
    Node
        At the same place and of the same size, with every item of `root` in it, none turned.

    Notes
    -----
    Every offcut of `root` lies whole, with what else it gained, in one of those that are returned; so nothing that was
    worth keeping is lost. Offcuts that meet at a corner only (an L) stay as they were divided.
    """
    return _laid(_Merger(kerf, longest).merged(root), root.at, kerf)


class _Merger:
    """Merges from the smallest parts up; where parts lie is left open until all are merged."""

    def __init__(self, kerf: int, longest: int | None) -> None:
        self.kerf = kerf
        self.longest = longest

    def merged(self, node: Node) -> Node:
        match node:
            case Placed() | Offcut():
                return node
            case Cut():
                return self.joined(node.way, node.size, [self.merged(part) for part in node.parts])
            case _ as never:
                assert_never(never)

    def joined(self, way: Way, size: Size, parts: Sequence[Node]) -> Node:
        """Divide a part of this size into merged parts, in the order that leaves one offcut."""
        flat = [part for whole in parts for part in self.level_with(whole, way)]
        wanted: list[Node] = [part for part in self.grouped(way, flat) if not isinstance(part, Offcut)]
        if not wanted:
            return Offcut(_NOWHERE, size)
        wanted.sort(key=lambda part: (-along(part.size, way), _likeness(part)))
        room = along(size, way) - sum(along(part.size, way) + self.kerf for part in wanted)
        if room > 0:
            wanted.append(Offcut(_NOWHERE, resized(size, way, room)))
        elif len(wanted) == 1 and wanted[0].size == size:
            return wanted[0]
        return Cut(_NOWHERE, size, way, tuple(wanted))

    def level_with(self, part: Node, way: Way) -> tuple[Node, ...]:
        """Return the parts of a cut the same way, unless kerf has eaten its last strip: then no kerf follows them."""
        if not isinstance(part, Cut) or part.way is not way:
            return (part,)
        reached = sum(along(inner.size, way) + self.kerf for inner in part.parts) - self.kerf
        return part.parts if reached == along(part.size, way) else (part,)

    def grouped(self, way: Way, parts: Sequence[Node]) -> Iterator[Node]:
        """Yield the parts, those that end in offcuts of one width made one part where the cutter reaches that far."""
        ending: dict[int, list[Cut]] = {}
        for part in parts:
            strip = _last_offcut(part, way)
            if isinstance(part, Cut) and strip is not None:
                ending.setdefault(along(strip.size, part.way), []).append(part)
            else:
                yield part
        for wide, alike in ending.items():
            for together in self.within_reach(way, alike):
                yield together[0] if len(together) == 1 else self.one_strip(way, together, wide)

    def within_reach(self, way: Way, parts: Sequence[Cut]) -> Iterator[list[Cut]]:
        """Yield runs of parts that one cut can cross."""
        run: list[Cut] = []
        for part in parts:
            if run and self.longest is not None and self.length(way, [*run, part]) > self.longest:
                yield run
                run = []
            run.append(part)
        yield run

    def length(self, way: Way, parts: Sequence[Node]) -> int:
        return sum(along(part.size, way) + self.kerf for part in parts) - self.kerf

    def one_strip(self, way: Way, parts: Sequence[Cut], wide: int) -> Node:
        """Take the last offcut, `wide` across, off all of these parts by one cut."""
        other = parts[0].way
        whole = resized(parts[0].size, way, self.length(way, parts))
        high = along(whole, other) - wide - self.kerf
        rest = [self.joined(other, resized(part.size, other, high), part.parts[:-1]) for part in parts]
        inner = self.joined(way, resized(whole, other, high), rest)
        return self.joined(other, whole, [inner, Offcut(_NOWHERE, resized(whole, other, wide))])


_NOWHERE = Point(0, 0)


def _last_offcut(part: Node, way: Way) -> Offcut | None:
    """Return the offcut in which a part cut the other way ends."""
    if isinstance(part, Cut) and part.way is not way and isinstance(part.parts[-1], Offcut):
        return part.parts[-1]
    return None


def _likeness(node: Node) -> tuple[object, ...]:
    """Return what sorts alike parts together whatever items they hold."""
    match node:
        case Placed(size=size):
            return (0, size)
        case Offcut(size=size):
            return (1, size)
        case Cut(size=size, way=way, parts=parts):
            return (2, size, way, tuple(_likeness(part) for part in parts))
        case _ as never:
            assert_never(never)


def _laid(node: Node, at: Point, kerf: int) -> Node:
    """Give every part its place."""
    match node:
        case Placed(size=size, item=item):
            return Placed(at, size, item)
        case Offcut(size=size):
            return Offcut(at, size)
        case Cut(size=size, way=way, parts=parts):
            laid = []
            place = at
            for part in parts:
                laid.append(_laid(part, place, kerf))
                step = along(part.size, way) + kerf
                place = Point(place.x + step, place.y) if way is Way.UPRIGHT else Point(place.x, place.y + step)
            return Cut(at, size, way, tuple(laid))
        case _ as never:
            assert_never(never)

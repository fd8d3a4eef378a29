"""The straight cuts of alike sheets: new edges first, then the sheet divided with few changes of the setting."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count, product
from string import ascii_uppercase
from typing import assert_never

from nesting.bench.cutting_list import Fate, Part, Purpose, StraightCut, Tool, measure_words
from nesting.bench.rounds import Batch, leftover_labels
from nesting.geometry import Point
from nesting.model.cut_tree import Cut, Node, Offcut, Placed, Way, leaves
from nesting.model.job import Bench
from nesting.model.plan import CutSheet, FromFallout, OffcutLeft, Plan
from nesting.model.sides import Edge, across, along, resized, shortened
from nesting.names import Names

__all__ = ["cutting_list"]

_SCRAP = "scrap"


def cutting_list(plan: Plan, batch: Batch) -> tuple[StraightCut, ...]:
    """Return the straight cuts of alike sheets, to be made in this order.

    New edges are made first: the long ones, then the short ones, or the other way round where the cutter cannot make
    the long ones; those that are too long even then are for the straightedge. Then the sheet is divided. A setting that
    is on the cutter is used as often as it can be; of the next ones those go first for which the cutter need not be set
    again later, and of those the longest cut.

    Parameters
    ----------
    plan : Plan
        The plan that the sheets are part of.
    batch : Batch
        Alike sheets of it.

    Returns
    -------
    tuple of StraightCut
        None where a blank is the whole sheet.

    Notes
    -----
    The order obeys the tree exactly; that it changes the setting as seldom as can be is a rule of thumb.
    """
    namer = _Namer(plan, batch)
    first, bench = batch.sheets[0], plan.job.bench
    trims = list(_trims(bench, first, namer))
    return (*trims, *_divisions(bench, first.root, namer))


class _Namer:
    """Gives every part of alike sheets its name."""

    def __init__(self, plan: Plan, batch: Batch) -> None:
        self.plan = plan
        self.names = Names(plan.job, plan.mats)
        items = [[leaf.item for leaf in leaves(sheet.root) if isinstance(leaf, Placed)] for sheet in batch.sheets]
        self.items = dict(zip(items[0], zip(*items, strict=True), strict=True))
        self.sheet = batch.sheets[0].id if len(batch.sheets) == 1 else "sheet"
        others = "".join(f"{sheet.id}, " for sheet in batch.sheets[:-1])
        last = batch.sheets[-1].id
        self.offcuts = {
            left.at: (f"{others}{label}", Fate.KEEP) if left.keep else (_SCRAP, Fate.SCRAP)
            for left, label in zip(plan.leftover, leftover_labels(plan), strict=True)
            if isinstance(left, OffcutLeft) and left.sheet == last
        }
        self.letters = ("".join(letters) for repeat in count(1) for letters in product(ascii_uppercase, repeat=repeat))

    def part(self, node: Node) -> Part:
        match node:
            case Placed(at=at, size=size, item=item):
                mats = [self.plan.mats[each].mat for each in self.items[item]]
                called = dict.fromkeys(self.names.mat(mat) for mat in mats)
                return Part(" ".join(mat.id for mat in mats), size, Fate.BLANK, "; ".join(called), at)
            case Offcut(at=at, size=size):
                name, fate = self.offcuts[at]
                return Part(name, size, fate, at=at)
            case Cut(at=at, size=size):
                return Part(next(self.letters), size, Fate.DIVIDE, at=at)
            case _ as never:
                assert_never(never)

    def whole(self, root: Node) -> Part:
        return Part(self.sheet, root.size, Fate.DIVIDE, at=root.at) if isinstance(root, Cut) else self.part(root)


def _trims(bench: Bench, sheet: CutSheet, namer: _Namer) -> Iterator[StraightCut]:
    """Yield the cuts that give a sheet its new edges; the last of them leaves what is divided, or a blank at once."""
    wide, part = sheet.root.at.x, Part(namer.sheet, sheet.size, Fate.DIVIDE)
    edges = [edge for way in _trim_ways(bench, sheet) for edge in _EDGES[way]] if wide else []
    for place, edge in enumerate(edges, start=1):
        less = shortened(part.size, _way(edge), wide)
        at = Point(part.at.x + wide * (edge is Edge.RIGHT), part.at.y + wide * (edge is Edge.BOTTOM))
        rest = Part(namer.sheet, less, Fate.DIVIDE, at=at) if place < len(edges) else namer.whole(sheet.root)
        yield _trim(bench, sheet, part, edge, rest)
        part = rest


_EDGES = {Way.UPRIGHT: (Edge.LEFT, Edge.RIGHT), Way.LEVEL: (Edge.BOTTOM, Edge.TOP)}


def _way(edge: Edge) -> Way:
    return Way.UPRIGHT if edge in _EDGES[Way.UPRIGHT] else Way.LEVEL


def _trim(bench: Bench, sheet: CutSheet, part: Part, edge: Edge, rest: Part) -> StraightCut:
    wide, way = sheet.root.at.x, _way(edge)
    fallen = isinstance(sheet.source, FromFallout)
    return StraightCut(
        part=part,
        way=way,
        edge=edge,
        measure=wide,
        words=measure_words(wide, bench),
        purpose=Purpose.SQUARE if fallen else Purpose.TRIM,
        tool=Tool.CUTTER if _reaches(bench, across(part.size, way)) else Tool.STRAIGHTEDGE,
        off=Part("bevelled edge" if fallen else "factory edge", resized(part.size, way, wide), Fate.SCRAP),
        rest=rest,
    )


def _trim_ways(bench: Bench, sheet: CutSheet) -> tuple[Way, Way]:
    """Return which edges are made first: cutting the short ones may make the long ones short enough."""
    long, short = (Way.UPRIGHT, Way.LEVEL) if sheet.size.h > sheet.size.w else (Way.LEVEL, Way.UPRIGHT)
    return (long, short) if _reaches(bench, max(sheet.size)) else (short, long)


def _reaches(bench: Bench, length: int) -> bool:
    return bench.longest_cut is None or length <= bench.longest_cut


@dataclass(slots=True)
class _Open:
    """A part that is being divided: what it is now, how many cuts make it into its parts and how many are made."""

    node: Cut
    part: Part
    cuts: int
    made: int = 0

    @property
    def measure(self) -> int:
        return along(self.node.parts[self.made].size, self.node.way)


def _divisions(bench: Bench, root: Node, namer: _Namer) -> Iterator[StraightCut]:
    waiting = list(_opened(bench, root, namer.whole(root))) if isinstance(root, Cut) else []
    setting: int | None = None
    while waiting:
        part = _next(bench, waiting, setting)
        setting = part.measure
        cut, freed = _divide(bench, part, namer)
        yield cut
        if part.made == part.cuts:
            waiting.remove(part)
        waiting += freed


def _opened(bench: Bench, node: Node, part: Part) -> Iterator[_Open]:
    if isinstance(node, Cut):
        yield _Open(node, part, _cuts(bench, node))


def _cuts(bench: Bench, node: Cut) -> int:
    """Return how many cuts divide a part: one less than it has parts, unless kerf eats a last strip."""
    reached = sum(along(part.size, node.way) + bench.kerf for part in node.parts) - bench.kerf
    return len(node.parts) - (reached == along(node.size, node.way))


def _next(bench: Bench, waiting: Sequence[_Open], setting: int | None) -> _Open:
    """Choose the part to go on with."""

    def worth(part: _Open) -> tuple[bool, bool, int, int]:
        measure = part.measure
        now = sum(_at_once(bench, other.node, other.made, measure) for other in waiting)
        ever = sum(_ever(bench, other.node, other.made, measure) for other in waiting)
        return measure == setting, now == ever, across(part.part.size, part.node.way), measure

    return max(waiting, key=worth)


def _at_once(bench: Bench, node: Node, made: int, measure: int) -> int:
    """Count the cuts of one measure that can be made in a part before any other."""
    if not isinstance(node, Cut):
        return 0
    found, cuts = 0, _cuts(bench, node)
    for part in node.parts[made:cuts]:
        if along(part.size, node.way) != measure:
            return found
        found += 1 + _at_once(bench, part, 0, measure)
    return found + sum(_at_once(bench, part, 0, measure) for part in node.parts[cuts:])


def _ever(bench: Bench, node: Node, made: int, measure: int) -> int:
    """Count the cuts of one measure that are still to be made in a part."""
    if not isinstance(node, Cut):
        return 0
    own = sum(along(part.size, node.way) == measure for part in node.parts[made : _cuts(bench, node)])
    return own + sum(_ever(bench, part, 0, measure) for part in node.parts[made:])


def _divide(bench: Bench, part: _Open, namer: _Namer) -> tuple[StraightCut, list[_Open]]:
    """Make the next cut of a part; return it with the parts that can now be divided themselves."""
    node, before, measure = part.node, part.part, part.measure
    taken = node.parts[part.made]
    off = namer.part(taken)
    freed = list(_opened(bench, taken, off))
    part.made += 1
    rest: Part | None = None
    if part.made < part.cuts:
        # It keeps its name: what was cut off has one of its own.
        size = shortened(before.size, node.way, measure + bench.kerf)
        rest = part.part = Part(before.name, size, Fate.DIVIDE, at=node.parts[part.made].at)
    elif part.made < len(node.parts):
        rest = namer.part(node.parts[-1])
        freed += _opened(bench, node.parts[-1], rest)
    cut = StraightCut(
        part=before,
        way=node.way,
        edge=Edge.RIGHT if node.way is Way.UPRIGHT else Edge.BOTTOM,
        measure=measure,
        words=measure_words(measure, bench),
        purpose=Purpose.CUT,
        tool=Tool.CUTTER,
        off=off,
        rest=rest,
    )
    return cut, freed

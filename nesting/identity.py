"""What makes two plans the same: what they cut from what, not how it was found, priced, printed or put in order.

Ids such as M3 follow the order of the rows. So each sheet and mat has a key besides, made of values alone: two plans of
one identity give the same keys to the same sheets and mats, whatever the ids are.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import assert_never

from nesting.geometry import Point, Size
from nesting.lengths import round_near
from nesting.model.cut_tree import Cut, Node, Offcut, Placed
from nesting.model.mat import Mat
from nesting.model.plan import Bought, FromFallout, FromShelf, PlacedMat, Plan, Source
from nesting.spelling import fold

__all__ = ["Identity", "Tree", "Trunk", "digest", "identify", "identity_of", "others_of"]


@dataclass(frozen=True, slots=True)
class Tree:
    """A part of a sheet as a plan file tells it: divided (`parts`), a mat, or neither and so an offcut."""

    at: Point
    size: Size
    mat: str | None
    way: str | None
    parts: "tuple[Tree, ...]"


@dataclass(frozen=True, slots=True)
class Trunk:
    """A sheet of a plan with how it is divided."""

    id: str
    board: str
    source: Source
    size: Size
    root: Tree


@dataclass(frozen=True, slots=True)
class Identity:
    """The identity of a plan, and for the id of each of its sheets and mats the key that stands for its values."""

    plan: str
    keys: Mapping[str, str]


def digest(facts: object) -> str:
    """Return sixteen hexadecimal digits that are the same for the same facts, which JSON must be able to hold."""
    return hashlib.sha256(json.dumps(facts, sort_keys=True).encode()).hexdigest()[:16]


def identify(sheets: Sequence[Trunk], mats: Sequence[PlacedMat], bought: Sequence[object]) -> Identity:
    """Return the identity of a plan and the keys of its sheets and mats.

    The key of a mat is made of what was asked: its piece, copy and layer, its blank and windows. So another plan of the
    same wall has the same keys for its mats, even where it cuts them otherwise.

    Parameters
    ----------
    sheets : sequence of Trunk
        In any order.
    mats : sequence of PlacedMat
        In any order.
    bought : sequence of object
        Whatever else the plan takes and leaves, as values that JSON can hold; the order does not matter.

    Returns
    -------
    Identity
        Of values alone.
    """
    keys = {placed.mat.id: digest(_asked(placed.mat)) for placed in mats}
    seen: Counter[str] = Counter()
    for sheet in sheets:
        key = digest([fold(sheet.board), _source(sheet.source, keys), sheet.size, _cuts(sheet.root, keys)])
        seen[key] += 1
        keys[sheet.id] = digest([key, seen[key]])
    placings = sorted([keys[placed.mat.id], fold(placed.board), placed.turned] for placed in mats)
    others = sorted(digest(one) for one in bought)
    return Identity(digest([sorted(keys[sheet.id] for sheet in sheets), placings, others]), keys)


def others_of(
    squaring: int, keep_at_least: Sequence[int], bought: Iterable[tuple[str, Size, int]]
) -> list[list[object]]:
    """Return what a plan takes and leaves beside its sheets and mats, as `identify` wants it.

    Parameters
    ----------
    squaring, keep_at_least : int, sequence of int
        In ticks, as on the bench of the job.
    bought : iterable of str, Size and int
        Board, sheet and count of each line of the shopping list.

    Returns
    -------
    list of list
        The losses first, then each board and size with its count.
    """
    counts = Counter[tuple[str, Size]]()
    for board, size, count in bought:
        counts[fold(board), size] += count
    return [[squaring, list(keep_at_least)], *([*what, count] for what, count in counts.items())]


def identity_of(plan: Plan) -> Identity:
    """Return the identity of a plan; its plan file, read back, has the same."""
    ids = [placed.mat.id for placed in plan.mats]
    trunks = [Trunk(s.id, s.board, s.source, s.size, _tree(s.root, ids)) for s in plan.sheets]
    bench, lines = plan.job.bench, ((line.board, line.sheet, line.count) for line in plan.purchase.lines)
    keep = [round_near(length, 1) for length in bench.keep_at_least]  # as the plan file has them
    return identify(trunks, plan.mats, others_of(bench.squaring, keep, lines))


def _tree(node: Node, ids: Sequence[str]) -> Tree:
    match node:
        case Placed(at, size, item):
            return Tree(at, size, ids[item], None, ())
        case Offcut(at, size):
            return Tree(at, size, None, None, ())
        case Cut(at, size, way, parts):
            return Tree(at, size, None, way.value, tuple(_tree(part, ids) for part in parts))
        case _ as never:
            assert_never(never)


def _asked(mat: Mat) -> list[object]:
    borders = mat.borders and [mat.borders.left, mat.borders.right, mat.borders.top, mat.borders.bottom]
    windows = sorted([*window.at, *window.size] for window in mat.windows)
    return [fold(mat.piece), mat.copy, mat.layer, mat.blank, borders, windows]


def _source(source: Source, keys: Mapping[str, str]) -> list[object]:
    match source:
        case Bought():
            return ["bought"]
        case FromShelf(label):
            return ["shelf", fold(label)]
        case FromFallout(mat, window):
            return ["fallout", keys[mat], window]
        case _ as never:
            assert_never(never)


def _cuts(node: Tree, keys: Mapping[str, str]) -> list[object]:
    what = keys[node.mat] if node.mat is not None else node.way
    return [node.at, node.size, what, [_cuts(part, keys) for part in node.parts]]

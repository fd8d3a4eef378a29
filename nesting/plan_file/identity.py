"""What makes two plans the same: what they cut from what, not how it was found, priced, printed or put in order.

Ids such as M3 follow the order of the rows. So each sheet and mat has a key besides, made of values alone: two plans of
one identity give the same keys to the same sheets and mats, whatever the ids are.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import assert_never

from nesting.geometry import Point, Size
from nesting.model.mat import Mat
from nesting.model.plan import Bought, FromFallout, FromShelf, PlacedMat, Source
from nesting.spelling import fold

__all__ = ["Identity", "Tree", "Trunk", "digest", "identify"]


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

"""From a plan to what a person works through: alike sheets together, parents before their fallouts, leftovers named."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import Protocol, assert_never

from nesting.geometry import Size
from nesting.model.cut_tree import Cut, Node, Offcut, Placed
from nesting.model.plan import Bought, CutSheet, FalloutLeft, FromFallout, FromShelf, OffcutLeft, PlacedMat, Plan
from nesting.sizing import fallout_size

__all__ = ["Batch", "Round", "leftover_labels", "leftover_names", "lefts", "marked", "rounds"]


@dataclass(frozen=True, slots=True)
class Batch:
    """Sheets that are cut alike, one after another with the same settings; the first stands for all of them.

    They are of one board and size, new or held or fallen out alike, and have the same blanks with the same windows in
    the same places.
    """

    sheets: tuple[CutSheet, ...]

    @property
    def ids(self) -> str:
        """The ids of its sheets in a row."""
        return ", ".join(sheet.id for sheet in self.sheets)


@dataclass(frozen=True, slots=True)
class Round:
    """What can be cut before the next fallouts are needed: sheets first, then the windows of the mats cut from them.

    Parameters
    ----------
    number : int
        From 0: what is bought or held; then what falls out of the mats of the round before.
    batches : tuple of Batch
        In working order.
    mats : tuple of PlacedMat
        All that these sheets give, in the order of the plan.
    """

    number: int
    batches: tuple[Batch, ...]
    mats: tuple[PlacedMat, ...]


def rounds(plan: Plan) -> tuple[Round, ...]:
    """Return the order to work in, so that no fallout is called for before its window is cut.

    Parameters
    ----------
    plan : Plan
        The plan to follow.

    Returns
    -------
    tuple of Round
        Every sheet and every mat of the plan once. Alike sheets come together, and boards in the order in which the
        plan first cuts them.
    """
    depth = _depths(plan)
    return tuple(
        Round(
            number,
            _batches(plan, [sheet for sheet in plan.sheets if depth[sheet.id] == number]),
            tuple(placed for placed in plan.mats if depth[placed.sheet] == number),
        )
        for number in sorted(set(depth.values()))
    )


class _Leaving(Protocol):
    """A plan, or a plan file read back."""

    @property
    def mats(self) -> tuple[PlacedMat, ...]: ...

    @property
    def leftover(self) -> tuple[OffcutLeft | FalloutLeft, ...]: ...


def leftover_names(plan: _Leaving) -> tuple[str, ...]:
    """Return a name for each of `plan.leftover`, which no other leftover of the plan has.

    Parameters
    ----------
    plan : Plan or PlanFile
        Whose leftovers are named.

    Returns
    -------
    tuple of str
        ``S1 offcut 2``, counted on each sheet; ``M7 fallout``, and ``M7 fallout 2`` where a mat has several windows.
    """
    places: dict[str, count[int]] = {}
    several = {placed.mat.id for placed in plan.mats if len(placed.mat.windows) > 1}
    names = []
    for left in plan.leftover:
        match left:
            case OffcutLeft(sheet=sheet):
                names.append(f"{sheet} offcut {next(places.setdefault(sheet, count(1)))}")
            case FalloutLeft(mat=mat, window=window):
                names.append(f"{mat} fallout {window + 1}" if mat in several else f"{mat} fallout")
            case _ as never:
                assert_never(never)
    return tuple(names)


def leftover_labels(plan: Plan) -> tuple[str, ...]:
    """Return for each of `plan.leftover` what is written on it with a pencil, and what the shelf knows it by.

    Parameters
    ----------
    plan : Plan
        Whose leftovers are labelled.

    Returns
    -------
    tuple of str
        ``S1 offcut 2, plan 3fa9c1``; the name alone for a plan without a mark.
    """
    if not _last or _last[0][0] is not plan:
        _last[:] = [(plan, tuple(marked(name, plan.mark) for name in leftover_names(plan)))]
    return _last[0][1]


# Every sheet of a plan asks for the labels of all: those of the plan that was asked for last are kept.
_last: list[tuple[Plan, tuple[str, ...]]] = []


def marked(name: str, mark: str) -> str:
    """Return the name of a leftover with the mark of its plan, so that no leftover of another plan has it."""
    return f"{name}, plan {mark}" if mark else name


def lefts(plan: Plan) -> Iterator[tuple[str, str, Size, bool]]:
    """Yield the label, board, size and keeping of all that is left over; a fallout as it is once squared.

    Parameters
    ----------
    plan : Plan
        Whose leftovers are listed.

    Yields
    ------
    tuple of str, str, Size and bool
        In the order of `plan.leftover`, the size in ticks; whether it is kept for the shelf.
    """
    boards = {sheet.id: sheet.board for sheet in plan.sheets} | {placed.mat.id: placed.board for placed in plan.mats}
    mats = {placed.mat.id: placed.mat for placed in plan.mats}
    for left, name in zip(plan.leftover, leftover_labels(plan), strict=True):
        match left:
            case OffcutLeft(sheet=sheet, size=size):
                yield name, boards[sheet], size, left.keep
            case FalloutLeft(mat=mat, window=window):
                squared = fallout_size(mats[mat].windows[window], plan.job.bench.squaring)
                yield name, boards[mat], squared, left.keep
            case _ as never:
                assert_never(never)


def _depths(plan: Plan) -> Mapping[str, int]:
    """Return for each sheet how many windows must be cut, one inside another, before it can be had."""
    cut_from = {placed.mat.id: placed.sheet for placed in plan.mats}
    depth: dict[str, int] = {}
    for sheet in plan.sheets:
        match sheet.source:
            case Bought() | FromShelf():
                depth[sheet.id] = 0
            case FromFallout(mat=mat):
                depth[sheet.id] = depth[cut_from[mat]] + 1
            case _ as never:
                assert_never(never)
    return depth


def _batches(plan: Plan, sheets: Sequence[CutSheet]) -> tuple[Batch, ...]:
    """Group alike sheets; the sheets of a board lie on the bench together."""
    alike: dict[Hashable, list[CutSheet]] = {}
    for sheet in sheets:
        key = sheet.board, type(sheet.source), sheet.size, sheet.root.at, _pattern(plan, sheet.root)
        alike.setdefault(key, []).append(sheet)
    boards = list(dict.fromkeys(sheet.board for sheet in plan.sheets))
    return tuple(
        sorted((Batch(tuple(group)) for group in alike.values()), key=lambda b: boards.index(b.sheets[0].board))
    )


def _pattern(plan: Plan, node: Node) -> Hashable:
    """Return how a part is divided, with what is drawn on each blank but not whose it is."""
    match node:
        case Placed(item=item):
            placed = plan.mats[item]
            return placed.mat.blank, placed.turned, placed.mat.windows
        case Offcut(size=size):
            return size
        case Cut(way=way, size=size, parts=parts):
            return way, size, tuple(_pattern(plan, part) for part in parts)
        case _ as never:
            assert_never(never)

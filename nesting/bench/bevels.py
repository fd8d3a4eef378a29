"""What is set for each bevel cut of a window, seen from the back, and what its fallout is for."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.geometry import Size
from nesting.lengths import round_near
from nesting.model.cut_tree import Placed, leaves
from nesting.model.job import Bench
from nesting.model.mat import Borders, Mat, Window
from nesting.model.plan import FalloutLeft, FromFallout, PlacedMat, Plan
from nesting.model.sides import Edge
from nesting.names import Names, ruler_size_words
from nesting.sizing import fallout_size

__all__ = [
    "BevelCut",
    "MatWork",
    "PencilLine",
    "Setting",
    "WindowWork",
    "by_hand",
    "mat_work",
    "settings",
    "unplanned_work",
]

# Going round by quarter turns, clockwise as seen from the back: each side is cut towards the next.
_ROUND = (Edge.LEFT, Edge.TOP, Edge.RIGHT, Edge.BOTTOM)


@dataclass(frozen=True, slots=True)
class BevelCut:
    """One side of a window, cut from the back.

    Parameters
    ----------
    mat : str
        The id of the mat.
    window : int
        Which of its windows, from 0, as the plan counts them.
    side : Edge
        Which side of the window; the edge of the blank on that side is at the guide.
    guide : int
        In ticks: from that edge to the cut, the border of that side.
    start, stop : int
        In ticks: how far from the edge that it runs from the cut begins, and how far from the edge that it runs
        towards it ends: the borders of those sides, each less the overcut.
    by_hand : bool
        Whether it is out of the guide's reach, or nearer to an edge than the overcut: by pencil and straightedge.
    """

    mat: str
    window: int
    side: Edge
    guide: int
    start: int
    stop: int
    by_hand: bool


@dataclass(frozen=True, slots=True)
class PencilLine:
    """A line across the whole back of a blank, so many ticks from an edge and parallel to it."""

    edge: Edge
    distance: int


@dataclass(frozen=True, slots=True)
class WindowWork:
    """A window as it lies face down: its distances from the four edges of the blank, and what it leaves.

    Parameters
    ----------
    number : int
        From 0, as the plan counts them.
    borders : Borders
        In ticks, as seen from the back: left and right have changed sides.
    size : Size
        In ticks.
    fallout : str
        What the piece that drops out is for.
    """

    number: int
    borders: Borders
    size: Size
    fallout: str


@dataclass(frozen=True, slots=True)
class MatWork:
    """What is to be done to one blank.

    Parameters
    ----------
    placed : PlacedMat
        The mat, as the plan has it.
    name : str
        Its piece, copy and layer.
    borders : Borders or None
        In ticks, as seen from the back; None for a blank without a window.
    windows : tuple of WindowWork
        In the order of the plan.
    lines : tuple of PencilLine
        Each once, edge by edge going round, the nearest to the edge first.
    cuts : tuple of BevelCut
        Window by window, going round from the left side.
    """

    placed: PlacedMat
    name: str
    borders: Borders | None
    windows: tuple[WindowWork, ...]
    lines: tuple[PencilLine, ...]
    cuts: tuple[BevelCut, ...]


@dataclass(frozen=True, slots=True)
class Setting:
    """Guide and stop as they are set once, in ticks, and all cuts that are made with them."""

    guide: int
    stop: int
    cuts: tuple[BevelCut, ...]


def mat_work(plan: Plan, placed: PlacedMat) -> MatWork:
    """Return what is to be done to one blank: pencil lines, bevel cuts, and what becomes of its fallout.

    The mat lies face down with the edge of the side that is cut at the guide, and the blade always runs the same way.
    So each cut is set to the border of its own side and ends at the border of the side that it runs towards; after each
    the mat is turned a quarter. Only where top and bottom are equal, and left and right too, do two settings serve all.

    Parameters
    ----------
    plan : Plan
        The plan that the mat is part of.
    placed : PlacedMat
        One of its mats.

    Returns
    -------
    MatWork
        Without lines and cuts for a blank that has no window.
    """
    name = Names(plan.job, plan.mats).mat(placed.mat)
    fallouts = [_fallout(plan, placed.mat, number) for number in range(len(placed.mat.windows))]
    return _work(placed, name, fallouts, plan.job.bench)


def unplanned_work(mat: Mat, name: str, bench: Bench) -> MatWork:
    """Return what is to be done to a mat of which there is no plan yet.

    Parameters
    ----------
    mat : Mat
        As it is sized.
    name : str
        What to call it.
    bench : Bench
        Where it is cut.

    Returns
    -------
    MatWork
        As `mat_work` has it, on no sheet, without an id, and with nothing said of its fallouts.
    """
    board = next(iter(mat.boards), "")  # none while a row is being typed
    placed = PlacedMat(replace(mat, id=""), board, "", turned=False)
    return _work(placed, name, [""] * len(mat.windows), bench)


def _work(placed: PlacedMat, name: str, fallouts: Sequence[str], bench: Bench) -> MatWork:
    mat = placed.mat
    windows = tuple(
        WindowWork(number, _from_the_back(mat, window), window.size, fallout)
        for number, (window, fallout) in enumerate(zip(mat.windows, fallouts, strict=True))
    )
    cuts = tuple(cut for window in windows for cut in _cuts(bench, mat.id, window))
    lines = sorted({(_ROUND.index(cut.side), cut.guide) for cut in cuts})
    return MatWork(
        placed=placed,
        name=name,
        borders=mat.borders and _turned_over(mat.borders),
        windows=windows,
        lines=tuple(PencilLine(_ROUND[side], distance) for side, distance in lines),
        cuts=cuts,
    )


def settings(works: Iterable[MatWork]) -> tuple[Setting, ...]:
    """Return the cuts that the guide can serve, those with the same setting together over all mats.

    Parameters
    ----------
    works : iterable of MatWork
        The mats that are on the bench.

    Returns
    -------
    tuple of Setting
        The widest guide first, so that the guide moves one way; then the widest stop. Cuts in the order of the mats.
    """
    alike: dict[tuple[int, int], list[BevelCut]] = {}
    for cut in (cut for work in works for cut in work.cuts if not cut.by_hand):
        alike.setdefault((cut.guide, cut.stop), []).append(cut)
    return tuple(Setting(guide, stop, tuple(cuts)) for (guide, stop), cuts in sorted(alike.items(), reverse=True))


def by_hand(works: Iterable[MatWork]) -> tuple[BevelCut, ...]:
    """Return the cuts that are made by pencil and straightedge, in the order of the mats."""
    return tuple(cut for work in works for cut in work.cuts if cut.by_hand)


def _turned_over(borders: Borders) -> Borders:
    return Borders(borders.right, borders.left, borders.top, borders.bottom)


def _from_the_back(mat: Mat, window: Window) -> Borders:
    """Return how far a window lies from the edges of its blank turned over like a page."""
    right, top = mat.blank.w - window.at.x - window.size.w, mat.blank.h - window.at.y - window.size.h
    return Borders(left=right, right=window.at.x, top=top, bottom=window.at.y)


def _cuts(bench: Bench, mat: str, window: WindowWork) -> Iterator[BevelCut]:
    borders = window.borders
    wide = {Edge.LEFT: borders.left, Edge.TOP: borders.top, Edge.RIGHT: borders.right, Edge.BOTTOM: borders.bottom}
    overcut = round_near(Fraction(bench.overcut), bench.ruler)
    for place, side in enumerate(_ROUND):
        start, stop = wide[_ROUND[place - 1]] - overcut, wide[_ROUND[(place + 1) % 4]] - overcut
        far = bench.guide_reach is not None and wide[side] > bench.guide_reach
        yield BevelCut(mat, window.number, side, wide[side], start, stop, by_hand=far or min(start, stop) < 0)


def _fallout(plan: Plan, mat: Mat, number: int) -> str:
    """Say what the piece that drops out of a window is for."""
    for sheet in plan.sheets:
        if sheet.source == FromFallout(mat.id, number):
            names = Names(plan.job, plan.mats)
            mats = [plan.mats[leaf.item].mat for leaf in leaves(sheet.root) if isinstance(leaf, Placed)]
            return f"{sheet.id}: {'; '.join(names.mat(mat) for mat in mats)}"
    kept = any(left.keep for left in plan.leftover if isinstance(left, FalloutLeft) and _is_of(left, mat, number))
    if not kept:
        return "scrap"
    squared = fallout_size(mat.windows[number], plan.job.bench.squaring)
    return f"keep, {ruler_size_words(squared, plan.job.bench)} once squared"


def _is_of(left: FalloutLeft, mat: Mat, number: int) -> bool:
    return (left.mat, left.window) == (mat.id, number)

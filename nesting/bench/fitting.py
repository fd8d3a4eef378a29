"""What goes into the frames beside the mats: glass and backing, by size."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from nesting.geometry import Size
from nesting.lengths import round_down
from nesting.model.job import Piece
from nesting.model.plan import Plan

__all__ = ["Pane", "backing_sizes", "glass_sizes"]


@dataclass(frozen=True, slots=True)
class Pane:
    """So many panes of glass, or backs, of one size.

    Parameters
    ----------
    size : Size
        In ticks, down to the last mark of the ruler.
    count : int
        How many, over all pieces and copies.
    pieces : tuple of str
        The pieces that they are for, in the order of the plan.
    board : str or None
        The board that a back is cut from in the plan; None for glass and for backs that the plan does not cut.
    """

    size: Size
    count: int
    pieces: tuple[str, ...]
    board: str | None


def glass_sizes(plan: Plan) -> tuple[Pane, ...]:
    """Return the glass for every planned piece: its inside size less the glass clearance.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Pane
        The largest first. An inside size that the clearance leaves nothing of has no glass.
    """
    clearance = plan.job.bench.glass_clearance
    return _panes(plan, lambda _: clearance, {})


def backing_sizes(plan: Plan) -> tuple[Pane, ...]:
    """Return the back for every planned piece, of the size of its blank: its inside size less its allowance.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Pane
        The largest first; those that the plan cuts from a board apart from those of other boards and from those that
        are still to be found.
    """
    with_backing = {piece.name for piece in plan.job.pieces if piece.backing}
    last = {placed.mat.piece: placed.board for placed in plan.mats}  # the backing is the last layer
    return _panes(plan, lambda piece: piece.allowance, {name: last[name] for name in last if name in with_backing})


def _panes(plan: Plan, less: Callable[[Piece], Fraction], boards: dict[str, str]) -> tuple[Pane, ...]:
    alike: dict[tuple[Size, str | None], list[Piece]] = {}
    for piece in _planned(plan):
        sides = (round_down(side - less(piece), plan.job.bench.ruler) for side in piece.inside)
        alike.setdefault((Size(*sides), boards.get(piece.name)), []).append(piece)
    panes = (
        Pane(size, sum(piece.quantity for piece in pieces), tuple(piece.name for piece in pieces), board)
        for (size, board), pieces in alike.items()
        if min(size) > 0
    )
    return tuple(sorted(panes, key=lambda pane: (-pane.size.area, -pane.size.w)))


def _planned(plan: Plan) -> Iterator[Piece]:
    planned = {placed.mat.piece for placed in plan.mats}
    return (piece for piece in plan.job.pieces if piece.name in planned)

"""Labels to stick on the blanks as they come off the cutter, so that none is taken for another or stood on its side."""

from dataclasses import dataclass

from nesting.geometry import Size
from nesting.model.plan import PlacedMat, Plan
from nesting.model.sides import Edge
from nesting.names import Names

__all__ = ["Sticker", "stickers"]


@dataclass(frozen=True, slots=True)
class Sticker:
    """The label of one blank.

    Parameters
    ----------
    mat : str
        Its id: ``M3``.
    piece : str
        The piece, and which of its copies.
    layer : str
        ``mat``, ``under-mat`` or ``backing``.
    board : str
        What it is cut from.
    size : Size
        In ticks, the right way up.
    sheet : str
        The sheet that it comes out of.
    up : Edge
        The edge of the sheet, as drawn from the back, that the top of the mat is nearest to; the label is stuck on the
        back with its own top there.
    group : str or None
        The room, customer or student.
    """

    mat: str
    piece: str
    layer: str
    board: str
    size: Size
    sheet: str
    up: Edge
    group: str | None


def stickers(plan: Plan) -> tuple[Sticker, ...]:
    """Return a label for each blank, group by group where groups are used.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Sticker
        Groups in the order in which the plan first names them, and within each the order of the mats.
    """
    groups = {piece.name: piece.group for piece in plan.job.pieces}
    names = Names(plan.job, plan.mats)
    made = [_sticker(placed, names, groups[placed.mat.piece]) for placed in plan.mats]
    order = list(dict.fromkeys(sticker.group for sticker in made))
    return tuple(sorted(made, key=lambda sticker: order.index(sticker.group)))


def _sticker(placed: PlacedMat, names: Names, group: str | None) -> Sticker:
    mat = placed.mat
    return Sticker(
        mat=mat.id,
        piece=names.copy(mat.piece, mat.copy),
        layer=names.behind(mat).removeprefix(", ") or "mat",
        board=placed.board,
        size=mat.blank,
        sheet=placed.sheet,
        up=Edge.LEFT if placed.turned else Edge.TOP,
        group=group,
    )

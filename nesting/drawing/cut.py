"""The picture of one straight cut: what is on the cutter, where the blade goes, and what comes off."""

from collections.abc import Sequence
from fractions import Fraction

from nesting.bench.cutting_list import StraightCut
from nesting.drawing.shapes import Drawing, Line, Rectangle, Shape, hatching
from nesting.geometry import Size
from nesting.model.sides import Edge

__all__ = ["draw_cut", "draw_edges"]

# Tenths of a millimetre.
_PAGE, _ROOM = Size(150, 112), Size(118, 80)
_THINNEST, _EDGE, _PAST = 12, 9, 14
_INK, _PAPER, _HATCH = "#101820", "#ffffff", "#5b6670"


def draw_edges(cuts: Sequence[StraightCut]) -> Drawing:
    """Draw the cuts that give a sheet its new edges, as `draw_cut` draws one of them.

    Parameters
    ----------
    cuts : sequence of StraightCut
        One for each edge, in order.

    Returns
    -------
    Drawing
        A page of 15 by 11 mm.
    """
    part, _ = _placed(cuts[0])
    strips = [_strip(part, cut.edge, _THINNEST) for cut in cuts]
    hatched = (line for strip in strips for line in hatching(strip, 14, 2, _HATCH))
    strokes = (stroke for cut, strip in zip(cuts, strips, strict=True) for stroke in _strokes(part, strip, cut.edge))
    title = f"Edges cut off all round, {cuts[0].words} each"
    return Drawing("edges", title, _PAGE.w, _PAGE.h, (part, *hatched, *strokes))


def draw_cut(cut: StraightCut) -> Drawing:
    """Draw a straight cut small, as seen from the back, for beside its line in the cutting list.

    The part is in proportion, the strip that is measured off is hatched and never too thin to be seen, the edge that
    is measured from is thick, and the blade's way runs past the part at both ends.

    Parameters
    ----------
    cut : StraightCut
        The cut.

    Returns
    -------
    Drawing
        A page of 15 by 11 mm.
    """
    part, scale = _placed(cut)
    strip = _strip(part, cut.edge, max(_THINNEST, int(cut.measure * scale)))
    title = f"Cut {cut.way}, {cut.words} from the {cut.edge} edge"
    shapes: tuple[Shape, ...] = (part, *hatching(strip, 14, 2, _HATCH), *_strokes(part, strip, cut.edge))
    return Drawing("cut", title, _PAGE.w, _PAGE.h, shapes)


def _placed(cut: StraightCut) -> tuple[Rectangle, Fraction]:
    """Return the part on the cutter in the middle of the page, and how much paper a tick takes."""
    size = cut.part.size
    scale = min(Fraction(_ROOM.w, size.w), Fraction(_ROOM.h, size.h))
    wide, high = (max(3 * _THINNEST, int(side * scale)) for side in size)
    return Rectangle((_PAGE.w - wide) // 2, (_PAGE.h - high) // 2, wide, high, _PAPER, 3, _INK), scale


def _strip(part: Rectangle, edge: Edge, thick: int) -> Rectangle:
    """Return the strip at an edge of the part."""
    upright = edge in {Edge.LEFT, Edge.RIGHT}
    reach = min(thick, (part.w if upright else part.h) - _THINNEST)
    x = part.x + part.w - reach if edge is Edge.RIGHT else part.x
    y = part.y + part.h - reach if edge is Edge.BOTTOM else part.y
    return Rectangle(x, y, reach if upright else part.w, part.h if upright else reach)


def _strokes(part: Rectangle, strip: Rectangle, edge: Edge) -> tuple[Line, Line]:
    """Return the edge that is measured from, and the way of the blade."""
    right, low = strip.x + strip.w, strip.y + strip.h
    top, bottom = part.y - _PAST, part.y + part.h + _PAST
    left, far = part.x - _PAST, part.x + part.w + _PAST
    if edge in {Edge.LEFT, Edge.RIGHT}:
        own, blade = (strip.x, right) if edge is Edge.LEFT else (right, strip.x)
        return Line(own, part.y, own, part.y + part.h, _EDGE, _INK), Line(blade, top, blade, bottom, 5, _INK)
    own, blade = (strip.y, low) if edge is Edge.TOP else (low, strip.y)
    return Line(part.x, own, part.x + part.w, own, _EDGE, _INK), Line(left, blade, far, blade, 5, _INK)

"""Where on a sheet one is: the part on the cutter and the way of the blade, to lie over the drawing of the sheet."""

from collections.abc import Iterator, Sequence

from nesting.bench.cutting_list import StraightCut
from nesting.bench.steps import Step
from nesting.drawing.shapes import Drawing, Line, Rectangle, apart
from nesting.drawing.sheet import tags_of, view_beside
from nesting.drawing.tags import Tag, draw_tags
from nesting.drawing.view import View
from nesting.model.cut_tree import Way
from nesting.model.plan import CutSheet, Plan

__all__ = ["draw_where"]

_PAST, _HALO, _BLADE, _EDGE = 34, 30, 14, 14
_INK, _PAPER = "#101820", "#ffffff"


def draw_where(plan: Plan, sheet: CutSheet, steps: Sequence[Step], drawing: Drawing) -> tuple[Drawing, ...]:
    """Draw what is cut in each step, on pages without ground as large as the drawing of the sheet.

    Parameters
    ----------
    plan : Plan
        The plan that the sheet is part of.
    sheet : CutSheet
        One of `plan.sheets`.
    steps : sequence of Step
        Its steps.
    drawing : Drawing
        What `draw_sheet` made of it for beside a list.

    Returns
    -------
    tuple of Drawing
        For each step the part on the cutter framed, and the way of the blade past both its ends, black in a white halo;
        the frame alone for the cuts that give a sheet its new edges. The numbers and letters that it would hide stand
        on it.
    """
    view = view_beside(plan, sheet)
    tags = tags_of(plan, sheet, view)
    return tuple(_draw_step(view, step, tags, drawing) for step in steps)


def _draw_step(view: View, step: Step, tags: Sequence[Tag], drawing: Drawing) -> Drawing:
    part = view.whole(_PAPER) if step.is_edges else view.box(step.part.at, step.part.size)
    frame = Rectangle(part.x, part.y, part.w, part.h, None, _EDGE, _INK)
    blade = () if step.is_edges else tuple(_blade(view, step.cuts[0]))
    drawn = [*_strips(frame), *(_strip(line) for line in blade)]
    hidden = [tag for tag in tags if not apart(tag.box, drawn)]
    title = f"Cut {step.number} on the sheet"
    shapes = (frame, *blade, *draw_tags(hidden))
    return Drawing(f"cut-{step.number}", title, drawing.width, drawing.height, shapes)


def _strips(frame: Rectangle) -> Iterator[Rectangle]:
    right, low = frame.x + frame.w, frame.y + frame.h
    for ends in (
        (frame.x, frame.y, right, frame.y),
        (frame.x, low, right, low),
        (frame.x, frame.y, frame.x, low),
        (right, frame.y, right, low),
    ):
        yield _strip(Line(*ends, frame.line, _INK))


def _strip(line: Line) -> Rectangle:
    """Return what a line covers."""
    half = line.width // 2
    return Rectangle(line.x1 - half, line.y1 - half, line.x2 - line.x1 + line.width, line.y2 - line.y1 + line.width)


def _blade(view: View, cut: StraightCut) -> Iterator[Line]:
    """Yield the way of the blade, along the side of the cut piece that was not an edge before."""
    off, part = view.box(cut.off.at, cut.off.size), view.box(cut.part.at, cut.part.size)
    if cut.way is Way.UPRIGHT:
        x = off.x if off.x > part.x else off.x + off.w
        ends = x, part.y - _PAST, x, part.y + part.h + _PAST
    else:
        y = off.y if off.y > part.y else off.y + off.h
        ends = part.x - _PAST, y, part.x + part.w + _PAST, y
    yield Line(*ends, _HALO, _PAPER)
    yield Line(*ends, _BLADE, _INK)

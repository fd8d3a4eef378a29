"""The small pictures beside cuts and mats: in proportion, from the back, nothing outside the page."""

from itertools import pairwise

import pytest

from nesting.bench.bevels import mat_work
from nesting.bench.cut_order import cutting_list
from nesting.bench.rounds import rounds
from nesting.drawing import Drawing, Line, Rectangle, Text
from nesting.drawing.cut import draw_cut
from nesting.drawing.fractions import Level, runs, unbroken
from nesting.drawing.lettering import text_width
from nesting.drawing.mat import draw_mat
from nesting.model.sides import Edge
from tests.demo_wall import kept_plan
from tests.handmade import inches, plan


def cuts():
    made = plan()
    return [cut for this in rounds(made) for batch in this.batches for cut in cutting_list(made, batch)]


def strokes(drawing: Drawing) -> tuple[Line, Line]:
    """The edge that is measured from and the way of the blade, drawn last."""
    edge, blade = drawing.shapes[-2:]
    assert isinstance(edge, Line)
    assert isinstance(blade, Line)
    return edge, blade


def test_the_blade_runs_where_the_measure_says_and_past_the_part() -> None:
    for cut in cuts():
        drawing = draw_cut(cut)
        part = drawing.shapes[0]
        assert isinstance(part, Rectangle)
        edge, blade = strokes(drawing)
        upright = cut.edge in {Edge.LEFT, Edge.RIGHT}
        reach, whole = (blade.x1 - edge.x1, part.w) if upright else (blade.y1 - edge.y1, part.h)
        side = cut.part.size.w if upright else cut.part.size.h
        if 12 < cut.measure * whole / side < whole - 12:
            assert abs(reach) == pytest.approx(cut.measure * whole / side, abs=1.5)
        assert abs(reach) >= 12
        assert (reach > 0) == (cut.edge in {Edge.LEFT, Edge.TOP})
        length = abs(blade.y2 - blade.y1) if upright else abs(blade.x2 - blade.x1)
        assert length > (part.h if upright else part.w)


def test_the_measured_edge_is_thick_and_on_its_own_side() -> None:
    for cut in cuts():
        drawing = draw_cut(cut)
        part = drawing.shapes[0]
        assert isinstance(part, Rectangle)
        edge, blade = strokes(drawing)
        assert edge.width > blade.width
        at = {
            Edge.LEFT: (edge.x1, part.x),
            Edge.RIGHT: (edge.x1, part.x + part.w),
            Edge.TOP: (edge.y1, part.y),
            Edge.BOTTOM: (edge.y1, part.y + part.h),
        }[cut.edge]
        assert at[0] == at[1]


@pytest.mark.parametrize("made", [plan, kept_plan], ids=["by-hand", "demo"])
def test_no_small_picture_leaves_its_page(made) -> None:
    drawn = made()
    works = [mat_work(drawn, placed) for placed in drawn.mats]
    drawings = [draw_mat(work, drawn.job.bench) for work in works] + [draw_cut(cut) for cut in cuts()]
    for drawing in drawings:
        for shape in drawing.shapes:
            match shape:
                case Rectangle():
                    assert 0 <= shape.x <= shape.x + shape.w <= drawing.width
                    assert 0 <= shape.y <= shape.y + shape.h <= drawing.height
                case Line():
                    assert 0 <= min(shape.x1, shape.x2) <= max(shape.x1, shape.x2) <= drawing.width
                    assert 0 <= min(shape.y1, shape.y2) <= max(shape.y1, shape.y2) <= drawing.height
                case Text():
                    half = text_width(shape.words, shape.size) / 2
                    along, room = (shape.y, drawing.height) if shape.upright else (shape.x, drawing.width)
                    assert 0 <= along - half <= along + half <= room


def test_a_mat_is_drawn_from_the_back_with_its_borders() -> None:
    made = kept_plan()
    placed = next(each for each in made.mats if each.mat.piece == "Seed packets")
    work = mat_work(made, placed)
    drawing = draw_mat(work, made.job.bench)
    windows = [shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.dashed]
    words = [shape.words for shape in drawing.shapes if isinstance(shape, Text)]
    assert [box.x for box in windows] == sorted((box.x for box in windows), reverse=True)  # the first lies right
    assert {"1", "2", "3", "TOP", "20 1/8", "10"} <= set(words)
    lines = {(line.x1, line.y1) for line in drawing.shapes if isinstance(line, Line)}
    assert len(lines) == len(work.lines) == 8
    for left, right in pairwise(windows[::-1]):
        assert left.x + left.w < right.x


def test_the_window_keeps_its_place_and_proportion() -> None:
    made = plan()
    drawing = draw_mat(mat_work(made, made.mats[2]), made.job.bench)  # Ford map: 24 x 20, sides 3 1/2, top 3, bottom 4
    blank, window = (shape for shape in drawing.shapes[1:] if isinstance(shape, Rectangle))
    scale = blank.w / inches("24")
    assert blank.h == pytest.approx(inches("20") * scale, abs=1)
    assert window.x - blank.x == pytest.approx(inches("3 1/2") * scale, abs=1)
    assert window.y - blank.y == pytest.approx(inches("3") * scale, abs=1)
    assert window.w == pytest.approx(inches("17") * scale, abs=2)
    assert window.h == pytest.approx(inches("13") * scale, abs=2)
    assert {"4", "3 1/2"} <= {shape.words for shape in drawing.shapes if isinstance(shape, Text)}


@pytest.mark.parametrize("words", ["1/2", "10 1/2 × 3", "a 3/4", "M1", "11/14/2025", "1/2/3", "no. 7/b", "1,5/2", ""])
def test_runs_are_the_words(words: str) -> None:
    cut = runs(words)
    assert "".join(run.words for run in cut) == words
    fractions = sum(run.level is Level.OVER for run in cut)
    assert fractions == (words in {"1/2", "10 1/2 × 3", "a 3/4"})
    assert fractions == sum(run.level is Level.UNDER for run in cut)
    assert unbroken(words).replace("\N{NO-BREAK SPACE}", " ") == words

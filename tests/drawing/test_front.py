"""A mat drawn from the front: windows where they hang, and behind them the picture."""

from dataclasses import replace

import pytest

from nesting.drawing import Rectangle, Text
from nesting.drawing.front import draw_front
from nesting.geometry import Point, Size
from nesting.model.job import Unit
from nesting.model.mat import Borders, Mat, Window
from tests.builders import exact, make_bench, make_piece

MM = 640
BENCH = make_bench(unit=Unit.MM, ruler=MM)
# 440 x 315 tenths of a millimetre of paper for 440 x 310 mm of board: a tenth for each millimetre.
MAT = Mat(
    "M1",
    "Fern",
    1,
    0,
    ("sage",),
    Size(440 * MM, 310 * MM),
    Borders(90 * MM, 110 * MM, 70 * MM, 50 * MM),
    (Window(Point(90 * MM, 50 * MM), Size(240 * MM, 190 * MM)),),
)


def drawn(mat=MAT, picture=(260, 200)):
    piece = replace(make_piece("Fern", (1, 1)), picture=None if picture is None else exact(*(MM * s for s in picture)))
    drawing = draw_front(mat, piece, "Fern", BENCH)
    boxes = [shape for shape in drawing.shapes if isinstance(shape, Rectangle)][1:]
    return drawing, boxes, {shape.words: shape for shape in drawing.shapes if isinstance(shape, Text)}


def test_the_window_is_where_it_hangs_with_left_on_the_left_and_top_at_the_top():
    drawing, (blank, window, _), words = drawn()
    assert drawing.title == "Fern, seen from the front"
    assert (blank.w, blank.h) == (440, 310)
    assert (window.x - blank.x, window.y - blank.y, window.w, window.h) == (90, 70, 240, 190)
    assert set(words) == {"90", "110", "70", "50", "440 × 310"}
    assert words["90"].x < window.x < words["110"].x
    assert words["70"].y < window.y < words["50"].y


def test_the_picture_lies_behind_the_middle_of_the_window_and_may_reach_out_of_the_blank():
    _, (_, window, picture), _ = drawn()
    assert picture.dashed
    assert (window.x - picture.x, window.y - picture.y, picture.w, picture.h) == (10, 5, 260, 200)
    _, (blank, _, larger), _ = drawn(picture=(470, 330))
    assert larger.w > blank.w


def test_a_picture_whose_size_is_not_known_is_not_drawn():
    _, boxes, _ = drawn(picture=None)
    assert len(boxes) == 2


def test_a_blank_without_a_window_has_its_size_alone():
    _, boxes, words = drawn(replace(MAT, borders=None, windows=()))
    assert len(boxes) == 1
    assert set(words) == {"440 × 310"}


@pytest.mark.parametrize(("swatch", "letters"), [("#59646e", "#ffffff"), ("#f1ede2", "#101820"), (None, "#101820")])
def test_a_mat_is_drawn_in_the_colour_of_its_board_with_letters_that_stand_out(swatch, letters):
    drawing = draw_front(MAT, make_piece("Fern", (1, 1)), "Fern", BENCH, swatch)
    blank = drawing.shapes[1]
    assert isinstance(blank, Rectangle)
    assert blank.fill == (swatch or "#fffdf4")
    borders = [shape for shape in drawing.shapes if isinstance(shape, Text) and shape.bold]
    assert len(borders) == 4
    assert {shape.colour for shape in borders} == {letters}

"""Drawings: mirrored geometry, upright words, labels that stay inside."""

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from nesting.bench.cut_order import cutting_list
from nesting.bench.cutting_list import Fate
from nesting.bench.rounds import Batch, leftover_names
from nesting.bench.steps import steps_of
from nesting.drawing import FROM_THE_BACK, Anchor, Drawing, Rectangle, Text, draw_sheet, draw_sheets
from nesting.drawing.labels import label_shapes
from nesting.drawing.lettering import broken, text_width
from nesting.drawing.shapes import Line, apart, hatching
from nesting.lengths import TICKS_PER_MM
from nesting.model.cut_tree import Offcut, Placed, leaves, nodes
from nesting.model.plan import Plan
from tests.demo_wall import kept_plan
from tests.handmade import at, job, plan, size

BLANK, KEEP, SCRAP = "#fffdf4", "#e3eefb", "#e6e6e6"


def words(drawing: Drawing) -> list[str]:
    return [shape.words.replace("\N{NO-BREAK SPACE}", " ") for shape in drawing.shapes if isinstance(shape, Text)]


def parts(drawing: Drawing, fill: str) -> list[Rectangle]:
    """Parts are the first rectangles with their filling; the ground behind words has it too but is smaller."""
    boxes = [shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.fill == fill]
    return [box for box in boxes if not any(inside(box, other) for other in boxes if other is not box)]


def inside(box: Rectangle, other: Rectangle) -> bool:
    return (
        other.x <= box.x
        and other.y <= box.y
        and box.x + box.w <= other.x + other.w
        and box.y + box.h <= other.y + other.h
    )


def taken(text: Text) -> Rectangle:
    """The most that a text covers."""
    wide, high = text_width(text.words, text.size), text.size
    along = {Anchor.START: 0, Anchor.MIDDLE: wide // 2, Anchor.END: wide}[text.anchor]
    if text.upright:
        return Rectangle(text.x - high * 3 // 4, text.y - wide + along, high, wide)
    return Rectangle(text.x - along, text.y - high * 3 // 4, wide, high)


def spanned(line: Line) -> Rectangle:
    return Rectangle(line.x1, min(line.y1, line.y2), line.x2 - line.x1, abs(line.y2 - line.y1))


def test_one_drawing_a_sheet_in_the_order_of_the_plan() -> None:
    assert [drawing.name for drawing in draw_sheets(plan())] == ["S1", "S2", "S3"]


def test_what_lies_left_on_the_sheet_lies_right_on_the_page_and_the_top_stays() -> None:
    made = plan()
    holly, second, ford, small = parts(draw_sheet(made, made.sheets[0]), BLANK)
    assert holly.x > second.x  # M1 lies left of M2, seen from the front
    assert holly.y == second.y > ford.y + ford.h - 2  # both lie below the map
    assert small.x + small.w <= ford.x + 1


def test_the_parts_meet_edge_to_edge_without_gaps() -> None:
    made = plan()
    drawing = draw_sheet(made, made.sheets[0])
    row = sorted((box for box in parts(drawing, BLANK) + parts(drawing, KEEP) if box.h > 500), key=lambda box: -box.y)[
        :3
    ]
    for left, right in pairwise(sorted(row, key=lambda box: box.x)):
        assert left.x + left.w == right.x


def test_a_turned_mat_has_its_windows_turned_with_it() -> None:
    made = plan()
    drawing = draw_sheet(made, made.sheets[0])
    ford = parts(drawing, BLANK)[2]
    window = next(
        shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.dashed and inside(shape, ford)
    )
    scale = ford.w / size("20", "24").w
    assert window.w == pytest.approx(size("13", "17").w * scale, abs=1.5)
    assert window.h == pytest.approx(size("13", "17").h * scale, abs=1.5)
    # Turned to the right as seen from the front, its bottom border of 4 in is left there, so right on the page.
    assert ford.x + ford.w - window.x - window.w == pytest.approx(size("4", "1").w * scale, abs=1.5)


@pytest.mark.parametrize("number", [0, 1, 2])
def test_no_word_leaves_the_page_nor_its_part(number: int) -> None:
    made = plan()
    drawing = draw_sheet(made, made.sheets[number])
    page = Rectangle(0, 0, drawing.width, drawing.height)
    sheet_parts = [box for fill in (BLANK, KEEP, SCRAP) for box in parts(drawing, fill)]
    texts = [shape for shape in drawing.shapes if isinstance(shape, Text)]
    tags = [box for box in rectangles(drawing) if box.line == 3 and not box.dashed]
    for text in texts:
        assert inside(taken(text), page), text.words
        if any(inside(Rectangle(text.x, text.y, 0, 0), tag) for tag in tags):
            continue
        middle = Rectangle(text.x, text.y, 0, 0)
        for box in sheet_parts:
            if inside(middle, box):
                assert inside(taken(text), box), text.words


def test_every_blank_is_named_with_its_size_as_it_lies() -> None:
    made = plan()
    said = " ".join(words(draw_sheet(made, made.sheets[0])))
    for expected in ("Sea holly, 1 of 2", "Sea holly, 2 of 2", "11 × 14", "Ford map", "20 × 24"):
        assert expected in said


def test_a_part_too_small_for_its_name_has_a_number_and_a_line_in_the_key() -> None:
    made = plan()
    said = words(draw_sheet(made, made.sheets[0]))
    assert "(1)" in said
    assert "(1) M6 A very long name <for> a small & narrow label; 2 3/4 × 2 7/8" in said


def test_a_part_too_narrow_even_for_a_number_is_still_in_the_key() -> None:
    made = plan()
    sliver = replace(made.sheets[1], root=Placed(at("0", "0"), size("1/16", "17"), 4))
    said = words(draw_sheet(made, sliver))
    assert any(line.startswith("Too narrow for words: M5 Token, backing") for line in said)


def test_keep_and_scrap_are_told_by_word_and_by_hatching() -> None:
    made = plan()
    drawing = draw_sheet(made, made.sheets[0])
    assert words(drawing).count("KEEP") == len(parts(drawing, KEEP)) == 2
    assert words(drawing).count("scrap") == len(parts(drawing, SCRAP)) == 2
    lines = [shape for shape in drawing.shapes if isinstance(shape, Line)]
    for box, ways in [(parts(drawing, KEEP)[0], {True}), (parts(drawing, SCRAP)[0], {True, False})]:
        slanted = {
            line.y2 < line.y1
            for line in lines
            if 0 not in {line.x2 - line.x1, line.y2 - line.y1} and inside(spanned(line), box)
        }
        assert slanted == ways


def test_the_page_says_where_the_sheet_comes_from_and_how_it_is_seen() -> None:
    made = plan()
    bought, shelf, fallout = (" ".join(words(draw_sheet(made, sheet))) for sheet in made.sheets)
    assert "32 × 40, bought at North store" in bought
    assert "7 × 17, from the shelf: box lid" in shelf
    assert "17 × 13, fallout of Ford map (M3, sheet S1)" in fallout
    assert "fallout: S3" in bought
    assert "keep its fallout" in bought
    assert all(FROM_THE_BACK in page for page in (bought, shelf, fallout))


def test_offcuts_are_named_as_the_lists_name_them() -> None:
    made = plan()
    said = words(draw_sheet(made, made.sheets[0]))
    named = {name for name in leftover_names(made) if name.startswith("S1 ")}
    keep = {"S1 offcut 1", "S1 offcut 4"}
    assert keep <= named
    assert keep <= set(said)
    marked = words(draw_sheet(replace(made, identity="3fa9c1"), made.sheets[0]))
    assert "S1 offcut 1, plan 3fa9c1" in " ".join(marked)


def test_the_scale_that_is_told_is_the_scale_that_is_drawn() -> None:
    made = plan()
    drawing = draw_sheet(made, made.sheets[0])
    told = re.search(r"Drawn to scale, 1 to ([0-9.]+)\.", " ".join(words(drawing)))
    assert told is not None
    ford = parts(drawing, BLANK)[2]
    millimetres = size("20", "24").w / TICKS_PER_MM
    assert millimetres * 10 / ford.w == pytest.approx(float(told[1]), rel=0.01)


def test_beside_its_list_a_sheet_has_letters_as_large_and_needs_no_head() -> None:
    made = plan()
    large, small = draw_sheet(made, made.sheets[0]), draw_sheet(made, made.sheets[0], beside=True)
    assert small.width < large.width / 2
    assert "slate" in words(large)
    assert "slate" not in words(small)
    assert "From the back, scale 1:" in " ".join(words(small))
    assert min(shape.size for shape in small.shapes if isinstance(shape, Text)) >= 32
    # What has no room on it stands below it: the mats with what becomes of their fallout, by the label what is kept.
    said = " ".join(words(small))
    for expected in ("M3 Ford map", "fallout: S3", "M6 A very long name", "S1 offcut 1", "S1 offcut 4"):
        assert expected in said


@pytest.mark.parametrize("beside", [True, False])
def test_sheets_of_one_size_are_drawn_to_one_scale_however_they_lie(beside: bool) -> None:
    made = kept_plan()
    lying = replace(made.sheets[1], size=made.sheets[1].size.turned)
    several = replace(made, sheets=(made.sheets[0], lying, *made.sheets[2:]))
    upright, turned = (draw_sheet(several, sheet, beside=beside) for sheet in several.sheets[:2])
    grounds = [next(box for box in rectangles(drawing) if box.fill == "#5b6670") for drawing in (upright, turned)]
    assert (grounds[0].w, grounds[0].h) == (grounds[1].h, grounds[1].w)


def rectangles(drawing: Drawing) -> list[Rectangle]:
    return [shape for shape in drawing.shapes if isinstance(shape, Rectangle)]


@pytest.mark.parametrize("beside", [True, False])
@pytest.mark.parametrize("made", [plan, kept_plan], ids=["by-hand", "demo"])
def test_cuts_and_parts_bear_the_numbers_and_letters_of_the_list(made: Callable[[], Plan], beside: bool) -> None:
    drawn = made()
    for sheet in drawn.sheets:
        steps = steps_of(cutting_list(drawn, Batch((sheet,))))
        shapes = draw_sheet(drawn, sheet, beside=beside).shapes
        white = [shape.words for shape in shapes if isinstance(shape, Text) and shape.colour == "#ffffff"]
        assert white == [str(step.number) for step in steps]
        boxed = {
            text.words
            for box, text in pairwise(shapes)
            if isinstance(box, Rectangle) and isinstance(text, Text) and box.fill == "#ffffff" and box.line
        }
        letters = {
            part.name
            for step in steps
            for part in (step.cuts[0].off, step.rest)
            if part is not None and part.fate is Fate.DIVIDE and part.name != sheet.id
        }
        assert boxed == letters


@pytest.mark.parametrize("beside", [True, False])
@pytest.mark.parametrize("made", [plan, kept_plan], ids=["by-hand", "demo"])
def test_no_label_hides_a_window_and_nothing_runs_through_a_number(made: Callable[[], Plan], beside: bool) -> None:
    drawn = made()
    for sheet in drawn.sheets:
        shapes = draw_sheet(drawn, sheet, beside=beside).shapes
        windows = [shape for shape in shapes if isinstance(shape, Rectangle) and shape.dashed]
        below = next(
            place for place, shape in enumerate(shapes) if isinstance(shape, Rectangle) and shape.fill == "#5b6670"
        )
        grounds = [
            (place + below, box)
            for place, (box, text) in enumerate(pairwise(shapes[below:]))
            if isinstance(box, Rectangle) and isinstance(text, Text) and box.fill and not box.dashed and box.w < 700
        ]
        tags = [box for _, box in grounds if box.line]
        labels = [box for _, box in grounds if not box.line]
        for label in labels:
            for window in windows:
                assert inside(label, window) or apart(label, [window]), (sheet.id, label, window)
            assert apart(label, tags)
        for number, tag in enumerate(tags):
            assert apart(tag, tags[:number]), (sheet.id, tag)
        # Each stands on a ground of its own, drawn after every line that could run through it.
        last = max(place for place, shape in enumerate(shapes) if isinstance(shape, Rectangle) and shape.line == 7)
        assert all(place > last for place, _ in grounds)


def test_a_board_with_a_direction_says_so() -> None:
    made = plan()
    laid = tuple(replace(board, turn=False) for board in made.job.boards)
    said = " ".join(words(draw_sheet(plan(job=job(boards=laid)), made.sheets[0])))
    assert "The surface of this board has a direction" in said
    assert "The surface" not in " ".join(words(draw_sheet(made, made.sheets[0])))


def test_dark_edges_are_explained_where_there_are_any() -> None:
    made = plan()
    bought, shelf, fallout = (" ".join(words(draw_sheet(made, sheet))) for sheet in made.sheets)
    assert "Dark edge: trim, 1/8 cut off each side first." in bought
    assert "Dark edge" not in shelf
    assert "Dark edge: squaring, 1/8 cut off each side first." in fallout


def test_an_offcut_is_measured_down_to_the_ruler() -> None:
    made = plan()
    odd = size("9 3/4", "14")
    leaf = Offcut(at("1/8", "1/8"), odd._replace(w=odd.w + 1))
    left = replace(made.leftover[0], at=leaf.at)
    sheet = replace(made.sheets[0], root=leaf)
    assert "9 3/4 × 14" in words(draw_sheet(replace(made, leftover=(left,)), sheet))


def test_words_are_never_mirrored_or_left_out_for_a_sheet_of_any_shape() -> None:
    made = plan()
    wide = replace(made.sheets[1], size=size("60", "17"))
    drawing = draw_sheet(made, wide)
    assert drawing.width == 1900
    assert drawing.height < 1900


def test_a_sheet_of_any_size_is_drawn_large_enough_to_read() -> None:
    made = plan()
    for side in ("3", "11", "40", "96"):
        drawing = draw_sheet(made, replace(made.sheets[1], size=size(side, "2")))
        ground = next(shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.fill == "#5b6670")
        assert 1000 <= ground.w <= 1690


def test_swatches_are_the_users() -> None:
    made = plan()
    fills = [{shape.fill for shape in drawing.shapes if isinstance(shape, Rectangle)} for drawing in draw_sheets(made)]
    assert ["#56606b" in fill for fill in fills] == [True, False, True]


def test_hatching_stays_in_its_box() -> None:
    box = Rectangle(7, 11, 53, 29)
    for falling in (False, True):
        lines = list(hatching(box, 13, 1, "#000000", falling=falling))
        assert lines
        for line in lines:
            for x, y in ((line.x1, line.y1), (line.x2, line.y2)):
                assert box.x <= x <= box.x + box.w
                assert box.y <= y <= box.y + box.h
            assert abs(line.x2 - line.x1) == abs(line.y2 - line.y1)


def test_words_break_between_words_and_only_where_they_must_within_one() -> None:
    assert broken("Sea holly by the ford", 40, 10_000) == ("Sea holly by the ford",)
    narrow = broken("Sea holly by the ford", 40, text_width("holly by", 40))
    assert " ".join(narrow) == "Sea holly by the ford"
    assert len(narrow) > 1
    chopped = broken("Llanfairpwll", 40, text_width("Llanf", 40))
    assert "".join(chopped) == "Llanfairpwll"
    assert len(chopped) > 1
    assert broken("", 40, 100) == ()


def test_wide_scripts_are_given_more_room() -> None:
    assert text_width("\u6d77", 100) > text_width("i", 100)


def test_a_label_lies_upright_where_that_fits_better() -> None:
    shapes = label_shapes([Rectangle(0, 0, 80, 700, BLANK)], [("Sea holly",)], "#000000")
    assert [shape.upright for shape in shapes if isinstance(shape, Text)] == [True]


def test_a_label_that_fits_nowhere_is_left_to_the_key() -> None:
    assert label_shapes([Rectangle(0, 0, 40, 40, BLANK)], [("Sea holly",)], "#000000") == ()


def test_a_label_makes_way_for_what_is_taken_and_says_less_where_the_rest_has_no_room() -> None:
    room = Rectangle(0, 0, 300, 300, BLANK)
    shapes = label_shapes([room], [("Sea holly",)], "#000000", [Rectangle(0, 100, 300, 100)])
    ground = shapes[0]
    assert isinstance(ground, Rectangle)
    assert ground.y + ground.h <= 100 or ground.y >= 200
    less = label_shapes([Rectangle(0, 0, 140, 80, BLANK)], [("M1 Sea holly",), ("M1",)], "#000000")
    assert [shape.words for shape in less if isinstance(shape, Text)] == ["M1"]


def test_millimetres_are_said() -> None:
    made = plan(job=job(bench=replace(plan().job.bench, unit="mm", ruler=640)))
    assert any("Sizes in mm" in line for line in words(draw_sheet(made, made.sheets[1])))


def test_the_handmade_plan_places_every_mat_once() -> None:
    made = plan()
    placed = [leaf.item for sheet in made.sheets for leaf in leaves(sheet.root) if isinstance(leaf, Placed)]
    assert sorted(placed) == list(range(len(made.mats)))
    assert all(node.size.w > 0 for sheet in made.sheets for node in nodes(sheet.root))

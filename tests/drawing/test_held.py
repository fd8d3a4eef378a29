"""The picture of the shelf: to one scale, inside the page, every label there."""

from nesting.drawing import Rectangle, Text
from nesting.drawing.held import draw_shelf
from nesting.drawing.lettering import text_width
from nesting.geometry import Size
from nesting.model.job import Unit
from nesting.names import NO_BREAK
from tests.shelf.shelves import held, shelf

INCH = 16256


def test_pieces_stand_side_by_side_to_one_scale_inside_the_page() -> None:
    pieces = [held(f"R{number}", "moss", Size(32 * INCH, 40 * INCH)) for number in range(2)]
    drawing = draw_shelf(shelf(*pieces, held("R7", "oat", Size(96 * INCH, 8 * INCH))))
    boxes = [shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.line]
    page = drawing.shapes[0]
    assert all(page.x <= box.x and box.x + box.w <= page.w and box.y + box.h <= page.h for box in boxes)
    first, second, wide = (shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.line)
    assert (first.y, first.x) < (second.y, second.x)
    assert first.y == second.y
    assert abs(wide.w - 3 * first.w) <= 3
    assert wide.y > first.y + first.h


def test_a_row_that_is_full_is_followed_by_another() -> None:
    drawing = draw_shelf(shelf(*(held(f"R{number}", "moss", Size(32 * INCH, 40 * INCH)) for number in range(3))))
    first, second, third = (shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.line)
    assert first.y == second.y
    assert third.y > first.y + first.h
    assert third.x == first.x


def test_a_piece_too_small_for_words_has_its_label_below() -> None:
    drawing = draw_shelf(shelf(held("by the door", "moss", Size(3 * INCH, 2 * INCH), quantity=2), unit=Unit.MM))
    (box,) = (shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.line)
    below = [shape for shape in drawing.shapes if isinstance(shape, Text) and shape.y > box.y + box.h]
    assert " ".join(line.words.replace(NO_BREAK, " ") for line in below).startswith("by the door; 76.2")
    assert below[-1].words.endswith("them")
    assert drawing.title == "The shelf: 2 pieces"


def test_words_below_small_pieces_do_not_meet_and_stay_on_the_page() -> None:
    small = [held(f"S{number} offcut 2, plan 3fa9c1", "moss", Size(5 * INCH, 2 * INCH)) for number in range(12)]
    drawing = draw_shelf(shelf(*small, held("a" * 60, "moss", Size(2 * INCH, 2 * INCH))))
    words = [shape for shape in drawing.shapes if isinstance(shape, Text) and not shape.bold]
    reach = [(line.y, line.x, line.x + text_width(line.words, line.size)) for line in words]
    assert max(right for _, _, right in reach) <= drawing.width
    for number, (y, left, right) in enumerate(reach):
        assert not any(y == other and left < end and begin < right for other, begin, end in reach[number + 1 :])


def test_an_empty_shelf_is_an_empty_page() -> None:
    assert len(draw_shelf(shelf()).shapes) == 1

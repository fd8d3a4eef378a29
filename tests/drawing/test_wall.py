"""The wall at a glance: true to scale, the lip taken off, no colour invented."""

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.drawing import Anchor, Line, Rectangle, Text
from nesting.drawing.lettering import text_width
from nesting.drawing.shapes import apart, moved
from nesting.drawing.wall import draw_wall, hung, wall_notes, wall_words
from nesting.names import NO_BREAK
from tests.demo_wall import kept_plan
from tests.handmade import inches, plan
from tests.sound import sound_plan

FRAME, WALL = "#3b3531", "#f6f4ef"


def framed(width="1"):
    """The hand-made plan with a frame so wide round every piece."""
    made = plan()
    pieces = tuple(replace(piece, moulding_width=Fraction(inches(width))) for piece in made.job.pieces)
    return replace(made, job=replace(made.job, pieces=pieces))


def words(drawings):
    return [
        shape.words.replace("\N{NO-BREAK SPACE}", " ")
        for page in drawings
        for shape in page.shapes
        if isinstance(shape, Text)
    ]


def rectangles(drawings):
    return [shape for page in drawings for shape in page.shapes if isinstance(shape, Rectangle)]


def test_every_copy_of_every_piece_is_drawn_with_its_frame():
    frames = [box for box in rectangles(draw_wall(framed())) if box.fill == FRAME]
    assert len(frames) == 5
    # Sea holly: a mat of 11 x 14, 1/4 of it hidden on each side, in a frame of 1: 12 1/2 x 15 1/2. Ford map: 24 x 20.
    holly, second, *_, ford = frames  # the map is the only one in its group
    # One number for both copies of the sea holly; the map is the only piece in its group and comes last.
    assert [(each.number, each.piece, each.count) for each in hung(framed())] == [
        (1, "Sea holly", 2),
        (2, "Token", 1),
        (3, "A very long name <for> a small & narrow label", 1),
        (4, "Ford map", 1),
    ]
    assert words(draw_wall(framed())) == ["1", "1", "2", "3", "lower landing", "4"]
    assert holly.w / holly.h == pytest.approx(12.5 / 15.5, rel=0.01)
    assert (second.w, second.h) == (holly.w, holly.h)
    assert ford.w / holly.w == pytest.approx(25.5 / 12.5, rel=0.01)
    assert ford.h / holly.h == pytest.approx(21.5 / 15.5, rel=0.01)


def test_the_borders_that_are_seen_are_less_by_the_lip():
    pages = draw_wall(framed())
    boxes = rectangles(pages)
    place = next(i for i, box in enumerate(boxes) if box.fill == FRAME and box.w > 200 and box.w > box.h)
    frame, mat, _, window = boxes[place : place + 4]  # Ford map: sides 3 1/2, top 3, bottom 4
    inch = frame.w / 25.5
    assert mat.x - frame.x == pytest.approx(inch, abs=1)
    assert window.x - mat.x == pytest.approx(3.25 * inch, abs=1.5)
    assert window.y - mat.y == pytest.approx(2.75 * inch, abs=1.5)
    assert mat.y + mat.h - window.y - window.h == pytest.approx(3.75 * inch, abs=1.5)
    assert hung(framed())[3].words.replace(NO_BREAK, " ") == "slate; sides 3 1/4; top 2 3/4, bottom 3 3/4"


def test_a_swatch_is_drawn_as_the_user_chose_it_and_a_board_without_one_is_hatched():
    made = framed()
    assert "#56606b" in {box.fill for box in rectangles(draw_wall(made))}
    assert not any(isinstance(shape, Line) for page in draw_wall(made) for shape in page.shapes)
    bare = replace(made, job=replace(made.job, boards=tuple(replace(board, swatch=None) for board in made.job.boards)))
    assert any(isinstance(shape, Line) for page in draw_wall(bare) for shape in page.shapes)


def test_an_under_mat_shows_by_its_reveal_all_round():
    made = sound_plan()
    swatches = {"sage": "#112233", "ivory": "#445566", "oat": "#778899"}
    boards = tuple(replace(board, swatch=swatches[board.name]) for board in made.job.boards)
    lip = replace(made.job.bench, lip=Fraction(4))
    boxes = rectangles(draw_wall(replace(made, job=replace(made.job, boards=boards, bench=lip))))
    place = next(i for i, box in enumerate(boxes) if box.fill == "#778899")
    mat, under, window = boxes[place - 2], boxes[place], boxes[place + 2]
    tick = mat.w / (67 - 2 * 4)
    assert mat.fill == "#445566"
    assert window.x - under.x == pytest.approx(3 * tick, abs=1)
    assert window.y - under.y == pytest.approx(3 * tick, abs=1)
    assert any(each.words.startswith("ivory over oat; ") for each in hung(sound_plan()))


def test_what_holds_for_every_piece_is_said_once_and_plain_blanks_say_so():
    assert [each.words for each in hung(plan())].count("slate; plain, no window") == 2
    bare, framed_all = wall_words(plan()), wall_words(framed())
    assert bare.endswith("No frame's width is given, so none is drawn.")
    assert "in inches: the frame hides 1/4 of the mat on each side." in framed_all
    assert "given" not in framed_all
    first, *others = framed().job.pieces
    some = replace(framed(), job=replace(framed().job, pieces=(replace(first, moulding_width=None), *others)))
    assert wall_words(some).endswith("Where no frame is drawn, its width is not given.")


def test_what_looks_odd_is_told_by_the_number_of_its_note():
    assert {each.note for each in hung(framed())} == {None}
    assert wall_notes(framed()) == ()
    made = framed()
    mats = tuple(replace(each, mat=_sunk(each.mat)) if each.mat.piece == "Sea holly" else each for each in made.mats)
    sunk = replace(made, mats=mats)
    assert [each.note for each in hung(sunk)] == [1, None, None, None]
    assert str(wall_notes(sunk)[0]).startswith("Sea holly: the bottom border is narrower than the top one")


def _sunk(mat):
    """Half an inch of the bottom border is at the top."""
    half, borders = inches("1/2"), mat.borders
    return replace(mat, borders=replace(borders, top=borders.top + half, bottom=borders.bottom - half))


def test_groups_have_their_rows_whatever_the_order_of_the_pieces():
    made = plan()
    groups = ("hall", "stairs", "hall", None)
    pieces = tuple(replace(piece, group=group) for piece, group in zip(made.job.pieces, groups, strict=True))
    sorted_plan = replace(made, job=replace(made.job, pieces=pieces))
    assert words(draw_wall(sorted_plan)) == ["hall", "1", "1", "2", "stairs", "3", "4"]
    assert [each.piece for each in hung(sorted_plan)][:3] == ["Sea holly", "Token", "Ford map"]


def test_small_pieces_hang_above_each_other_beside_a_large_one_and_nothing_overlaps():
    for made in (framed(), kept_plan()):
        for page in draw_wall(made):
            frames = [box for box in rectangles([page]) if box.fill == FRAME]
            walls = [box for box in rectangles([page]) if box.fill == WALL]
            for number, box in enumerate(frames):
                assert apart(box, frames[:number])
                assert any(
                    wall.x < box.x
                    and box.x + box.w < wall.x + wall.w
                    and wall.y < box.y
                    and box.y + box.h < wall.y + wall.h
                    for wall in walls
                )
    page = draw_wall(kept_plan())[0]
    frames = [box for box in rectangles([page]) if box.fill == FRAME]
    above = [
        (box, other)
        for box in frames
        for other in frames
        if box.y < other.y and abs(box.x - other.x) < 20 and other.w < 200
    ]
    assert above  # the mats of 8 x 10 in beside those of 11 x 14


def test_nothing_leaves_the_page_and_no_page_is_too_long_for_paper():
    pages = draw_wall(kept_plan())
    assert [page.name for page in pages] == [f"wall-{number}" for number in range(1, len(pages) + 1)]
    for page in pages:
        assert page.height <= 2560
        for shape in page.shapes:
            match shape:
                case Rectangle():
                    assert 0 <= shape.x <= shape.x + shape.w <= page.width
                    assert 0 <= shape.y <= shape.y + shape.h <= page.height
                case Text():
                    half = text_width(shape.words, shape.size) // (2 if shape.anchor is Anchor.MIDDLE else 1)
                    assert shape.x + half <= page.width
                    assert shape.size <= shape.y <= page.height
                case Line():
                    assert max(shape.x1, shape.x2) <= page.width


def test_a_shape_is_moved_and_otherwise_the_same():
    assert moved(Rectangle(1, 2, 3, 5, "#fff"), 7, 11) == Rectangle(8, 13, 3, 5, "#fff")
    assert moved(Line(1, 2, 3, 5, 4, "#000"), 7, 11) == Line(8, 13, 10, 16, 4, "#000")
    assert moved(Text(1, 2, "fern", 30, "#000"), 7, 11) == Text(8, 13, "fern", 30, "#000")

"""Blanks, borders and windows worked by hand, and every size that cannot be cut."""

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.errors import Fault, JobError
from nesting.geometry import Point, Size
from nesting.model.job import Unit, When
from nesting.model.mat import Borders, Window
from nesting.sizing import alike_oddities, fallout_size, few_named, oddities, size_pieces, warnings
from tests.builders import exact, make_bench, make_job, make_piece
from tests.sound import JOB, MATS


def size_one(piece, **bench):
    return size_pieces(make_job(piece, bench=make_bench(**bench)), When.NOW)


def windows(mat):
    return sorted((*window.at, *window.size) for window in mat.windows)


def test_mats_come_in_order_of_pieces_copies_and_layers():
    assert size_pieces(JOB, When.NOW) == tuple(placed.mat for placed in MATS)


def test_later_pieces_are_sized_when_they_are_asked_for():
    mats = size_pieces(JOB, When.LATER)
    assert [mat.id for mat in mats] == ["M1", "M2", "M3", "M4", "M5", "M6", "M7"]
    assert (mats[-1].piece, mats[-1].blank) == ("Bell", Size(19, 13))


def test_a_blank_is_rounded_down_and_borders_up():
    # Ruler 5; blank 103 - 1 = 102 -> 100 and 73.5 - 1 = 72.5 -> 70. Sides (100 - 41) / 2 = 29.5 -> 30, top
    # (70 - 23.5) / 2 = 23.25 -> 25: the window is 40 x 20, never more than the 41 x 23.5 that were asked.
    piece = make_piece("Fern", (103, Fraction(147, 2)), (41, Fraction(47, 2)), allowance=Fraction(1))
    (mat,) = size_one(piece, ruler=5)
    assert mat.blank == Size(100, 70)
    assert mat.borders == Borders(left=30, right=30, top=25, bottom=25)
    assert windows(mat) == [(30, 25, 40, 20)]


def test_the_bottom_extra_is_taken_to_the_nearest_mark_half_up():
    # Ruler 4; extra 6 -> 8; top (80 - 36 - 8) / 2 = 18 -> 20, bottom 28, the window 80 - 48 = 32 high.
    piece = make_piece("Fern", (100, 80), (52, 36), bottom_extra=Fraction(6))
    (mat,) = size_one(piece, ruler=4)
    assert mat.borders == Borders(left=24, right=24, top=20, bottom=28)
    assert windows(mat) == [(24, 28, 52, 32)]


def test_a_bottom_extra_just_under_half_a_mark_is_dropped():
    piece = make_piece("Fern", (100, 80), (52, 36), bottom_extra=Fraction(599, 100))
    (mat,) = size_one(piece, ruler=4)
    assert mat.borders == Borders(left=24, right=24, top=20, bottom=24)


def test_an_under_mat_stands_in_by_the_reveal_and_its_blank_by_the_inset():
    # Reveal 3: the mat's window is 6 larger each way. Inset 4: the under-mat's blank is 97 x 67.
    piece = make_piece(
        "Fern", (101, 71), (41, 23), under_boards=("oat",), under_inset=Fraction(4), backing=("ivory", "oat")
    )
    mat, under, backing = size_one(piece)
    assert (mat.layer, mat.blank, windows(mat)) == (0, Size(101, 71), [(27, 21, 47, 29)])
    assert (under.layer, under.blank, windows(under)) == (1, Size(97, 67), [(28, 22, 41, 23)])
    assert (under.boards, backing.boards) == (("oat",), ("ivory", "oat"))
    assert (backing.layer, backing.blank, backing.windows, backing.borders) == (2, Size(101, 71), (), None)


def test_a_piece_without_a_picture_is_a_plain_blank():
    mat, under, backing = size_one(make_piece("Fern", (101, 71), under_boards=("oat",), backing=("oat",)))
    assert {(layer.blank, layer.borders, layer.windows) for layer in (mat, under, backing)} == {
        (Size(101, 71), None, ())
    }


def test_windows_share_what_rounding_takes_and_the_rest_goes_right_and_up():
    # Across: 2 x 29 + 7 = 65; (104 - 65) / 2 = 19.5 -> 20; room 64, windows (64 - 7) / 2 = 28.5 -> 28, 1 left over.
    # Down: 2 x 23 + 7 = 53; (90 - 53) / 2 = 18.5 -> 19; room 52, windows (52 - 7) / 2 = 22.5 -> 22, 1 left over.
    (mat,) = size_one(make_piece("Fern", (104, 90), (29, 23), across=2, down=2))
    assert mat.borders == Borders(left=20, right=21, top=20, bottom=19)
    assert windows(mat) == [(20, 19, 28, 22), (20, 48, 28, 22), (55, 19, 28, 22), (55, 48, 28, 22)]


def test_windows_are_numbered_from_the_top_left():
    (mat,) = size_one(make_piece("Fern", (104, 90), (29, 23), across=2, down=2))
    assert [window.at for window in mat.windows] == [Point(20, 48), Point(55, 48), Point(20, 19), Point(55, 19)]


def test_bars_are_narrower_above_the_under_mat():
    # Innermost 3 x 13 + 2 x 7 = 53 in 101: sides 24. Above: 3 x 19 + 2 x 1 = 59, sides 21.
    mat, under = size_one(make_piece("Fern", (101, 71), (13, 23), across=3, under_boards=("oat",)))
    assert windows(under) == [(24, 24, 13, 23), (44, 24, 13, 23), (64, 24, 13, 23)]
    assert windows(mat) == [(21, 21, 19, 29), (41, 21, 19, 29), (61, 21, 19, 29)]


def test_a_gap_is_no_matter_where_there_is_one_window():
    (mat,) = size_one(make_piece("Fern", (101, 71), (41, 23), gap=Fraction(0)))
    assert windows(mat) == [(30, 24, 41, 23)]


def test_a_fallout_loses_the_squaring_on_each_side():
    assert fallout_size(Window(Point(7, 11), Size(71, 37)), 5) == Size(61, 27)
    assert fallout_size(Window(Point(7, 11), Size(71, 9)), 5) == Size(61, -1)


MM = 640
FAULTS = {
    "no blank": (
        make_piece("Fern", (3 * MM, 71 * MM), allowance=Fraction(3 * MM)),
        (
            "pieces, row 2, inside width: 'Fern' leaves a blank of nothing once the allowance is taken off. "
            "Measure the inside size again, or write a smaller allowance."
        ),
    ),
    "no blank for a picture": (
        make_piece("Fern", (3 * MM, 71 * MM), (41 * MM, 23 * MM), allowance=Fraction(3 * MM)),
        (
            "pieces, row 2, inside width: 'Fern' leaves a blank of nothing once the allowance is taken off. "
            "Measure the inside size again, or write a smaller allowance."
        ),
    ),
    "no under-mat": (
        make_piece("Fern", (101 * MM, 71 * MM), under_boards=("oat",), under_inset=Fraction(71 * MM)),
        (
            "pieces, row 2, under inset: 'Fern' leaves an under-mat of nothing in height. "
            "Write a smaller under inset, or none."
        ),
    ),
    "no border": (
        make_piece("Fern", (101 * MM, 71 * MM), (41 * MM, 71 * MM)),
        (
            "pieces, row 2, picture height: 'Fern' leaves a border of nothing or less in height. The window must be "
            "smaller than the blank of 71 mm: write a smaller picture height or a larger inside height, or swap width "
            "and height if they stand the wrong way round."
        ),
    ),
    "no border either way round": (
        make_piece("Fern", (101 * MM, 71 * MM), (71 * MM, 97 * MM)),
        (
            "pieces, row 2, picture height: 'Fern' leaves a border of nothing or less in height. The window must be "
            "smaller than the blank of 71 mm: write a smaller picture height or a larger inside height."
        ),
    ),
    "no border and as high as the inside size is wide": (
        make_piece("Fern", (101 * MM, 71 * MM), (43 * MM, 101 * MM)),
        (
            "pieces, row 2, picture height: 'Fern' leaves a border of nothing or less in height. The window must be "
            "smaller than the blank of 71 mm: write a smaller picture height or a larger inside height."
        ),
    ),
    "no border beside two windows": (
        # 2 x 47 + 7 = 101
        make_piece("Fern", (101 * MM, 71 * MM), (47 * MM, 23 * MM), across=2, gap=Fraction(7 * MM)),
        (
            "pieces, row 2, picture width: 'Fern' leaves a border of nothing or less in width. The window must be "
            "smaller than the blank of 101 mm: write a smaller picture width or a larger inside width."
        ),
    ),
    "no side border where there is a bottom extra": (
        make_piece("Fern", (101 * MM, 71 * MM), (103 * MM, 23 * MM), bottom_extra=Fraction(5 * MM)),
        (
            "pieces, row 2, picture width: 'Fern' leaves a border of nothing or less in width. The window must be "
            "smaller than the blank of 101 mm: write a smaller picture width or a larger inside width."
        ),
    ),
    "less than no border": (
        make_piece("Fern", (101 * MM, 71 * MM), (107 * MM, 43 * MM)),
        (
            "pieces, row 2, picture width: 'Fern' leaves a border of nothing or less in width. The window must be "
            "smaller than the blank of 101 mm: write a smaller picture width or a larger inside width."
        ),
    ),
    "no border above the under-mat": (
        # Under-mat borders (101 - 96) / 2 -> 3, the mat's (101 - 102) / 2 -> 0
        make_piece("Fern", (101 * MM, 71 * MM), (96 * MM, 23 * MM), under_boards=("oat",), reveal=Fraction(3 * MM)),
        (
            "pieces, row 2, picture width: 'Fern' leaves a border of nothing or less in width. The window must be "
            "smaller than the blank of 101 mm: write a smaller picture width or a larger inside width."
        ),
    ),
    "no bottom border left by the extra": (
        make_piece("Fern", (101 * MM, 71 * MM), (41 * MM, 43 * MM), bottom_extra=Fraction(28 * MM)),
        (
            "pieces, row 2, picture height: 'Fern' leaves a border of nothing or less in height. The window must be "
            "smaller than the blank of 71 mm: write a smaller picture height, less bottom extra or a larger "
            "inside height."
        ),
    ),
    "no window": (
        make_piece("Fern", (101 * MM, 71 * MM), (0, 43 * MM)),
        (
            "pieces, row 2, picture width: 'Fern' leaves no window. "
            "Write a larger picture or show size, or a smaller overlap."
        ),
    ),
    "a window of just nothing": (
        make_piece("Fern", (102 * MM, 71 * MM), (0, 43 * MM)),
        (
            "pieces, row 2, picture width: 'Fern' leaves no window. "
            "Write a larger picture or show size, or a smaller overlap."
        ),
    ),
    "no bar": (
        make_piece("Fern", (101 * MM, 71 * MM), (23 * MM, 43 * MM), across=2, gap=Fraction(319)),
        "pieces, row 2, gap: 'Fern' leaves a bar of nothing between the windows in width. Write a wider gap.",
    ),
    "no bar above the under-mat": (
        make_piece(
            "Fern",
            (101 * MM, 71 * MM),
            (41 * MM, 17 * MM),
            down=2,
            under_boards=("oat",),
            gap=Fraction(6 * MM),
            reveal=Fraction(3 * MM),
        ),
        (
            "pieces, row 2, reveal: 'Fern' leaves a bar of nothing between the upper windows in height. "
            "Write a gap wider than twice the reveal."
        ),
    ),
    "under-mat whose edge shows": (
        # The under-mat's blank is 101 - 34 = 67 wide: borders (67 - 61) / 2 = 3, just the reveal.
        make_piece(
            "Fern",
            (101 * MM, 91 * MM),
            (61 * MM, 23 * MM),
            under_boards=("oat",),
            reveal=Fraction(3 * MM),
            under_inset=Fraction(34 * MM),
        ),
        (
            "pieces, row 2, under inset: 'Fern' leaves the under-mat a border of 3 mm in width, no wider than the "
            "reveal, so that its outer edge would show. Write a smaller under inset, or none."
        ),
    ),
    "under-mat whose upper edge shows": (
        # The under-mat's blank is 106 - 34 = 72 high: top (72 - 61 - 5) / 2 = 3, just the reveal, bottom 8.
        make_piece(
            "Fern",
            (101 * MM, 106 * MM),
            (23 * MM, 61 * MM),
            bottom_extra=Fraction(5 * MM),
            under_boards=("oat",),
            reveal=Fraction(3 * MM),
            under_inset=Fraction(34 * MM),
        ),
        (
            "pieces, row 2, under inset: 'Fern' leaves the under-mat a border of 3 mm in height, no wider than the "
            "reveal, so that its outer edge would show. Write a smaller under inset, or none."
        ),
    ),
}


def faults_of(*pieces):
    with pytest.raises(JobError) as raised:
        size_pieces(make_job(*pieces, bench=make_bench(ruler=MM)), When.NOW)
    return [str(fault) for fault in raised.value.faults]


@pytest.mark.parametrize("name", FAULTS)
def test_what_cannot_be_cut_is_said_with_its_place_and_remedy(name):
    piece, message = FAULTS[name]
    assert faults_of(piece) == [message]


def test_all_faults_of_all_pieces_are_found_at_once_later_ones_too():
    broken = [
        replace(piece, name=name, row=row, when=When.LATER)
        for row, (name, (piece, _)) in enumerate(FAULTS.items(), start=2)
    ]
    faults = faults_of(make_piece("Map", (53 * MM, 31 * MM)), *broken)
    assert [fault.split(",")[1] for fault in faults] == [f" row {row}" for row in range(2, 2 + len(FAULTS))]


def test_a_window_a_tick_wide_can_be_cut():
    (mat,) = size_one(make_piece("Fern", (101, 71), (1, 43)))
    assert windows(mat) == [(50, 14, 1, 43)]


def test_a_bar_of_a_tick_is_there_though_none_is_left_above_it():
    with pytest.raises(JobError) as raised:
        size_one(make_piece("Fern", (101, 71), (23, 43), across=2, gap=Fraction(1), under_boards=("oat",)))
    assert [fault.column for fault in raised.value.faults] == ["reveal"]


def test_both_sides_of_a_piece_are_looked_at():
    faults = faults_of(make_piece("Fern", (41 * MM, 23 * MM), (43 * MM, 29 * MM)))
    assert [fault.split(":")[0] for fault in faults] == [
        "pieces, row 2, picture width",
        "pieces, row 2, picture height",
    ]


@pytest.mark.parametrize("picture", [None, exact(47 * MM, 17 * MM)])
def test_the_column_named_is_the_one_that_the_window_came_from(picture):
    piece = make_piece("Fern", (41 * MM, 23 * MM), (43 * MM, 13 * MM), picture=picture)
    assert faults_of(piece)[0].startswith("pieces, row 2, show width: 'Fern' leaves a border of nothing")


def test_an_under_mat_a_mark_wider_than_the_reveal_is_sound():
    piece, _ = FAULTS["under-mat whose edge shows"]
    mats = size_one(replace(piece, under_inset=Fraction(32 * MM)), ruler=MM)
    assert mats[1].borders.left == 4 * MM


def pictured(overlap, **changes):
    picture = exact(47 * MM, 29 * MM)
    shown = (picture.width - 2 * overlap, picture.height - 2 * overlap)
    return make_piece("Fern", (101 * MM, 71 * MM), shown, picture=picture, overlap=Fraction(overlap), **changes)


@pytest.mark.parametrize(
    ("piece", "said"),
    [
        (pictured(3 * MM), ()),
        (
            pictured(2 * MM),
            ("Fern: an overlap of 2 mm is less than 3 mm, so the picture may slip out from behind the mat.",),
        ),
        (
            pictured(0),
            ("Fern: an overlap of 0 mm is less than 3 mm, so the picture may slip out from behind the mat.",),
        ),
        (
            pictured(-1),
            (
                (
                    "Fern: bare margin shows round the picture, so the mat does not hold it: hinge the picture to its "
                    "backing."
                ),
            ),
        ),
        (make_piece("Fern", (101 * MM, 71 * MM), (41 * MM, 23 * MM), picture=None), ()),
        (make_piece("Fern", (101 * MM, 71 * MM)), ()),
        (
            make_piece("Fern", (101 * MM, 71 * MM), (41 * MM, 23 * MM), picture=exact(83 * MM, 73 * MM)),
            (
                (
                    "Fern: the picture of 83 mm x 73 mm is larger than the mat's blank of 101 mm x 71 mm, so it will "
                    "not go into the frame uncut."
                ),
            ),
        ),
    ],
)
def test_what_is_allowed_but_unusual_is_said(piece, said):
    assert warnings(make_job(piece, bench=make_bench(ruler=MM))) == said


SWAPPED = (
    "the picture is taller than wide and the inside of the frame wider than tall, so width and height of one of them"
    " may stand the wrong way round"
)
UPRIGHT = exact(37 * MM, 47 * MM)


def slips(overlap):
    return f"an overlap of {overlap} is less than 3 mm, so the picture may slip out from behind the mat"


@pytest.mark.parametrize(
    ("piece", "column", "problem", "remedy"),
    [
        (pictured(2 * MM), "overlap", slips("2 mm"), "Write 3 mm or more to have it held, here or in the table bench"),
        (
            replace(pictured(5 * MM), shown=exact(41 * MM, 43 * MM), picture=exact(45 * MM, 53 * MM)),
            "show width",
            slips("2 mm"),
            "Write 39 mm or less to have it held",
        ),
        (
            replace(pictured(5 * MM), shown=exact(41 * MM, 43 * MM), picture=exact(45 * MM + 320, 53 * MM)),
            "show width",
            slips("2.25 mm"),
            "Write 39 mm or less to have it held",
        ),
        (
            replace(pictured(5 * MM), shown=exact(5 * MM, 11 * MM), picture=exact(6 * MM, 23 * MM)),
            "show width",
            slips("0.5 mm"),
            "Hinge it, whatever is shown",
        ),
        (
            replace(pictured(3 * MM), picture=exact(103 * MM, 73 * MM), shown=exact(97 * MM, 67 * MM)),
            "inside width",
            (
                "the picture of 103 mm x 73 mm is larger than the mat's blank of 101 mm x 71 mm, so it will not go "
                "into the frame uncut"
            ),
            (
                "Write an inside width of 103 mm and an inside height of 73 mm or more, or the size that the picture "
                "is cut down to"
            ),
        ),
        (
            replace(pictured(3 * MM), picture=exact(103 * MM, 53 * MM), shown=exact(97 * MM, 47 * MM)),
            "inside width",
            (
                "the picture of 103 mm x 53 mm is larger than the mat's blank of 101 mm x 71 mm, so it will not go "
                "into the frame uncut"
            ),
            "Write an inside width of 103 mm or more, or the size that the picture is cut down to",
        ),
        (
            replace(pictured(3 * MM), picture=exact(47 * MM, 73 * MM), shown=exact(41 * MM, 67 * MM)),
            "inside height",
            (
                "the picture of 47 mm x 73 mm is larger than the mat's blank of 101 mm x 71 mm, so it will not go "
                "into the frame uncut"
            ),
            "Write an inside height of 73 mm or more, or the size that the picture is cut down to",
        ),
        (
            replace(pictured(3 * MM), picture=exact(43 * MM, 53 * MM), shown=UPRIGHT),
            "picture width",
            SWAPPED,
            (
                "If the picture's do, write picture width 53 mm and picture height 43 mm; if the frame's do, write"
                " inside width 71 mm and inside height 101 mm; if neither, leave both"
            ),
        ),
        (
            replace(pictured(3 * MM), picture=None, shown=UPRIGHT),
            "show width",
            SWAPPED,
            (
                "If the picture's do, write show width 47 mm and show height 37 mm; if the frame's do, write inside"
                " width 71 mm and inside height 101 mm; if neither, leave both"
            ),
        ),
    ],
)
def test_what_to_write_to_change_it_is_said_with_its_place(piece, column, problem, remedy):
    expected = Fault("pieces", 2, column, None, "Fern", problem, remedy)
    assert expected in oddities(make_job(piece, bench=make_bench(ruler=MM)))


def test_several_windows_nearly_square_ones_and_two_upright_shapes_are_not_taken_for_swapped():
    bench = make_bench(ruler=MM)
    several = replace(pictured(3 * MM), picture=exact(23 * MM, 53 * MM), shown=exact(17 * MM, 47 * MM), across=2)
    assert oddities(make_job(several, bench=bench)) == ()
    alike = replace(
        pictured(3 * MM),
        inside=exact(71 * MM, 101 * MM),
        picture=exact(43 * MM, 53 * MM),
        shown=exact(37 * MM, 47 * MM),
    )
    assert oddities(make_job(alike, bench=bench)) == ()
    nearly = replace(pictured(3 * MM), picture=exact(43 * MM, 47 * MM), shown=exact(37 * MM, 41 * MM))
    assert oddities(make_job(nearly, bench=bench)) == ()


def test_an_eighth_of_an_inch_is_enough_in_an_inch_job():
    bench = make_bench(ruler=1016, unit=Unit.IN)
    assert warnings(make_job(pictured(2032), bench=bench)) == ()
    assert warnings(make_job(pictured(2031), bench=bench))[0].endswith(
        "is less than 1/8 in, so the picture may slip out from behind the mat."
    )


def test_an_overlap_follows_from_show_where_it_is_given():
    piece = pictured(5 * MM, when=When.LATER)
    shown = exact(piece.picture.width - 2 * MM, piece.shown.height)
    assert warnings(make_job(replace(piece, shown=shown), bench=make_bench(ruler=MM))) == (
        "Fern: an overlap of 1 mm is less than 3 mm, so the picture may slip out from behind the mat.",
    )


def test_what_is_odd_about_several_pieces_alike_is_said_once():
    pieces = [replace(pictured(2 * MM), name=f"tile {n}, class", row=n) for n in range(2, 8)]
    (alike,) = alike_oddities(make_job(*pieces, bench=make_bench(ruler=MM)))
    assert [oddity.row for oddity in alike] == [2, 3, 4, 5, 6, 7]
    assert few_named(alike) == "tile 2, class; tile 3, class; tile 4, class and 3 more"
    (said,) = warnings(make_job(*pieces, bench=make_bench(ruler=MM)))
    assert said.startswith("tile 2, class; tile 3, class; tile 4, class and 3 more: an overlap of 2 mm")

"""What looks odd, by common practice, no source: the least borders, the frame's own width, the bottom extra."""

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.bench.proportions import Note, border_notes
from nesting.geometry import ExactSize
from nesting.model.job import Unit, When
from nesting.sizing import size_pieces
from tests.builders import exact
from tests.handmade import bench, inches, job, piece, size


def notes(*pieces, **settings):
    made = job(pieces=pieces, bench=bench(**settings))
    return border_notes(made, size_pieces(made, When.LATER))


def fern(inside, shown, **changed):
    """A piece in a frame that opens an eighth wider and higher than the mat is large."""
    return piece("Fern", 2, inside, shown, **changed)


def test_a_small_frame_wants_two_inches_and_a_larger_one_three():
    assert notes(fern(size("11 1/8", "14 1/8"), size("7", "10"))) == ()  # 2 all round
    (note,) = notes(fern(size("12 1/8", "16 1/8"), size("8", "12")))
    assert note.problems == (
        "the narrowest border is 2; in frames larger than 11 × 14, borders of 3 or more look right",
    )
    (note,) = notes(fern(size("10 1/8", "13 1/8"), size("7", "10")))
    assert note.problems == ("the narrowest border is 1 1/2; in frames up to 11 × 14, borders of 2 or more look right",)


def test_a_frame_is_small_either_way_round_and_opens_to_a_little_more_than_it_is_sold_as():
    assert notes(fern(size("14 1/2", "11 1/2"), size("10", "7"))) == ()
    assert len(notes(fern(size("14 9/16", "11 1/2"), size("10", "7")))) == 1


def test_a_quarter_of_an_inch_is_not_worth_a_word():
    assert notes(fern(size("11 1/8", "14 1/8"), size("7 1/2", "10"))) == ()  # 1 3/4 at the sides
    assert len(notes(fern(size("11 1/8", "14 1/8"), size("7 5/8", "10")))) == 1  # 1 11/16


def test_cropping_makes_sides_and_top_even_or_a_larger_frame_does():
    # Mat 10 x 13, window 7 x 9 1/2: sides 1 1/2, top 1 3/4; for 2 all round a window of 6 x 9.
    (note,) = notes(fern(size("10 1/8", "13 1/8"), size("7", "9 1/2")))
    assert note.remedy == (
        "Crop 1 of the width and 1/2 of the height to show 6 × 9, or take a frame 1 wider and 1/2 higher, "
        "for borders of 2 at the sides and the top"
    )
    assert str(note) == f"Fern: {note.problems[0]}. {note.remedy}."
    assert note.write == "show width 6, show height 9"
    cropped = fern(size("10 1/8", "13 1/8"), size("6", "9"))
    assert notes(cropped) == ()
    assert [mat.borders.left for mat in size_pieces(job(pieces=(cropped,)), When.NOW)] == [inches("2")]


def test_the_wider_border_sets_the_measure_and_is_not_spoken_of():
    # Mat 10 x 13, window 7 x 8: sides 1 1/2, top 2 1/2.
    (note,) = notes(fern(size("10 1/8", "13 1/8"), size("7", "8")))
    assert note.remedy == "Take a frame 2 wider for borders of 2 1/2 at the sides and the top"  # 2 of 7 is too much
    # Mat 11 x 14, window 7 3/4 x 9 1/2: sides 1 5/8, top 2 1/4.
    (note,) = notes(fern(size("11 1/8", "14 1/8"), size("7 3/4", "9 1/2")))
    assert note.remedy == (
        "Crop 1 1/4 of the width to show 6 1/2 × 9 1/2, or take a frame 1 1/4 wider, for borders of 2 1/4 at the sides "
        "and the top"
    )


def test_what_is_shown_is_the_innermost_window_and_each_of_several_gives_its_share():
    # Mat 10 x 13, window 6 1/2 x 9, reveal 1/4: so the mat's own is 7 x 9 1/2.
    under = fern(size("10 1/8", "13 1/8"), size("6 1/2", "9"), under_boards=("slate",))
    assert "to show 5 1/2 × 8 1/2," in notes(under)[0].remedy
    # Mat 10 x 13, two windows of 3 with a bar of 1: sides 1 1/2; 1 in all off the width is 1/2 off each.
    several = fern(size("10 1/8", "13 1/8"), size("3", "9 1/2"), across=2)
    assert (
        "Crop 1/2 of the width and 1/2 of the height to show 2 1/2 × 9, or take a frame 1 wider"
        in notes(several)[0].remedy
    )


def test_a_border_near_the_width_of_the_frame_or_below_it_is_odd():
    # Borders of 2, less a lip of 1/4: 1 3/4 are seen. A frame of 1 3/8 is well below that, one of 1 7/16 is near.
    mat = size("11 1/8", "14 1/8"), size("7", "10")
    assert notes(fern(*mat, moulding_width=Fraction(inches("1 3/8")))) == ()
    (near,) = notes(fern(*mat, moulding_width=Fraction(inches("1 7/16"))))
    assert near.problems == ("of the narrowest border 1 3/4 is seen, near the frame's own width of 1 7/16",)
    assert near.remedy.endswith("for borders of 2 1/16 at the sides and the top")  # 1 7/16 x 5/4 + 1/4, rounded up
    (below,) = notes(fern(*mat, moulding_width=Fraction(inches("1 3/4"))))
    assert below.problems == ("of the narrowest border 1 3/4 is seen, no more than the frame's own width of 1 3/4",)


def test_wide_borders_want_a_little_more_at_the_bottom():
    mat = size("16 1/8", "20 1/8"), size("10", "14")  # 3 all round
    (note,) = notes(fern(*mat))
    assert note == Note(
        ("Fern",),
        ("the bottom border is no wider than the top, which can make the picture seem to sink",),
        "Write a bottom extra of 1/4 to 1/2, as is common with borders this wide",
        "bottom extra 1/4",
    )
    assert notes(fern(*mat, bottom_extra=Fraction(inches("1/4")))) == ()


def test_plain_blanks_have_no_borders_to_speak_of():
    assert notes(fern(size("10 1/8", "13 1/8"), None)) == ()


def test_pieces_of_which_the_same_is_to_be_said_share_a_note_and_copies_have_one():
    first = fern(size("10 1/8", "13 1/8"), size("7", "10"), quantity=3)
    (note,) = notes(first, replace(first, name="Moss", row=3))
    assert note.pieces == ("Fern", "Moss")


@pytest.mark.parametrize(("border", "odd"), [(43, True), (44, False)])  # 6.35 short of 50 mm is 43.65
def test_a_metric_job_counts_in_millimetres(border, odd):
    mm = 640
    inside = ExactSize(Fraction(240 * mm), Fraction(300 * mm))
    shown = exact((240 - 2 * border) * mm, (300 - 2 * border) * mm)
    made = replace(fern(size("10", "12"), None), inside=inside, shown=shown, allowance=Fraction(0))
    found = notes(made, unit=Unit.MM, ruler=mm)
    assert bool(found) == odd
    if odd:
        assert found[0].problems == (
            "the narrowest border is 43; in frames up to 280 × 355, borders of 50 or more look right",
        )

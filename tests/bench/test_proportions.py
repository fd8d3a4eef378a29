"""What looks wrong about borders, where practice agrees: narrow beside a large frame, wide sides, a sinking picture."""

from dataclasses import replace

import pytest

from nesting.bench.proportions import Note, border_notes
from nesting.geometry import Size
from nesting.lengths import parse_size
from nesting.model.job import Unit, When
from nesting.model.mat import Borders
from nesting.sizing import size_pieces
from tests.handmade import bench, inches, job, piece, size


def notes(*pieces, **settings):
    made = job(pieces=pieces, bench=bench(**settings))
    return border_notes(made, size_pieces(made, When.LATER))


def fern(inside, shown, **changed):
    """A piece in a frame that opens an eighth wider and higher than the mat is large."""
    return piece("Fern", 2, inside, shown, **changed)


@pytest.mark.parametrize(
    ("picture", "frame"),
    [
        ("5x7 in", "8x10 in"),
        ("8x10 in", "11x14 in"),
        ("11x14 in", "16x20 in"),
        ("16x20 in", "20x24 in"),
        ("210x297 mm", "297x420 mm"),
        ("30x40 cm", "40x50 cm"),
    ],
)
@pytest.mark.parametrize("is_turned", [False, True])
def test_what_is_sold_for_each_other_has_no_note(picture, frame, is_turned):
    # The picture less 1/4 in on each side, in a frame as large as it is called.
    inside, whole = (Size(*map(int, parse_size(text, Unit.IN))) for text in (frame, picture))
    shown = Size(*(side - inches("1/2") for side in whole))
    assert notes(fern(*((its.turned for its in (inside, shown)) if is_turned else (inside, shown)))) == ()


def test_a_border_narrower_than_an_inch_is_told_in_a_large_frame_only():
    # Mats 16 x 20: a window of 14 leaves 1 at the sides, one of 14 1/8 leaves 15/16. Mat 8 x 10: 1/2 is let be.
    assert notes(fern(size("16 1/8", "20 1/8"), size("14", "17"))) == ()
    assert notes(fern(size("16 1/8", "20 1/8"), size("14 1/8", "17"))) == (
        Note(
            ("Fern",),
            ("a border is narrower than 1, which looks thin in a frame larger than 11 × 14",),
            "You may like a larger frame, or a smaller picture in this one",
        ),
    )
    assert notes(fern(size("8 1/8", "10 1/8"), size("7", "8 1/2"))) == ()


def test_sides_wider_than_top_and_bottom_are_told_in_an_upright_frame_only():
    # Mat 10 x 13: a window of 5 x 9 leaves 2 1/2 at the sides and 2 above; of 5 1/2 x 9, 2 1/4, a quarter more.
    (note,) = notes(fern(size("10 1/8", "13 1/8"), size("5", "9")))
    assert note.problems == (
        "the side borders are wider than the top and bottom ones, which looks odd in an upright frame",
    )
    assert note.write == ""
    assert notes(fern(size("10 1/8", "13 1/8"), size("5 1/2", "9"))) == ()
    assert notes(fern(size("13 1/8", "10 1/8"), size("7", "7"))) == ()  # lying: 3 at the sides, 1 1/2 above
    # A bottom extra wider than the sides makes them no wider than top and bottom both: 1 1/2 above, 2 1/2 below.
    assert notes(fern(size("10 1/8", "13 1/8"), size("5", "9"), bottom_extra=inches("1"))) == ()


def test_a_bottom_border_narrower_than_the_top_is_told():
    made = job(pieces=(fern(size("10 1/8", "13 1/8"), size("6", "9")),), bench=bench())
    (mat,) = size_pieces(made, When.NOW)
    two = inches("2")
    sunk = replace(mat, borders=Borders(two, two, two + inches("1/2"), two - inches("1/2")))
    (note,) = border_notes(made, [sunk])
    assert note.problems == ("the bottom border is narrower than the top one, so the picture seems to sink",)
    assert note.write == "bottom extra 1/4"
    assert border_notes(made, [mat]) == ()


def test_no_note_tells_anyone_to_crop():
    thin, wide = fern(size("16 1/8", "20 1/8"), size("15", "19")), fern(size("10 1/8", "13 1/8"), size("3", "12"))
    said = [str(note).casefold() for note in notes(thin, replace(wide, name="Moss", row=3))]
    assert len(said) == 2
    assert not any("crop" in words for words in said)


def test_plain_blanks_have_no_borders_to_speak_of():
    assert notes(fern(size("10 1/8", "13 1/8"), None)) == ()


def test_a_note_is_given_once_for_all_pieces_whatever_their_sizes():
    first = fern(size("16 1/8", "20 1/8"), size("15", "18"), quantity=3)
    other = fern(size("20 1/8", "24 1/8"), size("19", "22"))
    (note,) = notes(first, replace(other, name="Moss", row=3))
    assert note.pieces == ("Fern", "Moss")
    assert str(note).startswith("Fern, Moss: a border is narrower than 1,")


def test_the_bench_switches_the_notes_off():
    thin = fern(size("16 1/8", "20 1/8"), size("15", "18"))
    assert len(notes(thin)) == 1
    assert notes(thin, border_notes=False) == ()

"""Mats whose sizes are known, each with its source."""

import pytest

from nesting.geometry import ExactSize
from nesting.lengths import parse_length
from nesting.model.job import Unit, When
from nesting.model.mat import Borders
from nesting.sizing import fallout_size, size_pieces
from tests.builders import make_bench, make_job, make_piece


def inches(text):
    return parse_length(text, Unit.IN)


def size_of(text):
    width, height = text.split(" x ")
    return ExactSize(inches(width), inches(height))


def size_mat(opening, picture, overlap="1/4"):
    """One mat on a ruler of sixteenths, without allowance or bottom extra."""
    picture = size_of(picture)
    covered = inches(overlap)
    piece = make_piece(
        "Fern",
        size_of(opening),
        ExactSize(picture.width - 2 * covered, picture.height - 2 * covered),
        picture=picture,
        overlap=covered,
    )
    (mat,) = size_pieces(make_job(piece, bench=make_bench(unit=Unit.IN, ruler=int(inches("1/16")))), When.NOW)
    return mat


def all_round(sides, ends):
    return Borders(left=inches(sides), right=inches(sides), top=inches(ends), bottom=inches(ends))


def test_a_seven_by_nine_and_a_half_picture_in_a_ten_and_a_half_by_fourteen_frame():
    # Common practice, no source.
    mat = size_mat("10 1/2 x 14", "7 x 9 1/2")
    assert mat.blank == size_of("10 1/2 x 14")
    assert mat.borders == all_round("2", "2 1/2")
    assert mat.windows[0].size == size_of("6 1/2 x 9")


def test_an_eight_by_eleven_picture_in_an_eleven_and_a_quarter_by_fifteen_frame():
    # Worked by hand: (11 1/4 - 7 1/2) / 2 = 1 7/8 and (15 - 10 1/2) / 2 = 2 1/4.
    mat = size_mat("11 1/4 x 15", "8 x 11")
    assert mat.borders == all_round("1 7/8", "2 1/4")
    assert mat.windows[0].size == size_of("7 1/2 x 10 1/2")


# Frame, window, picture: common practice, no source. The borders are worked by hand.
STANDARD = [
    ("8 x 10", "4 1/2 x 6 1/2", "5 x 7", "1 3/4", "1 3/4"),
    ("11 x 14", "7 1/2 x 9 1/2", "8 x 10", "1 3/4", "2 1/4"),
    ("16 x 20", "10 1/2 x 13 1/2", "11 x 14", "2 3/4", "3 1/4"),
    ("20 x 24", "15 1/2 x 19 1/2", "16 x 20", "2 1/4", "2 1/4"),
    ("24 x 36", "19 1/2 x 29 1/2", "20 x 30", "2 1/4", "3 1/4"),
]


@pytest.mark.parametrize(("frame", "window", "picture", "sides", "ends"), STANDARD)
def test_standard_mats(frame, window, picture, sides, ends):
    mat = size_mat(frame, picture)
    assert mat.windows[0].size == size_of(window)
    assert mat.borders == all_round(sides, ends)


def test_a_face_opening_is_larger_than_the_back_by_twice_the_board_and_squaring_clears_it():
    # Geometry: through board t thick a bevel at 45 degrees makes the face of the fallout 2t larger than its back each
    # way. 4-ply board is about 1/16 in thick (museum board 0.050 to 0.060 in: S. Saitzyk, Art Hardware, 1987), and
    # squaring 1/8 in off the back leaves whole board.
    mat = size_mat("10 1/2 x 14", "7 x 9 1/2")
    assert fallout_size(mat.windows[0], int(inches("1/8"))) == size_of("6 1/4 x 8 3/4")

"""Sizes by name: which names there are, how they are written, and what a job makes of them."""

from fractions import Fraction

import pytest

from nesting.errors import UnreadableError
from nesting.geometry import ExactSize
from nesting.lengths import parse_length
from nesting.model.job import Unit
from nesting.reading.job import read_job
from nesting.reading.named_sizes import named_sizes, size_named
from tests.jobs import PIECES, faults

INCH = 16256
MM = 640
A4 = (210 * MM, 297 * MM)
SIDES = f"{PIECES},picture width,picture height,show width,show height"


def inches(width, height):
    return ExactSize(Fraction(width) * INCH, Fraction(height) * INCH)


@pytest.mark.parametrize("unit", list(Unit))
@pytest.mark.parametrize("text", ["A4", "a4", "A 4", " a4 ", "A4 portrait", "A4, Portrait"])
def test_paper_is_upright_unless_told_otherwise(text, unit):
    assert size_named(text, unit) == A4


@pytest.mark.parametrize("text", ["A4 landscape", "a 4 LANDSCAPE", "A4, landscape"])
def test_paper_laid_on_its_side(text):
    assert size_named(text, Unit.CM) == A4[::-1]


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("8x10", inches(8, 10)),
        ("8 X 10", inches(8, 10)),
        ("8 × 10", inches(8, 10)),
        ("8 by 10", inches(8, 10)),
        ('8" x 10"', inches(8, 10)),
        ("10x8", inches(10, 8)),
        ("8x10 landscape", inches(10, 8)),
        ("10x8 portrait", inches(8, 10)),
        ("3 1/2x5", inches(Fraction(7, 2), 5)),
        ("3½x5", inches(Fraction(7, 2), 5)),
        ("8.5 x 11", inches(Fraction(17, 2), 11)),
    ],
)
def test_frames_and_prints_are_named_by_their_inches(text, size):
    assert size_named(text, Unit.IN) == size


@pytest.mark.parametrize("text", ["8x10 in", '8 x 10"', "8 in x 10 in", "20.32 cm x 25.4 cm"])
@pytest.mark.parametrize("unit", [Unit.MM, Unit.CM])
def test_in_a_metric_job_a_name_in_inches_says_so(text, unit):
    assert size_named(text, unit) == inches(8, 10)


@pytest.mark.parametrize("text", ["11 1/4", "285 mm", "1 ft 3 in", "", "-3", "3-Aug", "Aug-3", "8x10x12", "=B2"])
def test_what_is_built_like_no_name(text):
    assert size_named(text, Unit.IN) is None


@pytest.mark.parametrize("size", named_sizes(), ids=lambda size: size.name)
def test_every_name_is_found_again_and_no_two_are_one(size):
    assert size_named(size.name, Unit.IN) == size.size
    assert size_named(size.full_name, Unit.MM) == size.size
    assert size.size.width < size.size.height
    assert [other.name for other in named_sizes() if other.size == size.size] == [size.name]
    assert size.source
    assert size.used_for


@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        ("A9", Unit.IN, ("is no size of paper that is known. The nearest is A6; for any other size write width x "
         "height, such as 8x10 in.")),
        ("B6", Unit.MM, ("is no size of paper that is known. The nearest is B5; for any other size write width x "
         "height, such as 8x10 in.")),
        ("8x", Unit.IN, "has only one of width and height. Write both, such as 8x10, or one length alone."),
        ("letter", Unit.IN, ("is neither a length nor a size. "
         "Write a length such as 11 1/4 or 285 mm, or a size such as 8x10 or A4.")),
        ("eleven landscape", Unit.IN, ("is neither a length nor a size. "
         "Write a length such as 11 1/4 or 285 mm, or a size such as 8x10 or A4.")),
    ],
)  # fmt: skip
def test_names_that_no_size_has(text, unit, message):
    with pytest.raises(UnreadableError) as caught:
        size_named(text, unit)
    assert str(caught.value) == message


def test_inside_picture_and_show_by_name(folder):
    job = read_job(
        folder(
            pieces=f"{SIDES}\nfern,11x14,,sage,5x7,,,\nmoss,A3 landscape,,sage,,,a4 landscape,\n"
            "reed,19,17,sage,A4,,7,\n"
        )
    )
    fern, moss, reed = job.pieces
    assert (fern.inside, fern.picture, fern.shown) == (inches(11, 14), inches(5, 7), inches("9/2", "13/2"))
    assert (moss.inside, moss.picture, moss.shown) == ((420 * MM, 297 * MM), None, A4[::-1])
    # Half an inch of overlap in all is taken off the exact 297 mm.
    assert (reed.inside, reed.picture, reed.shown) == (inches(19, 17), A4, (7 * INCH, 297 * MM - INCH // 2))


def test_a_name_in_a_metric_job(folder):
    job = read_job(
        folder(
            bench="name,value\nunit,mm\n", pieces=f"{PIECES},picture width,picture height\nfern,11x14 in,,sage,A5,\n"
        )
    )
    assert job.pieces[0].inside == (parse_length("11 in", Unit.MM), parse_length("14 in", Unit.MM))
    assert job.pieces[0].picture == (148 * MM, 210 * MM)


def test_the_word_for_an_empty_cell_may_stand_beside_a_name(folder):
    assert read_job(folder(pieces=f"{SIDES}\nfern,11,17,sage,A4,nothing,,\n")).pieces[0].picture == A4


@pytest.mark.parametrize("height", ["14", "11x17"])
def test_a_name_and_a_height(folder, height):
    assert faults(folder(pieces=f"{PIECES}\nfern,11x14,{height},sage\n")) == [
        (
            f"pieces, row 2, inside height: {height!r} stands beside '11x14', which is a width and a height already. "
            "Leave this empty, or write a length alone under inside width."
        )
    ]


def test_a_name_under_the_height(folder):
    assert faults(folder(pieces=f"{SIDES}\nfern,11,17,sage,5,A5,,\n")) == [
        (
            "pieces, row 2, picture height: 'A5' is a width and a height, and stands where only a height may. "
            "Write it under picture width and leave picture height empty."
        )
    ]


def test_a_name_that_no_size_has_is_told_with_its_cell(workbook):
    path = workbook(pieces=[PIECES.split(","), ["fern", "A9", None, "sage"]])
    # The empty height beside it is no second mistake.
    assert faults(path) == [
        (
            "pieces, row 2, inside width, cell B2: 'A9' is no size of paper that is known. The nearest is A6; for any "
            "other size write width x height, such as 8x10 in."
        )
    ]


def test_where_only_a_length_may_stand_a_name_is_none(folder):
    assert faults(folder(pieces=f"{PIECES},moulding width\nfern,11,17,sage,A4\n")) == [
        "pieces, row 2, moulding width: 'A4' is not a length. Write it like 11 1/4, 11.25, 1 ft 3 in or 285 mm."
    ]


@pytest.mark.parametrize(
    ("text", "unit", "size"),
    [
        ("16x24", Unit.IN, inches(16, 24)),
        ("32x40", Unit.IN, inches(32, 40)),
        ('16" x 23 1/2"', Unit.IN, inches(16, Fraction(47, 2))),
        ("40 × 50 cm", Unit.IN, (400 * MM, 500 * MM)),
        ("40x50", Unit.CM, (400 * MM, 500 * MM)),
        ("8x10", Unit.CM, (80 * MM, 100 * MM)),
        ("297 by 420", Unit.MM, (297 * MM, 420 * MM)),
    ],
)
def test_any_width_and_height(text, unit, size):
    assert size_named(text, unit) == size


def test_a_size_for_a_sheet_and_for_a_piece_held(folder):
    job = read_job(
        folder(
            pieces="piece,inside width,boards\nfern,16x24,sage\n",
            offers="shop,board,sheet width,sheet height,price\nnook,sage,32x40,,7\n",
            shelf="label,board,width,height\nR1,sage,5x7,\n",
        )
    )
    assert job.pieces[0].inside == inches(16, 24)
    assert job.offers[0].sheet == inches(32, 40)
    assert job.shelf[0].size == inches(5, 7)


def test_a_height_that_is_left_out_wants_a_size_in_every_row(folder):
    assert faults(folder(pieces="piece,inside width,boards\nfern,16x24,sage\nmoss,11,sage\n")) == [
        (
            "pieces, row 1, inside height: is a column that is missing. Add a column with this heading: height inside "
            "the frame's recess, measured from the back."
        )
    ]


@pytest.mark.parametrize("text", ["0x10", "8x0"])
def test_a_size_with_no_width_or_height(folder, text):
    assert faults(folder(pieces=f"{PIECES}\nfern,{text},,sage\n")) == [
        (f"pieces, row 2, inside width: {text!r} must be more than 0. Write a length such as 11 1/4 or 285 mm.")
    ]


@pytest.mark.parametrize(("size", "told"), [("8x10", True), ("13x18", False), ("30x40", False)])
def test_in_centimetres_a_small_size_that_is_common_in_inches_is_told(folder, size, told):
    path = folder(bench="name,value\nunit,cm\n", pieces=f"{PIECES}\nfern,{size},,sage\n")
    assert bool(read_job(path).warnings) == told

"""One picture in one frame, in inches, every figure worked out by hand."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from nesting.geometry import ExactSize, Size
from nesting.model.job import Unit
from nesting.pairing import Fit, Points, Refused, Weights, fit_picture
from nesting.pairing.asked import Frame
from nesting.pairing.fit import board_prices
from tests.builders import make_bench, make_job, make_offer, make_piece

INCH = 16256


def inches(*sides):
    return ExactSize(*(Fraction(side) * INCH for side in sides))


def make_frame(*sides, turn=True, width=None):
    return Frame("oak", 2, 1, inches(*sides), Fraction(0), width, 0, turn, {})


def fern(*shown, **changes):
    """A picture of which so much is to be seen."""
    facts = {"picture": None, "boards": ("sage",)}
    return replace(make_piece("Fern", (1, 1), **facts | changes), shown=inches(*shown))


def make_wall(piece, *offers):
    bench = make_bench(unit=Unit.IN, ruler=1016, lip=Fraction(4064))
    return make_job(piece, bench=bench, offers=offers)


def fitted(piece, frame, *offers, weights=None):
    job = make_wall(piece, *offers)
    return fit_picture(job, piece, frame, board_prices(job), weights or Weights())


def test_points_are_counted_by_hand():
    # Inside 13 x 17, seen 8 x 11: sides 2 1/2, top 3. They differ by 1/2: 2 points. In a frame larger than 11 x 14
    # 3 looks right: short by 1/2, 4 points. A sheet of 23 x 31 costs 7.13, so that 221 of 713 square inches are 2.21,
    # which is 3.1 tenths of the sheet.
    offer = make_offer(1, "nook", "sage", 713, sheet=Size(23 * INCH, 31 * INCH))
    fit = fitted(fern(8, 11), make_frame(13, 17), offer)
    assert isinstance(fit, Fit)
    assert (fit.mats[0].borders.left, fit.mats[0].borders.top) == (5 * INCH // 2, 3 * INCH)
    assert fit.points == Points(even=20, border=40, crop=0, board=31)
    assert fit.points.total == 91
    assert fit.board_cost == 221
    assert fit.crop == fit.trim == ExactSize(Fraction(0), Fraction(0))
    twice = fitted(fern(8, 11), make_frame(13, 17), offer, weights=Weights(even=3, border=0, board=2))
    assert twice.points == Points(even=60, border=0, crop=0, board=62)


def test_the_frame_is_turned_where_that_counts_less_and_it_may_be():
    fit = fitted(fern(8, 11), make_frame(17, 13))
    assert fit.turned
    assert fit.piece.inside == inches(13, 17)
    # Not turned: sides 4 1/2, top 1, which differ by 3 1/2 and are 2 short of the 3 of a larger frame.
    still = fitted(fern(8, 11), make_frame(17, 13, turn=False))
    assert not still.turned
    assert still.points == Points(even=140, border=160, crop=0, board=0)
    assert not fitted(fern(8, 11), make_frame(13, 17)).turned


def test_a_picture_is_cropped_to_the_least_mat_and_no_further():
    # Inside 9 x 13 less 3/4 on each side: 7 1/2 x 11 1/2 of 8 x 11 are seen; a sixteenth of the width goes.
    fit = fitted(fern(8, 11), make_frame(9, 13))
    assert fit.crop == inches(Fraction(1, 2), 0)
    assert fit.piece.shown == inches(Fraction(15, 2), 11)
    assert fit.mats[0].borders.left == 3 * INCH // 4
    assert fit.points.crop == 63  # 6.25 per cent, half up
    # 7 1/2 less 1 1/2: 6 of 8 are seen, a quarter is gone, the most that is allowed.
    assert fitted(fern(8, 11), make_frame(Fraction(15, 2), 13)).crop == inches(2, 0)
    refused = fitted(fern(8, 11), make_frame(Fraction(119, 16), 13, turn=False))
    assert isinstance(refused, Refused)
    assert refused.problem == "is too small"
    assert refused.hidden == Fraction(33, 128)


def test_a_frame_too_small_for_any_mat_is_refused():
    assert fitted(fern(8, 11), make_frame(1, 13, turn=False)) == Refused(
        "leaves no room for a mat round any picture", Fraction(1)
    )


def test_under_mats_bars_and_bottom_extra_take_their_room():
    # 13 x 11 less 3/4 all round: 11 1/2 x 9 1/2. A reveal of 1/4 takes 1/2 of each; a bar of 1 and two windows share
    # the width, (11 1/2 - 1/2 - 1) / 2 = 5; a bottom extra of 1/2 leaves 8 1/2 of the height.
    piece = fern(6, 9, across=2, gap=Fraction(INCH), under_boards=("ivory",), reveal=Fraction(INCH, 4))
    fit = fitted(replace(piece, bottom_extra=Fraction(INCH, 2)), make_frame(13, 11, turn=False))
    assert fit.piece.shown == inches(5, Fraction(17, 2))
    assert fit.mats[0].borders.left == 3 * INCH // 4
    assert fit.mats[0].borders.bottom == 5 * INCH // 4


def test_a_picture_larger_than_the_mat_is_told_by_how_much():
    piece = fern(8, 11, picture=inches(10, 12))
    assert fitted(piece, make_frame(Fraction(19, 2), 13, turn=False)).trim == inches(Fraction(1, 2), 0)


def test_a_rule_of_sizing_that_is_broken_refuses_the_frame():
    piece = fern(8, 11, under_boards=("ivory",), reveal=Fraction(INCH, 4), under_inset=Fraction(9 * INCH))
    refused = fitted(piece, make_frame(13, 17))
    assert isinstance(refused, Refused)
    assert "border of nothing or less" in refused.problem


def test_a_board_costs_its_cheapest_price_by_area_and_a_coupon_is_for_one_sheet():
    small = make_offer(1, "nook", "sage", 300, sheet=Size(11 * INCH, 13 * INCH))
    large = make_offer(2, "quay", "sage", 713, sheet=Size(23 * INCH, 31 * INCH), discount=Decimal(50))
    coupon = make_offer(3, "quay", "sage", 100, sheet=Size(23 * INCH, 31 * INCH), at_most=1)
    job = make_wall(fern(8, 11), small, large, coupon)
    prices = board_prices(job)
    assert prices.area == {"sage": Fraction(357, 23 * 31 * INCH * INCH)}
    assert prices.sheet == 300
    alone = board_prices(make_wall(fern(8, 11), coupon))
    assert alone.area["sage"] == Fraction(100, 23 * 31 * INCH * INCH)
    assert alone.sheet == 100
    assert board_prices(make_wall(fern(8, 11))).sheet is None


def test_every_layer_that_is_priced_counts_in_its_cheapest_board():
    piece = fern(8, 11, boards=("oat", "sage"), under_boards=("ivory",), backing=("grey",))
    one = make_offer(1, "nook", "sage", 713, sheet=Size(23 * INCH, 31 * INCH))
    two = make_offer(2, "nook", "oat", 2139, sheet=Size(23 * INCH, 31 * INCH))
    three = make_offer(3, "nook", "ivory", 1426, sheet=Size(23 * INCH, 31 * INCH))
    assert fitted(piece, make_frame(13, 17), one, two, three).board_cost == 221 + 442
    assert fitted(piece, make_frame(13, 17)).board_cost is None

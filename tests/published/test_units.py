"""Lengths and sums that others have published, or that were worked out apart from this program."""

from fractions import Fraction

import pytest

from nesting.lengths import TICKS_PER_MM, format_length, parse_length, parse_size
from nesting.model.job import Unit
from nesting.money import half_up, parse_money, parse_percent, share

# ISO 216:2007, in mm.
ISO_216 = {
    "A0": (841, 1189),
    "A1": (594, 841),
    "A2": (420, 594),
    "A3": (297, 420),
    "A4": (210, 297),
    "A5": (148, 210),
    "A6": (105, 148),
    "B0": (1000, 1414),
    "B1": (707, 1000),
    "B2": (500, 707),
    "B3": (353, 500),
    "B4": (250, 353),
    "B5": (176, 250),
}


def test_inch():
    # International yard and pound agreement, 1959 (24 FR 5348): 1 in = 25.4 mm exactly.
    assert parse_length("1 in", Unit.MM) == parse_length("25.4 mm", Unit.IN)
    # The same agreement: 1 yd = 0.9144 m exactly.
    assert parse_length("1 yd", Unit.MM) == parse_length("0.9144 m", Unit.IN)


@pytest.mark.parametrize("name", ISO_216)
def test_paper(name):
    width, height = ISO_216[name]
    assert parse_size(f"{width} x {height} mm", Unit.IN) == (width * TICKS_PER_MM, height * TICKS_PER_MM)
    in_cm = f"{width // 10},{width % 10} x {height // 10},{height % 10}"
    assert parse_size(in_cm, Unit.CM) == (width * TICKS_PER_MM, height * TICKS_PER_MM)


def test_sheet_of_32_by_40_inches():
    # Computed apart from this program: 812.8 x 1016.0 mm.
    assert parse_size("32 x 40 in", Unit.MM) == parse_size("812.8 x 1016.0 mm", Unit.IN)
    assert [format_length(int(t), Unit.MM, 64) for t in parse_size("32 x 40 in", Unit.MM)] == ["812.8", "1016"]


def test_rulers_carry_binary_fractions_in_lowest_terms():
    # NIST Handbook 44, 5.52.
    sixteenth = 1016
    printed = [format_length(n * sixteenth, Unit.IN, sixteenth) for n in range(1, 9)]
    assert printed == ["1/16", "1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2"]


def less(price, discount):
    return half_up(parse_money(price) * (100 - Fraction(parse_percent(discount))) / 100)


def test_price_after_a_discount_is_rounded_for_one_sheet():
    # Computed apart from this program: 3 x 12.99 at 40 % off = 3 x 7.79 = 23.37; tax at 8.25 % = 1.93; together 25.30.
    goods = 3 * less("12.99", "40%")
    tax = half_up(goods * Fraction(parse_percent("8.25")) / 100)
    assert (goods, tax, goods + tax) == (2337, 193, 2530)


def test_two_discounts_one_after_the_other():
    # Computed apart from this program: 40 % then 10 % is 46 % off.
    forty, ten = (Fraction(parse_percent(text)) for text in ("40", "10"))
    assert 100 - (100 - forty) * (100 - ten) / 100 == parse_percent("46")


def test_shares_of_a_joint_cost_add_up_to_the_cent():
    # IAS 2 asks for a rational and consistent basis; that the shares add up is arithmetic.
    shares = share(2530, [7 * 11, 13 * 17, 19 * 23])
    assert sum(shares) == 2530

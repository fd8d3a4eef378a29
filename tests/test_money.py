from decimal import Decimal
from fractions import Fraction

import pytest

from nesting.errors import MoneyError
from nesting.money import format_money, half_up, parse_money, parse_percent, plain_money, share

PLAIN = "Write a sum such as 12.50, with or without its currency."
MEANT = "Write 7.49, with or without its currency, if you mean that."
PER_CENT = "Write a number from 0 to 100, such as 50 or 50%."


@pytest.mark.parametrize(
    ("text", "cents"),
    [
        ("7.49", 749),
        ("7.4", 740),
        ("7", 700),
        ("0", 0),
        ("$7.49", 749),
        ("\N{POUND SIGN} 7.49", 749),
        ("\N{EURO SIGN}7,49", 749),
        (" 123456.07 ", 12345607),
        ("14.99 $", 1499),
        ("EUR 6,90", 690),
        ("6.90 eur", 690),
        ("A$ 3.5", 350),
        ("kr. 12", 1200),
        ("Rs. 100", 10000),
        ("1,299.00", 129900),
        ("1.299,00 \N{EURO SIGN}", 129900),
        ("1,234.5", 123450),
        ("1,234,567", 123456700),
        ("1 299,00", 129900),
        ("1'299.50", 129950),
    ],
)
def test_money_is_read_in_cents(text, cents):
    assert parse_money(text) == cents


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", f"is not a sum of money. {PLAIN}"),
        ("free", f"is not a sum of money. {PLAIN}"),
        ("7.49 each", f"is not a sum of money. {MEANT}"),
        ("NaN", f"is not a sum of money. {PLAIN}"),
        ("1e3", f"is not a sum of money. {PLAIN}"),
        (
            "7.495",
            (
                "may mean thousands or decimals. Write 7495 if it means thousands; otherwise write it again"
                " with two decimals, such as 74.95."
            ),
        ),
        (
            "1,234",
            (
                "may mean thousands or decimals. Write 1234 if it means thousands; otherwise write it again"
                " with two decimals, such as 12.34."
            ),
        ),
        ("7.4951", f"has more than two decimals. {PLAIN}"),
        ("1,29,9.00", f"is not a sum of money. {PLAIN}"),
        ("1.299.00", f"is not a sum of money. {PLAIN}"),
        ("50 ¢", f"is not a sum of money. {PLAIN}"),
        ("€ 5 EUR", "is not a sum of money. Write 5, with or without its currency, if you mean that."),
        ("-7.49", f"must be 0 or more. {MEANT}"),
        ("$-7.49", f"must be 0 or more. {MEANT}"),
    ],
)
def test_what_is_no_money_is_a_fault(text, message):
    with pytest.raises(MoneyError) as caught:
        parse_money(text)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("text", "percent"), [("50", "50"), ("50%", "50"), ("8.25 %", "8.25"), ("7,5", "7.5"), ("0", "0"), ("100%", "100")]
)
def test_per_cent(text, percent):
    assert parse_percent(text) == Decimal(percent)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("half", f"is not a percentage. {PER_CENT}"),
        ("-5", f"is not a percentage. {PER_CENT}"),
        ("", f"is not a percentage. {PER_CENT}"),
        ("100.01", f"is more than 100 per cent. {PER_CENT}"),
    ],
)
def test_what_is_no_per_cent_is_a_fault(text, message):
    with pytest.raises(MoneyError) as caught:
        parse_percent(text)
    assert str(caught.value) == message


def test_half_goes_up():
    assert [half_up(Fraction(n, 2)) for n in (-3, -1, 0, 1, 2, 3)] == [-1, 0, 0, 1, 1, 2]
    assert half_up(Fraction(4999, 10000)) == 0


def test_shares_go_to_the_largest_remainders_and_then_to_the_first():
    assert share(100, [1, 1, 1]) == (34, 33, 33)
    assert share(10, [1, 5, 7]) == (1, 4, 5)
    assert share(7, [Fraction(1, 3), 0, Fraction(2, 3)]) == (2, 0, 5)
    assert share(2, [1, 1, 1]) == (1, 1, 0)


@pytest.mark.parametrize("total", [0, 1, 2, 97, 1009])
@pytest.mark.parametrize("weights", [[3], [3, 5, 7], [1, 1, 1, 1, 1, 1], [Fraction(1, 7), 2, 0]])
def test_shares_add_up_and_stray_less_than_a_cent(total, weights):
    shares = share(total, weights)
    assert sum(shares) == total
    assert all(
        abs(cents - total * w / sum(map(Fraction, weights))) < 1 for cents, w in zip(shares, weights, strict=True)
    )


def test_nothing_is_shared_by_nothing():
    assert share(0, []) == ()
    assert share(0, [0, 0]) == (0, 0)


@pytest.mark.parametrize("weights", [[], [0, 0]])
def test_a_total_needs_a_weight(weights):
    with pytest.raises(ValueError, match="there is nothing to share the total by"):
        share(1, weights)


@pytest.mark.parametrize(("total", "weights"), [(-1, [1]), (1, [2, -1])])
def test_no_sharing_below_nothing(total, weights):
    with pytest.raises(ValueError, match="a total and the weights to share it by are 0 or more"):
        share(total, weights)


@pytest.mark.parametrize(
    ("cents", "currency", "text"),
    [
        (2220, "$", "$22.20"),
        (5, "\N{POUND SIGN}", "\N{POUND SIGN}0.05"),
        (2220, "A$", "A$22.20"),
        (2220, "\N{EURO SIGN}", "22.20 \N{EURO SIGN}"),
        (2220, "kr", "22.20 kr"),
        (-2220, "$", "-$22.20"),
        (2220, "", "22.20"),
    ],
)
def test_printing_money(cents, currency, text):
    assert format_money(cents, currency) == text


def test_plain_money_can_be_read_back():
    assert [parse_money(plain_money(cents)) for cents in (0, 7, 70, 2220)] == [0, 7, 70, 2220]
    assert plain_money(-2220) == "-22.20"

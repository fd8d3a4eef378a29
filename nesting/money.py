"""Exact money: whole cents, rounded once, and shares that add up."""

import math
import re
import unicodedata
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from nesting.errors import MoneyError

__all__ = ["DEAREST", "format_money", "half_up", "parse_money", "parse_percent", "plain_money", "share"]

DEAREST = 100_000_000
"""The highest sum of money, in units of the currency."""

_NUMBER = re.compile(r"(?P<whole>[0-9]{1,12})(?:[.,](?P<cents>[0-9]{1,2}))?")
_PERCENT = re.compile(r"(?P<whole>[0-9]{1,3})(?:\.(?P<point>[0-9]{1,12})|,(?P<comma>[0-9]{1,2}))?\s*%?")


def parse_money(text: str) -> int:
    """Return a sum of money in whole cents.

    A plain number with at most two decimals; a currency sign before it is passed over. A comma before one or two last
    digits is a decimal comma; any other comma is a fault, as in a length.

    Raises
    ------
    MoneyError
        If the text is no sum of money, or not for certain one.

    Examples
    --------
    >>> parse_money("$7.4"), parse_money("12")
    (740, 1200)
    """
    plain = text.strip()
    if plain and unicodedata.category(plain[0]) == "Sc":
        plain = plain[1:].lstrip()
    found = _NUMBER.fullmatch(plain)
    if found is None:
        raise _money_fault(plain)
    if int(found["whole"]) >= DEAREST:
        raise MoneyError(f"is not less than {DEAREST}", "Check the number, or count in thousands in every table")
    return int(found["whole"]) * 100 + int((found["cents"] or "").ljust(2, "0"))


def parse_percent(text: str) -> Decimal:
    """Return a per cent from 0 to 100, written with or without its sign.

    Raises
    ------
    MoneyError
        If the text is no number, or the number lies outside 0 to 100.

    Examples
    --------
    >>> parse_percent("50%"), parse_percent("8.25")
    (Decimal('50'), Decimal('8.25'))
    """
    found = _PERCENT.fullmatch(text.strip())
    if found is None:
        raise MoneyError("is not a per cent", "Write a number from 0 to 100, such as 50 or 50%")
    decimals = found["point"] or found["comma"]
    percent = Decimal(f"{found['whole']}.{decimals}" if decimals else found["whole"])
    if percent > 100:
        raise MoneyError("is more than 100 per cent", "Write a number from 0 to 100, such as 50 or 50%")
    return percent


def half_up(amount: Fraction) -> int:
    """Return the whole number nearest to `amount`; halfway goes up.

    Examples
    --------
    >>> half_up(Fraction(1299 * 60, 100))
    779
    """
    return math.floor(amount + Fraction(1, 2))


def share(total: int, weights: Sequence[int | Fraction]) -> tuple[int, ...]:
    """Return `total` shared out by `weights` in whole cents that add up to it, in the order of the weights.

    The method of the largest remainder: each first gets its exact share rounded down, and the cents left over go one
    each to those who lost most by that; among those who lost alike, to the one that stands first.

    Parameters
    ----------
    total : int
        Cents to share, 0 or more.
    weights : sequence of int or Fraction
        What to share by, each 0 or more; not all 0 unless there is nothing to share.

    Returns
    -------
    tuple of int
        Cents, one for each weight.

    Raises
    ------
    ValueError
        If the total or a weight is less than 0, or if there are cents and no weight to share them by.

    Examples
    --------
    >>> share(100, [1, 1, 1])
    (34, 33, 33)
    """
    if total < 0 or any(weight < 0 for weight in weights):
        raise ValueError("a total and the weights to share it by are 0 or more")
    whole = sum(weights, Fraction(0))
    if whole == 0:
        if total:
            raise ValueError("there is nothing to share the total by")
        return (0,) * len(weights)
    exact = [total * weight / whole for weight in weights]
    shares = [math.floor(part) for part in exact]
    losers = sorted(range(len(exact)), key=lambda index: (shares[index] - exact[index], index))
    for index in losers[: total - sum(shares)]:
        shares[index] += 1
    return tuple(shares)


def plain_money(cents: int) -> str:
    """Return a sum of money with two decimals and no sign of its currency.

    Examples
    --------
    >>> plain_money(2220), plain_money(-5)
    ('22.20', '-0.05')
    """
    units, rest = divmod(abs(cents), 100)
    return f"{'-' if cents < 0 else ''}{units}.{rest:02d}"


def format_money(cents: int, currency: str) -> str:
    """Return a sum of money with its currency.

    A currency that ends in a sign (``$``, ``£``, ``A$``) stands before the number; ``€`` and words (``kr``) after it.

    Examples
    --------
    >>> format_money(2220, "$"), format_money(2220, "€"), format_money(-2220, "£")
    ('$22.20', '22.20 €', '-£22.20')
    """
    if currency.endswith("€") or unicodedata.category(currency[-1:] or " ") != "Sc":
        return f"{plain_money(cents)} {currency}".rstrip()
    return f"{'-' if cents < 0 else ''}{currency}{plain_money(abs(cents))}"


def _money_fault(plain: str) -> MoneyError:
    """Say what is wrong with a text that is no plain number."""
    remedy = "Write a plain number with at most two decimals, such as 12.50"
    if plain.startswith(("-", "−")):  # noqa: RUF001 - a spreadsheet may write the true minus sign
        return MoneyError("is less than nothing", remedy)
    if "," in plain:
        return MoneyError("has a comma that is not before one or two last digits", remedy)
    if re.fullmatch(r"[0-9]+\.[0-9]{3,}", plain):
        return MoneyError("has more than two decimals", remedy)
    return MoneyError("is not a sum of money", remedy)

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

_PLAIN = re.compile(r"(?P<whole>[0-9]{1,12})(?:[.,](?P<cents>[0-9]{1,2}))?")
# Thousands set apart, in the ways that leave one reading: by a space or an apostrophe, by one sign twice, or by a comma
# where a full stop comes before the cents, and the other way round.
_APART = re.compile(
    r"(?P<whole>[0-9]{1,3}(?P<sign>[ '])[0-9]{3}(?:(?P=sign)[0-9]{3})*)(?:[.,](?P<cents>[0-9]{1,2}))?"
    r"|(?P<whole2>[0-9]{1,3}(?P<sign2>[.,])[0-9]{3}(?:(?P=sign2)[0-9]{3})+)"
    r"|(?P<whole3>[0-9]{1,3}(?:,[0-9]{3})+)\.(?P<cents3>[0-9]{1,2})"
    r"|(?P<whole4>[0-9]{1,3}(?:\.[0-9]{3})+),(?P<cents4>[0-9]{1,2})"
)
_CODES = frozenset(
    [
        *("aud", "brl", "cad", "chf", "cny", "czk", "dkk", "eur", "gbp", "huf", "ils", "inr", "isk", "jpy", "krw"),
        *("mxn", "nok", "nzd", "pln", "ron", "sek", "sgd", "thb", "try", "twd", "uah", "usd", "zar"),
        *("a", "c", "hk", "nz", "r", "us", "fr", "ft", "kr", "kč", "rs", "zł"),
    ]
)
"""Codes of currencies, and the letters that stand for one or before its sign, as in A$."""
_BEFORE = re.compile("(?:[^0-9+\\-\N{MINUS SIGN}.,]|(?<=[a-zA-Z])[.])*")
_AFTER = re.compile(r"[^0-9]*$")
_MONEY_FORM = "Write a sum such as 12.50, with or without its currency"
_BESIDE_WORDS = re.compile(r"[^0-9.,]*(?P<sum>[0-9]+(?:[.,][0-9]{1,2})?)(?:\s[a-zA-Z ]+)?")
_PERCENT = re.compile(r"(?P<whole>[0-9]{1,3})(?:\.(?P<point>[0-9]{1,12})|,(?P<comma>[0-9]{1,2}))?\s*%?")


def parse_money(text: str) -> int:
    """Return a sum of money in whole cents.

    A number with at most two decimals; a currency sign or code before or after it is passed over. A comma before one
    or two last digits is a decimal comma. Thousands may be set apart where that leaves one reading: `1,299.00` does,
    `1,299` does not.

    Raises
    ------
    MoneyError
        If the text is no sum of money, or not for certain one.

    Examples
    --------
    >>> parse_money("$7.4"), parse_money("12"), parse_money("1.299,00 €")
    (740, 1200, 129900)
    """
    plain = _without_currency(" ".join(text.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split()))
    found = _PLAIN.fullmatch(plain) or _APART.fullmatch(plain)
    if found is None:
        raise _money_fault(plain)
    parts = {name.rstrip("234"): part for name, part in found.groupdict().items() if part is not None}
    whole = int(re.sub("[^0-9]", "", parts["whole"]))
    if whole >= DEAREST:
        raise MoneyError(f"is not less than {DEAREST}", "Check the number, or count in thousands in every table")
    return whole * 100 + int(parts.get("cents", "").ljust(2, "0"))


def _without_currency(plain: str) -> str:
    """Leave out a currency before or after the number; a sign of cents is none, as 50 of them are not 50."""
    start, end = (
        re.search(pattern, plain) for pattern in ("^(?:[^0-9+\\-\N{MINUS SIGN}.,]|(?<=[a-zA-Z])[.])*", r"[^0-9]*$")
    )
    before, after = (part[0] if part else "" for part in (start, end))
    if before == plain or bool(before.strip()) == bool(after.strip()):
        return plain
    word = (before + after).strip().rstrip(".")
    letters = "".join(sign for sign in word if unicodedata.category(sign) != "Sc")
    signs = len(word) - len(letters)
    is_currency = "¢" not in word and signs <= 1 and (not letters or letters.strip().casefold() in _CODES)
    return plain[len(before) : len(plain) - len(after)].strip() if is_currency else plain


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
        raise MoneyError("is not a percentage", "Write a number from 0 to 100, such as 50 or 50%")
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
    scale = math.lcm(*(weight.denominator for weight in weights))  # whole numbers are compared sooner than fractions
    parts = [weight.numerator * (scale // weight.denominator) for weight in weights]
    whole = sum(parts)
    if whole == 0:
        if total:
            raise ValueError("there is nothing to share the total by")
        return (0,) * len(weights)
    shares = [total * part // whole for part in parts]
    losers = sorted(range(len(parts)), key=lambda index: (-(total * parts[index] % whole), index))
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
    """Say what is wrong with a text that is no number of money."""
    if plain.startswith(("-", "−")):  # noqa: RUF001 - a spreadsheet may write the true minus sign
        return MoneyError("must be 0 or more", _like(plain))
    if re.fullmatch(r"[0-9]{1,3}[.,][0-9]{3}", plain):
        whole = f"{plain[:-4]}{plain[-3:]}"
        return MoneyError(
            "may mean thousands or decimals",
            f"Write {whole} if it means thousands; otherwise write it again with two decimals, such as"
            f" {whole[:-2]}.{whole[-2:]}",
        )
    if re.fullmatch(r"[0-9]+[.,][0-9]{3,}", plain):
        return MoneyError("has more than two decimals", _MONEY_FORM)
    return MoneyError("is not a sum of money", _like(plain))


def _like(text: str) -> str:
    """Say how a sum is written: the one in a text, where only a minus sign or words stand beside it."""
    found = _BESIDE_WORDS.fullmatch(text)
    return f"Write {found['sum']}, with or without its currency, if you mean that" if found else _MONEY_FORM

"""Exact lengths: read from what people write, rounded to the ruler, printed as fractions or millimetres."""

import math
import re
import unicodedata
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from nesting.errors import LengthError
from nesting.model.job import Unit

if TYPE_CHECKING:
    import pint

__all__ = [
    "TICKS_PER_INCH",
    "TICKS_PER_MM",
    "format_length",
    "parse_length",
    "parse_size",
    "round_down",
    "round_near",
    "round_up",
]

TICKS_PER_MM = 640
"""A tick is 1/640 mm."""
TICKS_PER_INCH = 16256
"""25.4 mm, exactly."""

_INCH = Fraction(TICKS_PER_INCH)
_FOOT = 12 * _INCH
_MM = Fraction(TICKS_PER_MM)
_CM = 10 * _MM

# The units of nearly every job stand here, so that reading it need not wait for the registry of all units.
_COMMON = {
    **dict.fromkeys(("in", "inch", "inches", '"', "''"), _INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'"), _FOOT),
    "mm": _MM,
    "cm": _CM,
}
_TICKS = {Unit.IN: _INCH, Unit.MM: _MM, Unit.CM: _CM}

_FINEST_INCH = 128
_LONGEST = 100_000 * TICKS_PER_MM
_SMALLEST_UNIT, _LARGEST_UNIT = Fraction(1, 100) * _MM, 10_000 * _MM

_ALIKE = str.maketrans(
    {
        **dict.fromkeys("\N{FRACTION SLASH}\N{DIVISION SLASH}", "/"),
        **dict.fromkeys("\N{DOUBLE PRIME}\N{LEFT DOUBLE QUOTATION MARK}\N{RIGHT DOUBLE QUOTATION MARK}", '"'),
        **dict.fromkeys("\N{PRIME}\N{LEFT SINGLE QUOTATION MARK}\N{RIGHT SINGLE QUOTATION MARK}", "'"),
        **dict.fromkeys("\N{MINUS SIGN}\N{EN DASH}\N{HYPHEN}\N{NON-BREAKING HYPHEN}", "-"),
    }
)
_DIGITS = "[0-9]{1,12}"
_NUMBER = re.compile(
    rf"(?:(?P<whole>{_DIGITS})(?:\s+|\s*-\s*))?(?P<over>{_DIGITS})\s*/\s*(?P<under>{_DIGITS})"
    rf"|(?P<point>[0-9]{{0,12}}\.{_DIGITS}|{_DIGITS})"
    r"|(?P<comma>[0-9]{1,12},[0-9]{1,2})"
)
_TERM = re.compile(r"(?P<number>[0-9.,/\s-]*[0-9])\s*(?P<unit>[^\s0-9.,/-]*)\.?")
_FEET = re.compile(rf"(?P<feet>{_DIGITS})\s*(?:ft\.?|foot|feet|'(?!'))(?:\s*|-)(?P<inches>\.?[0-9].*)", re.IGNORECASE)
_MONTH = "(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_DATE = re.compile(
    rf"[0-9]{{1,4}}(?P<between>[./-])[0-9]{{1,2}}(?P=between)[0-9]{{1,4}}(?: [0-9:.]+)?"
    rf"|[0-9]{{1,4}}-{_MONTH}(?:-[0-9]{{2,4}})?|{_MONTH}-[0-9]{{1,4}}",
    re.IGNORECASE,
)
_BY = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)

_FORMS = "Write it like 11 1/4, 11.25, 1 ft 3 in or 285 mm"


def parse_length(text: str, unit: Unit, *, signed: bool = False) -> Fraction:
    """Return the length that `text` says, in exact ticks.

    A small grammar of our own, because what people write at a bench is read wrongly by general parsers of
    quantities. Whatever could mean two lengths is a fault, never a guess.

    Parameters
    ----------
    text : str
        A whole number, decimal, fraction or mixed number, with or without a unit, or feet and inches.
    unit : Unit
        The unit of a bare number.
    signed : bool
        Whether the length may be less than nothing (an overlap may).

    Returns
    -------
    Fraction
        Ticks of 1/640 mm.

    Raises
    ------
    LengthError
        If the text is no length, or not for certain one.

    Notes
    -----
    A comma before one or two digits is a decimal comma; any other comma is a fault. Unit words other than inches,
    feet, millimetres and centimetres are looked up in `pint`, which is loaded only then.

    Examples
    --------
    >>> parse_length('11 1/4"', Unit.MM) / TICKS_PER_INCH
    Fraction(45, 4)
    >>> parse_length("28,5", Unit.CM) / TICKS_PER_MM
    Fraction(285, 1)
    """
    return _parsed(text, unit, signed)


# In a long table the same lengths stand again and again.
@lru_cache(10_000)
def _parsed(text: str, unit: Unit, signed: bool) -> Fraction:
    plain = _plain(text)
    if _DATE.fullmatch(plain):
        raise LengthError(
            "looks like a date: a spreadsheet turned the fraction into a date",
            "Format the column as Text, then write the length again, such as 8 3/8",
        )
    negative = plain.startswith("-")
    if negative and not signed:
        raise LengthError("must be 0 or more", "Take the minus sign away, or leave the cell empty")
    length = _unsigned(plain[1:].strip() if negative else plain, unit)
    if length > _LONGEST:
        raise LengthError("is longer than 100 m", "Write a length that fits a workshop, and check its unit")
    return -length if negative else length


def parse_size(text: str, unit: Unit) -> tuple[Fraction, Fraction]:
    """Return the two lengths of ``4 x 6 in`` or ``100 by 150 mm`` in exact ticks; one length alone counts for both.

    A unit after the second length alone counts for both.

    Raises
    ------
    LengthError
        If either is no length, or there are more than two.

    Examples
    --------
    >>> parse_size("4 x 6 in", Unit.MM) == (4 * TICKS_PER_INCH, 6 * TICKS_PER_INCH)
    True
    """
    parts = _BY.split(text.strip())
    if len(parts) > 2:
        raise LengthError("has more than two lengths", "Write a width and a height, such as 4 x 6 in")
    first, last = parts[0], parts[-1]
    term = _TERM.fullmatch(_plain(last))
    if term and term["unit"] and _plain(first)[-1:].isdigit():
        first = f"{first} {term['unit']}"
    return parse_length(first, unit), parse_length(last, unit)


def round_down(length: Fraction, ruler: int) -> int:
    """Return the last mark of the ruler not beyond `length`, in ticks."""
    return math.floor(length / ruler) * ruler


def round_up(length: Fraction, ruler: int) -> int:
    """Return the first mark of the ruler not short of `length`, in ticks."""
    return math.ceil(length / ruler) * ruler


def round_near(length: Fraction, ruler: int) -> int:
    """Return the mark of the ruler nearest to `length`, in ticks; halfway goes up."""
    return math.floor(length / ruler + Fraction(1, 2)) * ruler


def format_length(ticks: int, unit: Unit, ruler: int, *, mark: bool = False) -> str:
    """Return a length as it stands on the user's ruler, exactly: ``10 1/2``, or ``266.7`` in a job in millimetres.

    Nothing is rounded here: who wants the nearest mark calls `round_near` first. A length between the marks is
    printed as exactly as one on them, so that what is printed can always be read back.

    Parameters
    ----------
    ticks : int
        The length.
    unit : Unit
        The job's unit.
    ruler : int
        The ruler's graduation in ticks. In a job in inches it says whether the ruler has binary fractions of the inch
        at all: on one that has not, such as a ruler in millimetres, everything is printed in millimetres.
    mark : bool
        Whether the unit follows. It always does where the length is not in the job's own unit: in a job in inches,
        millimetres for what no fraction down to 1/128 in can say.

    Returns
    -------
    str
        A fraction in lowest terms for inches; a decimal, which always ends, for millimetres and centimetres.

    Examples
    --------
    >>> format_length(170688, Unit.IN, 1016), format_length(170688, Unit.CM, 640, mark=True)
    ('10 1/2', '26.67 cm')
    >>> format_length(640000, Unit.IN, 1016)
    '1000 mm'
    """
    if unit is Unit.IN:
        inches = Fraction(ticks, TICKS_PER_INCH)
        if not (_is_binary(inches) and _is_binary(Fraction(ruler, TICKS_PER_INCH))):
            return format_length(ticks, Unit.MM, ruler, mark=True)
        number = _mixed(inches)
    else:
        number = _decimal(ticks / _TICKS[unit])
    return f"{number} {unit}" if mark else number


def _plain(text: str) -> str:
    """Write alike what means the same: spaces, primes, dashes, fractions that are one character."""
    spelt = text if text.isascii() else "".join(_spell_fraction(sign) for sign in text)
    return " ".join(spelt.translate(_ALIKE).split())


def _spell_fraction(sign: str) -> str:
    if sign.isascii() or unicodedata.category(sign) != "No":
        return sign
    spelt = unicodedata.normalize("NFKC", sign)
    return f" {spelt}" if re.fullmatch(r"[0-9]+\N{FRACTION SLASH}[0-9]+", spelt) else sign


def _unsigned(plain: str, unit: Unit) -> Fraction:
    """Ticks of a length without a sign: feet and inches, or one number with or without a unit."""
    both = _FEET.fullmatch(plain)
    if both:
        return int(both["feet"]) * _FOOT + _inches(both["inches"])
    term = _TERM.fullmatch(plain)
    if term is None:
        raise _fault(plain)
    number = _number(term["number"])
    return number * (_unit_ticks(term["unit"]) if term["unit"] else _TICKS[unit])


def _inches(plain: str) -> Fraction:
    """Ticks of what follows the feet."""
    term = _TERM.fullmatch(plain)
    if term is None or _COMMON.get(term["unit"].casefold() or "in") != _INCH:
        raise LengthError("has something other than inches after the feet", "Write it like 1 ft 3 in")
    return _number(term["number"]) * _INCH


def _number(plain: str) -> Fraction:
    """Read a number without a unit, exactly."""
    found = _NUMBER.fullmatch(plain)
    if found is None:
        raise _fault(plain)
    if found["over"] is None:
        return Fraction(found["point"] or found["comma"].replace(",", "."))
    over, under = int(found["over"]), int(found["under"])
    if under == 0:
        raise LengthError("divides by zero", _FORMS)
    if found["whole"] and over >= under:
        raise LengthError("has a fraction of one or more after a whole number", _of_one_or_more(found))
    return int(found["whole"] or 0) + Fraction(over, under)


def _of_one_or_more(found: re.Match[str]) -> str:
    """Say what to write for `1 63/8`, which is rather 16 3/8 with its space in the wrong place."""
    moved, over = found["over"][:-1], found["over"][-1]
    if moved and 0 < int(over) < int(found["under"]):
        return f"Write {found['whole']}{moved} {over}/{found['under']} if the space slipped, or else a smaller fraction"
    return "Write a fraction that is less than one, like 11 1/4"


def _without_comma(plain: str) -> str:
    """Return the ways to write a number whose comma may mean two things."""
    close = plain.replace(" ", "")
    if not re.fullmatch("[0-9]+,[0-9]+", close):
        return "it with a full stop for decimals and nothing between thousands, like 1234.5"
    decimal = close.replace(",", ".")
    is_thousands = re.fullmatch("[1-9][0-9]*,[0-9]{3}", close)
    return decimal if not is_thousands else f"{close.replace(',', '')} if it means thousands, otherwise {decimal}"


def _fault(plain: str) -> LengthError:
    """Say what is wrong with a text that does not follow the grammar."""
    if not plain:
        return LengthError("is empty", _FORMS)
    if "," in plain:
        return LengthError("has a comma that may mean thousands or decimals", f"Write {_without_comma(plain)}")
    if re.search("[0-9][oO]|[oO][0-9]", plain):
        return LengthError("has a letter O among its digits", "Write the digit 0 in its place")
    if any(sign.isdigit() and sign not in "0123456789" for sign in plain):
        return LengthError("has digits other than 0 to 9", _FORMS)
    return LengthError("is not a length", _FORMS)


def _unit_ticks(word: str) -> Fraction:
    """Ticks in one of the unit called `word`."""
    common = _COMMON.get(word.casefold())
    return _looked_up(word) if common is None else common


@cache
def _looked_up(word: str) -> Fraction:
    """Ticks in one of a unit less common, by the registry of all units, which takes a moment to load."""
    if not word.isalpha():
        raise _unknown_unit(word)
    import pint  # noqa: PLC0415 - slow to load and seldom needed

    registry = _registry()
    for spelling in (word, word.casefold()):
        try:
            millimetres = registry.Quantity(Fraction(1), registry.parse_units(spelling)).to("mm").magnitude
        except pint.errors.PintError:
            continue
        ticks = Fraction(millimetres) * TICKS_PER_MM
        # A slip of the finger (11 nm, 11 am) is more likely than a mat measured in nanometres.
        if _SMALLEST_UNIT <= ticks <= _LARGEST_UNIT:
            return ticks
    raise _unknown_unit(word)


@cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    """Load the registry of all units, once."""
    import pint  # noqa: PLC0415 - slow to load and seldom needed

    return pint.UnitRegistry(non_int_type=Fraction)


def _unknown_unit(word: str) -> LengthError:
    return LengthError(
        f"has {word[:40]!r} after the number, which is no unit that boards are measured in",
        "Write in, ft, mm, cm or m after the number, or nothing for the job's own unit",
    )


def _is_binary(inches: Fraction) -> bool:
    """Whether a ruler in inches can have this mark."""
    return _FINEST_INCH % inches.denominator == 0


def _mixed(number: Fraction) -> str:
    """Write a whole number and a fraction in lowest terms, either left out where it is nothing."""
    whole, rest = divmod(abs(number), 1)
    parts = [str(part) for part in (whole, rest) if part] or ["0"]
    return ("-" if number < 0 else "") + " ".join(parts)


def _decimal(number: Fraction) -> str:
    """Write a fraction as a decimal, whose denominator has no factor but 2 and 5."""
    places = next(count for count in range(20) if 10**count % number.denominator == 0)
    if not places:
        return str(number)
    digits = str(abs(number.numerator) * 10**places // number.denominator).rjust(places + 1, "0")
    return f"{'-' if number < 0 else ''}{digits[:-places]}.{digits[-places:]}"

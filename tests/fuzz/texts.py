"""Texts that people, spreadsheets and mischief put into cells, drawn at random from a seeded source."""

import random

__all__ = ["NASTY", "length_text", "nasty_text"]

_DIGITS = (
    "0",
    "1",
    "2",
    "3",
    "5",
    "7",
    "8",
    "11",
    "14",
    "16",
    "32",
    "128",
    "999999999999",
    "0000",
    "\u0663",
    "\uff11",
    "\u00b2",
    "\u00bd",
    "\u215e",
)
_JOINTS = (
    " ",
    "",
    "-",
    "/",
    ".",
    ",",
    "\u2044",
    "\u2215",
    "\N{NO-BREAK SPACE}",
    "\t",
    "\N{MINUS SIGN}",
    "\N{EN DASH}",
    "+",
    "e",
    "E",
    "_",
    ":",
)
_UNITS = (
    "",
    "",
    "",
    "in",
    '"',
    "''",
    "'",
    "ft",
    "mm",
    "cm",
    "m",
    "km",
    "nm",
    "inches",
    "feet",
    "\u2033",
    "\u2032",
    "\u201d",
    "x",
    "yd",
    "pt",
    "%",
    "\u00b0",
    "em",
)
_NEAR = (
    "11 1/4",
    '11-1/4"',
    "11\u00bc in",
    "11.25",
    "1 ft 3 in",
    "285 mm",
    "28,5 cm",
    "1'3\"",
    "4 x 6 in",
    "100 by 150 mm",
    "3/8",
    "-1/8",
)

NASTY = (
    "",
    " ",
    "0",
    "-1",
    "1e308",
    "1e-308",
    "NaN",
    "inf",
    "-inf",
    "1/0",
    "0/0",
    "1,234",
    "1.234,5",
    "1,234.5",
    "\u0663",
    "\uff11\uff11",
    "\u00b2",
    "\u00bd",
    "1\u00bd\u00bd",
    "11 1/4 1/4",
    "11 5/4",
    "2024-03-08",
    "8-Mar",
    "03/08/24",
    "#DIV/0!",
    "#REF!",
    "=1+1",
    "+1",
    "@SUM(A1)",
    "\ttab",
    "TRUE",
    "FALSE",
    "yes",
    "no",
    "None",
    "null",
    "any",
    "or",
    "sage or",
    "or sage",
    "any or sage",
    "a or b or a",
    "999999999999999999999",
    "1" * 400,
    "x" * 5000,
    "\x1b[2J\x1b[31mred",
    "\x9b31m",
    "\N{RIGHT-TO-LEFT OVERRIDE}egas",
    "<script>alert(1)</script>",
    "'; --",
    "../../etc/passwd",
    "C:\\x",
    "\u00e9",
    "\u65e5\u672c",
    "\U0001f5bc",
    "\N{ZERO WIDTH SPACE}",
    "\ufeff11",
    "a\nb",
    "\N{NO-BREAK SPACE}11\N{NO-BREAK SPACE}",
    "$1.50",
    "\u20ac 1,50",
    "1.505",
    "-1.50",
    "150%",
    "0.5",
    "100.0000001",
    "#8fa58c",
    "#zzzzzz",
    "now",
    "later",
    "sheet",
    "in",
    "mm",
    "4 x 6 in",
    "4 x 6 x 8",
    "1 ft 3 in",
    "0.0001 mm",
    "99999 mm",
    "1000 m",
    "\u2028",
    "\r\n",
)


def _broken(rng: random.Random, text: str) -> str:
    """Change a character, leave one out, put one in, or swap two."""
    place = rng.randrange(len(text) + 1)
    match rng.randrange(4):
        case 0:
            return text[:place] + text[place + 1 :]
        case 1:
            return text[:place] + rng.choice(_DIGITS + _JOINTS + _UNITS) + text[place:]
        case 2:
            return text[:place] + chr(rng.choice((rng.randrange(32, 127), rng.randrange(0xD7FF)))) + text[place + 1 :]
        case _:
            return text[place:] + text[:place]


def length_text(rng: random.Random) -> str:
    """Return a text that is a length, nearly one, or made of parts of several."""
    if rng.random() < 0.4:
        text = rng.choice(_NEAR)
        for _ in range(rng.randrange(4)):
            text = _broken(rng, text)
        return text
    parts = []
    for _ in range(rng.randint(1, 4)):
        parts += [rng.choice(_DIGITS), rng.choice(_JOINTS), rng.choice(_UNITS)]
    return "".join(parts)


def nasty_text(rng: random.Random) -> str:
    """Return a text that hardly any column allows."""
    return rng.choice(NASTY) if rng.random() < 0.7 else length_text(rng)

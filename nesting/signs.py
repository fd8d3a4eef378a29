"""Letters that a file can hold."""

import re

__all__ = ["printable", "safe"]

_FORBIDDEN = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

# Codes that steer a terminal, and those that turn the reading order round.
_STEERING = re.compile("[\0-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


def printable(words: str) -> str:
    """Return the words with a sign of its own in place of characters that no page or workbook may hold.

    Examples
    --------
    >>> len(printable("Sea" + chr(0) + "holly")), printable("Sea holly")
    (9, 'Sea holly')
    """
    return _FORBIDDEN.sub("\N{REPLACEMENT CHARACTER}", words)


def safe(words: str) -> str:
    """Return the words with a sign of its own in place of every character that would steer a terminal.

    Line breaks and tabs stay.

    Examples
    --------
    >>> len(safe("Fern" + chr(27) + "[2J")), safe("Fern, red")
    (8, 'Fern, red')
    """
    return _STEERING.sub("\N{REPLACEMENT CHARACTER}", words)

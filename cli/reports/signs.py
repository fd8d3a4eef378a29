"""Letters that a file can hold."""

import re

__all__ = ["printable"]

_FORBIDDEN = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def printable(words: str) -> str:
    """Return the words with a sign of its own in place of characters that no page or workbook may hold.

    Examples
    --------
    >>> len(printable("Sea" + chr(0) + "holly")), printable("Sea holly")
    (9, 'Sea holly')
    """
    return _FORBIDDEN.sub("\N{REPLACEMENT CHARACTER}", words)

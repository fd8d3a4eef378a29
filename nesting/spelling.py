"""When two ways of writing a name mean one thing, and names of the program's own that no user can write.

Names of boards, shops, pieces, groups and labels, and headings, are matched by one form: compatibility composition,
case folding, single spaces. Composition, because one keyboard writes é as one character and another as e and an
accent; compatibility, because full-width letters and the ligatures of a PDF look like the plain ones; what cannot be
seen, such as a soft hyphen copied from a page, tells nothing apart. Accents, digits and signs do. It is how nicknames
are compared on the internet. What is shown is never this form but the name as it was first written.

References
----------
P. Saint-Andre, "Preparation, Enforcement, and Comparison of Internationalized Strings Representing Nicknames",
RFC 8266 (2017), section 2; The Unicode Standard, chapter 3.13, definition D146.
"""

import re
import unicodedata
from collections.abc import Sequence

__all__ = ["WHOLE_JOB", "Spellings", "fold", "in_a_row", "internal", "listed", "listed_few", "without_mark"]

_UNSEEN = re.compile("[\u00ad\u200b-\u200f\u2060\ufe00-\ufe0f\ufeff]")
# No cell may hold this character (`fields` refuses it), so no name that begins with it can be a user's.
_MARK = "\x01"


def in_a_row(names: Sequence[str]) -> str:
    """Write names one after the other, set apart by semicolons where one of them has a comma.

    Examples
    --------
    >>> in_a_row(["Fern", "Teasel"])
    'Fern, Teasel'
    >>> in_a_row(["Dina, tile", "Emil, tile"])
    'Dina, tile; Emil, tile'
    """
    return ("; " if any("," in name for name in names) else ", ").join(names)


def listed(names: Sequence[str]) -> str:
    """Join names as one says them.

    Examples
    --------
    >>> listed(["Fern", "Teasel", "Moss"])
    'Fern, Teasel and Moss'
    >>> listed(["Dina, tile", "Emil, tile", "Finn"])
    'Dina, tile; Emil, tile and Finn'
    """
    several = "; " if any("," in name for name in names) else ", "
    return " and ".join([several.join(names[:-1]), names[-1]] if len(names) > 1 else names)


def listed_few(names: Sequence[str], most: int = 3) -> str:
    """Join names as one says them, of many only the first few.

    Examples
    --------
    >>> listed_few(["Fern", "Teasel", "Moss", "Sedge", "Reed"])
    'Fern, Teasel, Moss and 2 more'
    """
    return listed([*names[:most], *[f"{len(names) - most} more"] * (len(names) > most)])


def fold(name: str) -> str:
    """Return what all spellings of one name have in common.

    Examples
    --------
    >>> fold(" Deep  Sage") == fold("deep sage")
    True
    >>> fold("Cafe\N{COMBINING ACUTE ACCENT}") == fold("CAF\N{LATIN CAPITAL LETTER E WITH ACUTE}")
    True
    """
    if name.isascii():
        return " ".join(name.casefold().split())
    folded = unicodedata.normalize("NFD", _UNSEEN.sub("", name)).casefold()
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", folded).casefold())
    return " ".join(folded.split())


def internal(name: str) -> str:
    """Return a name for what the program adds to a job, which no name that is read can be.

    Parameters
    ----------
    name : str
        What a person would call it; `without_mark` gives it back.

    Returns
    -------
    str
        A name unlike any that a table, a shelf file or the command line can hold.
    """
    return f"{_MARK}{name}"


WHOLE_JOB = internal("the job")
"""What stands in place of a piece where an obstacle is not one piece's."""


def without_mark(name: str) -> str:
    """Return a name as it may be shown: a user's as it is, the program's own as a person would call it."""
    return name.removeprefix(_MARK)


class Spellings:
    """Names as they were first spelt, found again however they are spelt later."""

    def __init__(self) -> None:
        self._first: dict[str, str] = {}

    def spell(self, name: str) -> str:
        """Return `name` as it was first spelt, which is now if it is new."""
        return self._first.setdefault(fold(name), " ".join(name.split()))

    @property
    def all(self) -> tuple[str, ...]:
        """Every name, in the order first spelt."""
        return tuple(self._first.values())

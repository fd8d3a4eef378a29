"""What a request asks, checked to be what the page would ask."""

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request

from nesting.errors import WindowfallError

__all__ = [
    "LONGEST",
    "LONGEST_CELL",
    "MOST_CELLS",
    "NOT_UNDERSTOOD",
    "Asked",
    "AskedWrongError",
    "asked_of",
    "row_of",
    "table_of",
    "text_of",
]

MOST_CELLS = 60_000
"""More cells, or rows, than a table can hold."""
LONGEST = 200
"""How long a name may be."""
LONGEST_CELL = 2_000
"""How long what stands in a cell may be, names that come from one too."""
NOT_UNDERSTOOD = "The desk did not understand this request. Load the page again."
"""What is said to a request that is none of the page's own."""
_TABLES = frozenset({"pieces", "offers", "shops", "boards", "bench", "shelf"})

Asked = Mapping[str, Any]
"""A request as it came, by the names of what it asks."""


class AskedWrongError(WindowfallError):
    """A request that is none of the page's own."""


async def asked_of(request: Request) -> Asked:
    """Return what a request asks.

    Raises
    ------
    AskedWrongError
        If it is no mapping in JSON.
    """
    try:
        asked = await request.json()
    except (ValueError, RecursionError):
        asked = None
    if not isinstance(asked, dict):
        raise AskedWrongError(NOT_UNDERSTOOD)
    return asked


def text_of(asked: Asked, name: str, most: int = LONGEST) -> str:
    """Return a text that is asked with, or refuse what is none or too long."""
    text = asked.get(name)
    if not isinstance(text, str) or len(text) > most:
        raise AskedWrongError(NOT_UNDERSTOOD)
    return text


def table_of(table: Any) -> str:
    """Return the name of a table that the page may change, or refuse it."""
    if table not in _TABLES:
        raise AskedWrongError("There is no such table.")
    return str(table)


def row_of(value: Any) -> int:
    """Return the number of a row, or refuse it."""
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= MOST_CELLS:
        raise AskedWrongError("There is no such row.")
    return value

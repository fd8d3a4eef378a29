"""A plain list of frames that is dropped on the page, as rows of the table pieces."""

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from nesting.model.job import Unit
from nesting.reading.plain_list import read_list

__all__ = ["read_dropped"]


def read_dropped(text: str, unit: Unit) -> Sequence[Mapping[str, str]]:
    """Return the rows of a list, each as cells by the headings of the table pieces.

    Parameters
    ----------
    text : str
        What the file holds.
    unit : Unit
        The unit of its bare numbers.

    Returns
    -------
    sequence of mapping

    Raises
    ------
    JobError
        With every fault of the list.
    """
    with tempfile.TemporaryDirectory(prefix="windowfall-") as folder:
        path = Path(folder) / "list.csv"
        path.write_text(text, encoding="utf-8", newline="")
        return [dict(listed.cells) for listed in read_list(path, unit)]

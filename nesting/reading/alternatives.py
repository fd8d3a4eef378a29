"""The boards that would do for a mat as people write them in one cell: sage or ivory, sage/ivory, sage, ivory."""

import re
from collections.abc import Iterable, Sequence

from nesting.errors import Fault, UnreadableError
from nesting.reading.columns import ANY
from nesting.spelling import Spellings, fold

__all__ = ["BoardNames"]

_OR = r"(?:(?<=\s)|^)or(?=\s|$)"
# Full-width signs too; between two digits a comma or a slash belongs to the name, as in 0,5 mm grey or 50/50 rag.
_SIGN = r"[;\uff1b\u3001]|(?<![0-9])[,/\uff0c\uff0f]|[,/\uff0c\uff0f](?![0-9])"
_BETWEEN = re.compile(f"{_OR}|{_SIGN}", re.IGNORECASE)
_TIGHT = re.compile(" ?([,;/]) ?")

_SUCH = "Write one board, such as 'sage', or several, such as 'sage or ivory'"


class BoardNames(Spellings):
    """The names of a job's boards, and what tells a board's own comma or slash from one that sets two boards apart.

    Parameters
    ----------
    known : iterable of str
        Names that are certainly boards, as offers, the shelf and the table boards have them.
    """

    def __init__(self, known: Iterable[str] = ()) -> None:
        super().__init__()
        self._known: dict[str, str] = {}
        for name in known:
            self._known.setdefault(_tight(name), name)
        self._doubts: dict[str, list[Fault]] = {}

    def listed(self, text: str) -> tuple[str, ...]:
        """Return the names of the boards that a cell lists, the best liked first.

        Parameters
        ----------
        text : str
            The cell. If it is a known name it is that board, and so is the longest part of it that is one; everything
            else is set apart by `or`, a comma, a slash or a semicolon.

        Returns
        -------
        tuple of str
            As they stand, or as the known name stands in its table where they differ in more than case and spaces.

        Raises
        ------
        UnreadableError
            If a board is missing beside what sets boards apart, or `any` is among them.

        Examples
        --------
        >>> BoardNames(["black/white"]).listed("sage, black / white or 0,5 mm grey")
        ('sage', 'black/white', '0,5 mm grey')
        """
        between = list(_BETWEEN.finditer(text))
        starts = [0, *(found.end() for found in between)]
        ends = [*(found.start() for found in between), len(text)]
        names: list[str] = []
        place = 0
        while place < len(starts):
            name, after = self._longest(text, starts, ends, place)
            if not name:
                raise UnreadableError(f"has {_missing(between[max(0, place - 1)][0])}", _complete(text, starts, ends))
            names.append(name)
            place = after
        if ANY in map(fold, names):
            raise UnreadableError(
                "names no board: any stands only in the table offers",
                _SUCH,
            )
        return tuple(names)

    def _longest(self, text: str, starts: list[int], ends: list[int], first: int) -> tuple[str, int]:
        """Return the board that begins with this part, and the number of the part after it."""
        for last in range(len(ends) - 1, first - 1, -1):
            part = " ".join(text[starts[first] : ends[last]].split())
            name = self._known.get(_tight(part))
            if name is not None:
                return part if fold(part) == fold(name) else name, last + 1
        return " ".join(text[starts[first] : ends[first]].split()), first + 1

    def unknown(self, text: str, names: Iterable[str]) -> tuple[str, ...]:
        """Return those of the names listed in a cell that no table knows, if more than the word `or` set them apart."""
        if [fold(name) for name in names] == [fold(part) for part in re.split(_OR, text, flags=re.IGNORECASE)]:
            return ()
        return tuple(name for name in names if _tight(name) not in self._known)

    def doubt(self, cell: Fault) -> None:
        """Note a cell that may be one board."""
        self._doubts.setdefault(fold(cell.given or ""), []).append(cell)

    @property
    def doubts(self) -> tuple[str, ...]:
        """A sentence for each text that may be one board, with its first cell."""
        return tuple(_said(cells) for cells in self._doubts.values())


def _tight(name: str) -> str:
    """Fold a name, spaces beside a comma, slash or semicolon too."""
    return _TIGHT.sub(r"\1", fold(name))


def _said(cells: list[Fault]) -> str:
    more = len(cells) - 1
    return f"{cells[0]} The same stands in {more} more {'cell' if more == 1 else 'cells'}." if more else str(cells[0])


def _complete(text: str, starts: Sequence[int], ends: Sequence[int]) -> str:
    """Say what to write where a board is missing: that one too, or what is there alone."""
    parts = (" ".join(text[start:end].split()) for start, end in zip(starts, ends, strict=True))
    there = " or ".join(filter(None, parts))
    return f"Write the missing board too, or what is there without it: '{there}'" if there else _SUCH


def _missing(between: str) -> str:
    what = "the word 'or'" if between.casefold() == "or" else f"the sign '{between}'"
    return f"{what} with a board missing beside it"

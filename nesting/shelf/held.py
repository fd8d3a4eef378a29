"""The shelf as frozen values, and every way to change it: pure functions from shelf to shelf."""

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from nesting.geometry import Size
from nesting.model.job import ShelfKind, Unit
from nesting.spelling import fold

__all__ = ["Draft", "HeldPiece", "Move", "Shelf", "ShelfChangeError", "label_number", "put_on", "take_off"]

_LABEL = re.compile("R([1-9][0-9]{0,8})", re.IGNORECASE)


class ShelfChangeError(Exception):
    """A change that the shelf does not allow, with the reason; becomes a `ShelfError` once the file is known."""


@dataclass(frozen=True, slots=True)
class HeldPiece:
    """A row of the shelf file: one piece of board, or several alike under one label.

    Parameters
    ----------
    label : str
        What is written on the piece; no two pieces ever have the same.
    board : str
        Its board.
    size : Size
        As it lies, in ticks.
    quantity : int
        How many such pieces, from 1.
    kind : ShelfKind
        A sheet still has its factory edges.
    origin : str
        Where it came from; may be empty.
    put : date or None
        When it was put there.
    used : date or None
        When one of them was last taken.
    notes : str
        As the user wrote them.
    """

    label: str
    board: str
    size: Size
    quantity: int
    kind: ShelfKind
    origin: str
    put: date | None
    used: date | None
    notes: str

    @property
    def area(self) -> int:
        """The area of all its pieces together, in square ticks."""
        return self.quantity * self.size.area

    def idle_days(self, today: date) -> int | None:
        """Return for how many days none was added or taken; None if the file does not say."""
        days = [day for day in (self.put, self.used) if day is not None]
        return (today - max(days)).days if days else None


@dataclass(frozen=True, slots=True)
class Shelf:
    """A shelf file as read.

    Parameters
    ----------
    unit : Unit
        The unit of a bare number in the file.
    change : int
        The number of the change that wrote it; 0 before the first.
    next_number : int
        The number in the next label to be given out.
    pieces : tuple of HeldPiece
        In the order of the file.
    """

    unit: Unit
    change: int
    next_number: int
    pieces: tuple[HeldPiece, ...]

    def find(self, label: str) -> HeldPiece | None:
        """Return the piece with this label; case and extra spaces do not matter."""
        return next((piece for piece in self.pieces if fold(piece.label) == fold(label)), None)

    def labelled(self, label: str) -> HeldPiece:
        """Return the piece with this label; ShelfChangeError, with the nearest label, if there is none."""
        piece = self.find(label)
        if piece is None:
            labels = {fold(piece.label): piece.label for piece in self.pieces}
            near = difflib.get_close_matches(fold(label), labels, n=1)
            hint = f"; the nearest is {labels[near[0]]}" if near else ""
            raise ShelfChangeError(f"nothing on the shelf is labelled {label!r}{hint}")
        return piece


@dataclass(frozen=True, slots=True)
class Draft:
    """A piece to be put on the shelf; without a label it gets the next free one."""

    board: str
    size: Size
    quantity: int
    kind: ShelfKind
    origin: str
    label: str | None = None


@dataclass(frozen=True, slots=True)
class Move:
    """What one change added (`count` above 0) or used (below 0); no label for a sheet that was bought and cut at once.

    `left` is the name that the piece had as a leftover of a plan, where it was one.
    """

    label: str | None
    board: str
    size: Size
    count: int
    left: str | None = None


def label_number(label: str) -> int:
    """Return the number in a label that the program gave, such as R17; 0 for a label of the user's own.

    Examples
    --------
    >>> label_number("r17"), label_number("behind the press")
    (17, 0)
    """
    found = _LABEL.fullmatch(label.strip())
    return int(found[1]) if found else 0


def put_on(
    shelf: Shelf, drafts: Iterable[Draft], today: date, known: frozenset[str] = frozenset()
) -> tuple[Shelf, tuple[HeldPiece, ...]]:
    """Return the shelf with more pieces on it.

    Parameters
    ----------
    shelf : Shelf
        The shelf before.
    drafts : iterable of Draft
        What is put there.
    today : date
        The day.
    known : frozenset of str
        Labels that were ever on a piece, folded; none of them is used again.

    Returns
    -------
    Shelf
        The new pieces last.
    tuple of HeldPiece
        The new pieces, labelled, in the order of the drafts.

    Raises
    ------
    ShelfChangeError
        If a label asked for is or was on another piece.
    """
    taken = {fold(piece.label) for piece in shelf.pieces} | known
    number = max([shelf.next_number, *(label_number(label) + 1 for label in taken)])
    boards = {fold(piece.board): piece.board for piece in shelf.pieces}
    new: list[HeldPiece] = []
    for draft in drafts:
        label = draft.label
        if label is None:
            label, number = f"R{number}", number + 1
        elif fold(label) in taken:
            raise ShelfChangeError(f"the label {label!r} is or was on another piece: choose one that was never used")
        taken.add(fold(label))
        number = max(number, label_number(label) + 1)
        board = boards.setdefault(fold(draft.board), draft.board)
        new.append(HeldPiece(label, board, draft.size, draft.quantity, draft.kind, draft.origin, today, None, ""))
    return replace(shelf, pieces=(*shelf.pieces, *new), next_number=number), tuple(new)


def take_off(shelf: Shelf, label: str, count: int | None, today: date) -> tuple[Shelf, Move]:
    """Return the shelf without some of the pieces under a label, or without all of them where `count` is None.

    Raises
    ------
    ShelfChangeError
        If there is no such label, or there are fewer pieces under it.
    """
    piece = shelf.labelled(label)
    count = piece.quantity if count is None else count
    if count > piece.quantity:
        raise ShelfChangeError(f"{count} of {piece.label} cannot be taken: there {_are(piece.quantity)} on the shelf")
    left = replace(piece, quantity=piece.quantity - count, used=today)
    move = Move(piece.label, piece.board, piece.size, -count)
    return replace(shelf, pieces=_replaced(shelf.pieces, piece, left)), move


def _are(count: int) -> str:
    return f"is {count}" if count == 1 else f"are {count}"


def _replaced(pieces: Sequence[HeldPiece], piece: HeldPiece, left: HeldPiece) -> tuple[HeldPiece, ...]:
    return tuple(left if one is piece else one for one in pieces if one is not piece or left.quantity)

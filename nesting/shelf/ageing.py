"""What the shelf holds of each board, what has been unused for long, and what to throw away first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from nesting.shelf.held import HeldPiece, Shelf
from nesting.spelling import fold

__all__ = ["LONG", "Pile", "piles", "throw_first"]

LONG = 365
"""After this many days unused a piece counts as old."""


@dataclass(frozen=True, slots=True)
class Pile:
    """All that is held of one board, the largest pieces first; areas in square ticks."""

    board: str
    pieces: tuple[HeldPiece, ...]

    @property
    def count(self) -> int:
        """How many pieces there are; several under one label count each."""
        return sum(piece.quantity for piece in self.pieces)

    @property
    def area(self) -> int:
        """The area of all its pieces together."""
        return sum(piece.area for piece in self.pieces)


def piles(shelf: Shelf) -> tuple[Pile, ...]:
    """Return what is held, board by board, in the order of their names."""
    return tuple(_piles(shelf.pieces))


def _piles(pieces: Sequence[HeldPiece]) -> Iterator[Pile]:
    boards = sorted({fold(piece.board): piece.board for piece in reversed(pieces)}.items())
    for key, board in boards:
        own = [piece for piece in pieces if fold(piece.board) == key]
        yield Pile(board, tuple(sorted(own, key=lambda piece: (-piece.size.area, piece.label))))


def throw_first(shelf: Shelf, today: date, idle: int = LONG) -> tuple[HeldPiece, ...]:
    """Return the pieces to throw away first: those that nobody has touched for some days, the smallest first.

    Parameters
    ----------
    shelf : Shelf
        The shelf.
    today : date
        The day.
    idle : int
        Days; a piece that does not say when it was put there is never among them.

    Returns
    -------
    tuple of HeldPiece
        By the shorter side and then the area: a sliver is of less use than a square of its area.
    """
    old = [piece for piece in shelf.pieces if (piece.idle_days(today) or 0) >= idle]
    return tuple(sorted(old, key=lambda piece: (min(piece.size), piece.size.area)))

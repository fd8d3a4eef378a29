"""Pins of a wall: pieces that are to have one board, as the table choices has them."""

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.errors import WindowfallError
from nesting.model.job import Job
from nesting.spelling import fold

__all__ = ["NotPinnedError", "Pin", "pins_of", "with_pin"]


class NotPinnedError(WindowfallError):
    """A piece or a board that is not in the wall, so that nothing can be pinned."""


@dataclass(frozen=True, slots=True)
class Pin:
    """A pin as it is written, its piece and its board in the job's own spelling, and whether the job has both."""

    text: str
    piece: str
    board: str
    is_sound: bool


def pins_of(job: Job) -> tuple[Pin, ...]:
    """Return what is pinned in a job, in the order in which it is written."""
    pieces, boards = _names(job)

    def read(text: str) -> Pin:
        piece, _, board = (part.strip() for part in text.rpartition("="))
        found = pieces.get(fold(piece)), boards.get(fold(board))
        return Pin(text, found[0] or piece or text, found[1] or board, None not in found)

    return tuple(map(read, job.choices.pins))


def with_pin(job: Job, piece: str, board: str | None) -> Sequence[str]:
    """Return the pins of a job with one more, or with that of a piece taken off.

    Raises
    ------
    NotPinnedError
        If the job has no such piece or no such board.
    """
    others = [pin.text for pin in pins_of(job) if fold(pin.piece) != fold(piece)]
    if board is None:
        return others
    pieces, boards = _names(job)
    if fold(piece) not in pieces or fold(board) not in boards:
        raise NotPinnedError(f"This wall has no piece {piece!r}, or no board {board!r}. Load the page again.")
    if "=" in board:
        raise NotPinnedError(f"{board!r} cannot be chosen for a piece, as there is = in its name. Rename the board.")
    return [*others, f"{pieces[fold(piece)]} = {boards[fold(board)]}"]


def _names(job: Job) -> tuple[dict[str, str], dict[str, str]]:
    return {fold(it.name): it.name for it in job.pieces}, {fold(it.name): it.name for it in job.boards}

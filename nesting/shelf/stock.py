"""From the shelf file to the stock of a job."""

from collections.abc import Iterator
from dataclasses import replace

from nesting.errors import Fault, JobError
from nesting.model.job import Job, ShelfKind, ShelfPiece
from nesting.reading.lookalike import lookalike_warnings
from nesting.shelf.held import Shelf
from nesting.spelling import fold

__all__ = ["with_shelf"]


def with_shelf(job: Job, shelf: Shelf) -> Job:
    """Return a job that may also cut what the shelf file holds of the boards that it names.

    Parameters
    ----------
    job : Job
        The job as read.
    shelf : Shelf
        The shelf as read. Whole sheets of which trimming would leave nothing are passed over.

    Returns
    -------
    Job
        Its own shelf table first; the pieces of the file know that they are of the file. Boards of the file that look
        like one of the job's misspelt are among its warnings.

    Raises
    ------
    JobError
        If a label is on a piece of the job's own shelf table and on one of the file.
    """
    own = {fold(piece.label): piece.label for piece in job.shelf}
    clashes = [own[fold(piece.label)] for piece in shelf.pieces if fold(piece.label) in own]
    if clashes:
        problem = "is on a piece of this table and on one of the shelf file"
        remedy = "Take the row out of the table if it is the same piece; otherwise give it another label"
        raise JobError(tuple(Fault("shelf", None, "label", None, label, problem, remedy) for label in clashes))
    boards = {fold(board.name): board.name for board in job.boards}
    held = tuple(
        ShelfPiece(piece.label, boards[fold(piece.board)], piece.size, piece.quantity, piece.kind, in_file=True)
        for piece in shelf.pieces
        if fold(piece.board) in boards and (piece.kind is not ShelfKind.SHEET or min(piece.size) > 2 * job.bench.trim)
    )
    return replace(job, shelf=(*job.shelf, *held), warnings=(*job.warnings, *_lookalikes(job, shelf)))


def _lookalikes(job: Job, shelf: Shelf) -> Iterator[str]:
    """Yield a warning for each board on the shelf that the job does not name but that looks like one of its boards."""
    known = {fold(board.name) for board in job.boards}
    for name in dict.fromkeys(piece.board for piece in shelf.pieces if fold(piece.board) not in known):
        for board in job.boards:
            yield from lookalike_warnings((), (), (), (), (board, replace(board, name=name)))

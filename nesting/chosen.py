"""From what was chosen beside a job to the job and the options that a plan is made of."""

from dataclasses import replace

from nesting.errors import Fault, JobError
from nesting.model.choices import Choices
from nesting.model.job import Job, Piece, When
from nesting.offers import with_discount
from nesting.options import Options, named_shops, parse_left
from nesting.spelling import fold

__all__ = ["chosen_options", "with_choices"]

_TABLE = "choices"


def with_choices(job: Job, choices: Choices) -> Job:
    """Return the job with its chosen discounts and pinned boards, without its own shelf where that is left out.

    Parameters
    ----------
    job : Job
        As read.
    choices : Choices
        Its own, or others.

    Returns
    -------
    Job

    Raises
    ------
    JobError
        If a discount or a pin names what the job does not have.
    """
    for text in choices.discounts:
        job = with_discount(job, text, _TABLE)
    if choices.shelf_table is False:
        job = replace(job, shelf=())
    return _pinned(job, choices.pins)


def chosen_options(job: Job, choices: Choices) -> Options:
    """Return the options that the choices ask for.

    Raises
    ------
    JobError
        If they name a shop or a board that the job does not have.
    """
    return Options(
        when=When.LATER if choices.later else When.NOW,
        use_fallout=choices.fallout,
        shops=named_shops(job, choices.shops, _TABLE),
        left=tuple(parse_left(job, text, _TABLE) for text in choices.left),
        liked_best=choices.liked_best is True,
        budget=choices.budget,
        sheets=choices.sheets,
    )


def _pinned(job: Job, pins: tuple[str, ...]) -> Job:
    boards = {fold(board.name): board.name for board in job.boards}
    names = {fold(piece.name) for piece in job.pieces}
    wanted: dict[str, str] = {}
    for text in pins:
        piece, _, board = text.rpartition("=")
        if fold(piece) not in names or fold(board) not in boards:
            such = f"{job.pieces[0].name} = {job.pieces[0].boards[0]}" if job.pieces else "Fern = moss"
            remedy = f"Take it off, or write a piece and one of the boards of this job, as {such}"
            raise JobError((Fault(_TABLE, None, "pin", None, text, "names no piece and board of this job", remedy),))
        wanted[fold(piece)] = boards[fold(board)]

    def pinned(piece: Piece) -> Piece:
        board = wanted.get(fold(piece.name))
        return piece if board is None else replace(piece, boards=(board,))

    return replace(job, pieces=tuple(map(pinned, job.pieces)))

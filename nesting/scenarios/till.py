"""Everything that is worked out before one stands at the till."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from nesting.errors import CannotBeCutError
from nesting.geometry import ExactSize
from nesting.model.job import Job
from nesting.model.plan import Bought, Plan
from nesting.options import Options
from nesting.plan import Progress
from nesting.scenarios.room_left import Fewer, HowMany, how_many_more, one_sheet_fewer
from nesting.scenarios.session import Session
from nesting.scenarios.shortages import Instead, Shortage, every_piece_liked_best, shortages
from nesting.scenarios.stocking import Extra, extras

__all__ = ["Till", "answers", "at_the_till"]


@dataclass(frozen=True, slots=True)
class Till:
    """The plan that is bought for, and what is worked out beside it.

    Parameters
    ----------
    plan : Plan
        The plan.
    shortages : tuple of Shortage
        What to do where a board is sold out or short.
    liked_best : Instead or CannotBeCutError or None
        What it costs to give every piece the board that it names first; None where all have it.
    more : tuple of HowMany
        How many further blanks fit, by board and inside size.
    fewer : tuple of Fewer
        What to leave out to need one sheet fewer of a board.
    extras : tuple of Extra
        Sheets worth stocking.
    """

    plan: Plan
    shortages: tuple[Shortage, ...]
    liked_best: Instead | CannotBeCutError | None
    more: tuple[HowMany, ...]
    fewer: tuple[Fewer, ...]
    extras: tuple[Extra, ...]


def at_the_till(
    job: Job,
    options: Options,
    insides: Sequence[ExactSize],
    used: Mapping[str, int],
    *,
    seconds: float = 60.0,
    seed: int = 0,
    progress: Callable[[Progress], None] | None = None,
    known: Callable[[Till], None] | None = None,
) -> Till:
    """Plan a job, and work out what may happen at the till.

    Parameters
    ----------
    job : Job
        The job, any discount already in its offers.
    options : Options
        As of `make_plan`.
    insides : sequence of ExactSize
        Of the frames for which further blanks are counted.
    used : Mapping of str to int
        The area of each board that was used in the last year, as `stocking.yearly_use` gives it.
    seconds : float
        The time limit for all together, nearly.
    seed, progress
        As of `make_plan`.
    known : callable, optional
        Told what is known so far, each time an answer is there.

    Returns
    -------
    Till
        Every plan in it checked. Interrupted (Ctrl-C), with the answers so far; the others are errors, or missing.

    Raises
    ------
    JobError
        If a mat cannot be sized.
    CannotBeCutError
        If the job has no plan.
    """
    session = Session(job, options, seconds=seconds, seed=seed, progress=progress)
    first = session.plan(seconds=seconds / 4, step="the plan", refined=True)
    if isinstance(first, CannotBeCutError):
        raise first
    return answers(first, session, insides, used, known)


def answers(
    first: Plan,
    session: Session,
    insides: Sequence[ExactSize],
    used: Mapping[str, int],
    known: Callable[[Till], None] | None = None,
) -> Till:
    """Return what is worked out beside a plan of a session, within the session's time limit.

    Parameters
    ----------
    first : Plan
        The plan that is bought for.
    session : Session
        Of its job.
    insides, used, known
        As of `at_the_till`.

    Returns
    -------
    Till
        As of `at_the_till`.
    """
    cut = {sheet.board for sheet in first.sheets if isinstance(sheet.source, Bought)}
    boards = [board.name for board in first.job.boards if board.name in cut]
    till = Till(first, (), None, (), (), ())

    def also(**found: Any) -> None:
        nonlocal till
        till = replace(till, **found)
        if known is not None:
            known(till)

    for short in shortages(first, session):
        also(shortages=(*till.shortages, short))
    also(liked_best=every_piece_liked_best(first, session))
    for board, inside in product(boards, insides):
        if not session.stopped:
            also(more=(*till.more, how_many_more(first, session, board, inside)))
    for board in boards:
        if (fewer := one_sheet_fewer(first, session, board)) is not None:
            also(fewer=(*till.fewer, fewer))
    also(extras=extras(first, session, used, seconds=session.seconds / 8))
    return till

"""What keeps a job from being planned and can be known before its plan is searched for."""

from dataclasses import dataclass

from nesting.errors import CannotBeCutError, Obstacle
from nesting.model.job import Job, When
from nesting.options import Options
from nesting.plan import hopeless, make_plan
from nesting.sizing import size_pieces
from nesting.to_instance import pose

__all__ = ["Foreseen", "foreseen"]

_SECONDS = 3.0


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What keeps the pieces for now from being planned, and what else keeps those for later from it."""

    now: tuple[Obstacle, ...]
    later: tuple[Obstacle, ...]


def foreseen(job: Job) -> Foreseen:
    """Return what `make_plan` would refuse a job for.

    Boards that nobody sells and mats larger than every sheet are seen at once. Where board is limited, by an offer, by
    the shelf or by the room for sheets, a first plan is looked for, as only that tells whether there is enough.

    Parameters
    ----------
    job : Job
        The job as read.

    Returns
    -------
    Foreseen
        Empty where nothing is known to stand in the way; a plan may still not be found in its time.

    Raises
    ------
    JobError
        If a mat cannot be sized.
    """
    now = hopeless(job, Options())
    if not now and _is_limited(job):
        now = _too_little(job)
    both = hopeless(job, Options(when=When.LATER))
    return Foreseen(now, tuple(obstacle for obstacle in both if obstacle not in now))


def _is_limited(job: Job) -> bool:
    """Whether something could run out: a blank for which no offer without a limit has a sheet that is large enough."""
    instance = pose(job, size_pieces(job, When.NOW))
    endless = [offer for offer in instance.offers if offer.at_most is None]
    return instance.room is not None or not all(
        any(
            instance.fits(lot.size, board, [offer.size])
            for offer in endless
            for board in offer.boards
            if board in lot.boards
        )
        for lot in instance.lots
    )


def _too_little(job: Job) -> tuple[Obstacle, ...]:
    """Look for any plan at all; none is refused here that is not proven to be impossible."""
    try:
        make_plan(job, seconds=_SECONDS, first=True, liked=False, refined=False)
    except CannotBeCutError as refused:
        return refused.obstacles if refused.proven else ()
    return ()

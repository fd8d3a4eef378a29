"""Many plans of one job, each a little different, that share what is learned of the boards and one time limit."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from time import monotonic

from nesting.errors import CannotBeCutError
from nesting.model.job import Job, Piece, ShelfPiece
from nesting.model.plan import Plan
from nesting.options import Options
from nesting.plan import Progress, learning, make_plan

__all__ = ["Asker"]

_LEAST_SECONDS = 0.2


class Asker:
    """Plans a job and what is much like it.

    Parameters
    ----------
    job : Job
        The job.
    options : Options
        As of the plan that everything is compared with.
    seconds : float
        The time limit for all plans together, nearly.
    seed : int
        As of `make_plan`.
    progress : callable, optional
        As of `make_plan`, told what is asked.
    """

    def __init__(
        self,
        job: Job,
        options: Options,
        *,
        seconds: float,
        seed: int = 0,
        progress: Callable[[Progress], None] | None = None,
    ) -> None:
        self.job, self.options = job, options
        self._seed, self._progress = seed, progress
        self._ends = monotonic() + seconds
        self._known = learning(job, options.when)

    def plan(
        self, options: Options, seconds: float, step: str, job: Job | None = None, *, refined: bool = False
    ) -> Plan | CannotBeCutError:
        """Plan the job with other options or fewer pieces, with all that is known."""
        try:
            return make_plan(
                job or self.job,
                options,
                seconds=self._limit(seconds),
                seed=self._seed,
                progress=self._said(step),
                pools=self._known,
                refined=refined,
            )
        except CannotBeCutError as error:
            return error

    def held(
        self, pieces: Sequence[Piece], shelf: tuple[ShelfPiece, ...], seconds: float, step: str
    ) -> Plan | CannotBeCutError:
        """Plan other pieces from what is held, buying nothing; the first plan will do."""
        job = replace(self.job, pieces=tuple(pieces), shelf=shelf)
        try:
            return make_plan(
                job,
                replace(self.options, sheets=0),
                seconds=self._limit(seconds),
                seed=self._seed,
                progress=self._said(step),
                first=True,
            )
        except CannotBeCutError as error:
            return error

    def _limit(self, seconds: float) -> float:
        return max(_LEAST_SECONDS, min(seconds, self._ends - monotonic()))

    def _said(self, step: str) -> Callable[[Progress], None] | None:
        tell = self._progress
        return None if tell is None else lambda progress: tell(replace(progress, step=step))

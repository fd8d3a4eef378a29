"""Many plans of one job, each a little different, that share what is learned of the boards and one time limit."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import inf
from time import monotonic

from nesting.errors import CannotBeCutError, Obstacle
from nesting.model.job import Job, Piece, When
from nesting.model.plan import Plan
from nesting.options import Options
from nesting.packing.pools import Pools
from nesting.plan import Progress, learning, make_plan
from nesting.plan_selection import SelectedPlan, plan_selection
from nesting.spelling import WHOLE_JOB

__all__ = ["LEAST_SECONDS", "NOT_TRIED", "Session", "until_near"]

LEAST_SECONDS = 0.2
"""What every plan gets, also when the time is up: enough for what the pools answer at once."""

NOT_TRIED = Obstacle(WHOLE_JOB, "was not tried, as time was up", "Give it more --seconds")
"""What is in the way of a plan that was never begun."""


_NEAR = 100
"""A plan that may come down by one part in so many at most answers what is asked beside the plan that is bought for."""


def until_near(progress: Progress) -> float:
    """End a search, as `limit` of `make_plan`, once no plan costs more than one per cent less."""
    total = progress.total
    return inf if total is None or _NEAR * (total - progress.lower_bound) > total else progress.seconds


class Session:
    """Plans a job and jobs much like it.

    Parameters
    ----------
    job : Job
        The job.
    options : Options, optional
        Those that most of the plans have, or that everything is compared with.
    seconds : float
        The time limit for all plans together, nearly.
    seed : int
        As of `make_plan`.
    progress : callable, optional
        As of `make_plan`, told which step it is.

    Attributes
    ----------
    stopped : bool
        Whether a search was stopped by hand (Ctrl-C). Nothing more is planned then.
    """

    def __init__(
        self,
        job: Job,
        options: Options | None = None,
        *,
        seconds: float,
        seed: int = 0,
        progress: Callable[[Progress], None] | None = None,
    ) -> None:
        self.job, self.options, self.seconds = job, options or Options(), seconds
        self.stopped = False
        self._seed, self._progress = seed, progress
        self._ends = monotonic() + seconds
        self._pools: dict[When, Pools] = {}

    def left(self) -> float:
        """Return the seconds left; none once a search was stopped by hand."""
        return 0.0 if self.stopped else max(0.0, self._ends - monotonic())

    def renewed(self, seconds: float, progress: Callable[[Progress], None] | None = None) -> "Session":
        """Return a session with a time limit of its own that begins with all that this one has learned."""
        session = Session(self.job, self.options, seconds=seconds, seed=self._seed, progress=progress)
        session._pools = self._pools
        return session

    def has_learned(self, when: When) -> bool:
        """Return whether an earlier plan of now, or of later pieces too, has left anything to begin with."""
        return when in self._pools and self._pools[when].filled

    def plan(
        self,
        options: Options | None = None,
        *,
        seconds: float,
        least: float = LEAST_SECONDS,
        step: str = "",
        job: Job | None = None,
        apart: bool = False,
        first: bool = False,
        liked: bool = True,
        refined: bool = False,
        explained: bool = True,
        limit: Callable[[Progress], float] | None = None,
        ahead: bool = False,
    ) -> Plan | CannotBeCutError:
        """Plan the job or one like it; what is learned of its boards serves the later plans of as many pieces.

        Parameters
        ----------
        options : Options, optional
            In place of the session's.
        seconds, least : float
            The time limit of this plan, less where less is left of the session's, but never less than `least`.
        step : str
            Which plan this is, for `progress`.
        job : Job, optional
            The same with other prices, or fewer pieces or less stock.
        apart : bool
            Whether `job` has pieces or stock that the session's job does not have; then nothing learned is shared.
        first, liked, refined, explained, limit, ahead
            As of `make_plan`.

        Returns
        -------
        Plan or CannotBeCutError
            An error too where the session was stopped before.
        """
        if self.stopped:
            return CannotBeCutError((NOT_TRIED,), proven=False, stopped=True)
        options = options or self.options
        try:
            made = make_plan(
                job or self.job,
                options,
                seconds=max(least, min(seconds, self.left())),
                seed=self._seed,
                progress=self._said(step),
                pools=None if apart else self._learned(options.when),
                first=first,
                liked=liked,
                refined=refined,
                explained=explained,
                limit=limit,
                ahead=ahead,
            )
        except CannotBeCutError as error:
            self.stopped = error.stopped
            return error
        self.stopped = made.stopped
        return made

    def select(
        self,
        options: Options | None = None,
        *,
        seconds: float,
        step: str = "",
        job: Job | None = None,
        apart: bool = False,
        weigh: Callable[[Piece], Sequence[int]] | None = None,
        liked: bool = True,
        refined: bool = True,
    ) -> SelectedPlan | None:
        """Plan the best choice of the copies of a job that limits allow.

        Parameters
        ----------
        options : Options, optional
            With the limits, in place of the session's.
        seconds : float
            The time limit, less where less is left of the session's.
        step, job, apart
            As of `plan`.
        weigh, liked, refined
            As of `plan_selection`.

        Returns
        -------
        SelectedPlan or None
            None where the session was stopped before.
        """
        if self.stopped:
            return None
        options = options or self.options
        made = plan_selection(
            job or self.job,
            options,
            seconds=max(LEAST_SECONDS, min(seconds, self.left())),
            seed=self._seed,
            progress=self._said(step),
            pools=None if apart else self._learned(options.when),
            weigh=weigh,
            liked=liked,
            refined=refined,
        )
        self.stopped = made.plan.stopped
        return made

    def _learned(self, when: When) -> Pools:
        if when not in self._pools:
            self._pools[when] = learning(self.job, when)
        return self._pools[when]

    def _said(self, step: str) -> Callable[[Progress], None] | None:
        tell = self._progress
        return None if tell is None else lambda progress: tell(replace(progress, step=step))

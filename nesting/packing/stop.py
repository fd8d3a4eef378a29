"""When to stop: after a number of seconds or of search rounds, whichever comes first."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from time import monotonic

__all__ = ["Stop"]


@dataclass(slots=True)
class Stop:
    """A time limit in seconds and a limit of search rounds over all boards; None for no limit of rounds.

    With a limit of rounds that is reached before the time, the same seed gives the same plan, while no solver runs into
    a limit of its own by the clock.
    """

    seconds: float
    rounds: int | None = None
    done: int = 0
    began: float = field(default_factory=monotonic)

    def spent(self) -> float:
        """Seconds since the start."""
        return monotonic() - self.began

    def left(self) -> float:
        """Seconds left, 0 or more."""
        return max(0.0, self.seconds - self.spent())

    def allow(self, most: int, pace: int) -> int:
        """Return how many steps may be taken, at most `most`, on a machine that takes `pace` of them in a second."""
        return most if self.rounds is not None else min(most, int(pace * self.left()))

    @contextmanager
    def part(self, share: float) -> Iterator[None]:
        """Within a block, stop after this share of the seconds left; a limit that is lowered in it stays so."""
        seconds, within = self.seconds, self.spent() + share * self.left()
        self.seconds = within
        try:
            yield
        finally:
            if self.seconds == within:
                self.seconds = seconds

    def leave_out(self, seconds: float) -> None:
        """Leave these seconds out of the time spent."""
        self.began += seconds

    def __call__(self) -> bool:
        """Whether it is time to stop."""
        return self.left() <= 0 or (self.rounds is not None and self.done >= self.rounds)

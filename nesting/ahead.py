"""The plan of the best solution so far, made while the search goes on, so that a stop finds it ready."""

from collections.abc import Callable
from time import monotonic

from nesting.model.plan import Plan
from nesting.packing.interrupts import put_off
from nesting.packing.solution import Solution

__all__ = ["Ahead"]

_SHARE = 0.05
"""The share of the time that may be spent on plans that may never be wanted; the first is made in any case."""


class Ahead:
    """Keeps the plan of a solution until there is a better one.

    Parameters
    ----------
    make : callable
        Makes the plan of a solution, and checks it.
    spent : callable
        Returns the seconds of the search so far.
    """

    def __init__(self, make: Callable[[Solution], Plan], spent: Callable[[], float]) -> None:
        self._make, self._spent = make, spent
        self._ready: tuple[Solution, Plan] | None = None
        self._took = self._last = 0.0

    def follow(self, solution: Solution | None) -> None:
        """Make the plan of a solution unless it is ready or there is no time for it; Ctrl-C waits until it is made."""
        if solution is None or self.of(solution) is not None:
            return
        if self._ready is not None and self._took + self._last > _SHARE * self._spent():
            return
        began = monotonic()
        with put_off():
            self._ready = solution, self._make(solution)
            self._last = monotonic() - began
            self._took += self._last

    def of(self, solution: Solution) -> Plan | None:
        """Return the plan of this very solution if it is ready."""
        return self._ready[1] if self._ready is not None and self._ready[0] is solution else None

"""How a solve ended, and what it proved of a count."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Count", "SolveStatus"]


class SolveStatus(StrEnum):
    """What is known of the solution when a solve ends."""

    PROVEN_OPTIMAL = "proven optimal"
    """No solution costs less: its cost equals the lower bound."""
    LIMIT_REACHED = "limit reached"
    """There is a solution, not proven optimal, when time or rounds are up, or the first one was enough."""
    INTERRUPTED = "interrupted"
    """Ctrl-C ended the search; there may be a solution or none yet."""
    NOT_FOUND = "not found"
    """The limit was reached without a solution, and it is not proven that there is none."""
    INFEASIBLE = "infeasible"
    """It is proven that there is no solution."""


@dataclass(frozen=True, slots=True)
class Count:
    """How many copies, or what weight of them, a solution has as an objective wants, and the upper bound of that."""

    count: int
    most: int

    @property
    def proven(self) -> bool:
        """Whether no solution has more."""
        return self.count == self.most

"""What a solve ends with: the solution, what is proven of it, and how the solve ended."""

from dataclasses import dataclass, replace

from nesting.model.status import Count, SolveStatus
from nesting.packing.incumbent import Incumbent
from nesting.packing.solution import Solution

__all__ = ["Result"]


@dataclass(frozen=True, slots=True)
class Result:
    """How the solve ended, the best solution found, None if there is none, and the lower bound of its cost.

    `selection` says for each level of `solve.solve_selection` what is cut. The upper bound of a level holds for
    solutions that have what is cut of the levels before, and the lower bound of the cost for those that have all of it.
    `preference` says how many copies have their first boards, then how many their first or second boards, and so on;
    its bounds hold for solutions that cost no more. Both are empty where nothing was asked. `stopped` says whether the
    solve, or what came after it, was interrupted: nothing more is wanted then, whatever is proven.
    """

    status: SolveStatus
    solution: Solution | None
    bound: int
    selection: tuple[Count, ...] = ()
    preference: tuple[Count, ...] = ()
    stopped: bool = False

    @classmethod
    def of(cls, incumbent: Incumbent, *, interrupted: bool) -> "Result":
        """Return the result of a solve that ended with this incumbent.

        What is proven stays proven, even if the solve was interrupted afterwards.
        """
        solution, bound = incumbent.solution, incumbent.cost_bound
        if incumbent.infeasible:
            status = SolveStatus.INFEASIBLE
        elif solution is not None and solution.cost == bound:
            status = SolveStatus.PROVEN_OPTIMAL
        elif interrupted:
            status = SolveStatus.INTERRUPTED
        elif solution is None:
            status = SolveStatus.NOT_FOUND
        else:
            status = SolveStatus.LIMIT_REACHED
        return cls(status, solution, bound, stopped=interrupted)

    def interrupted(self) -> "Result":
        """Return the result of a solve that was interrupted after this: what is proven stays proven."""
        is_open = self.status is SolveStatus.LIMIT_REACHED
        return replace(self, status=SolveStatus.INTERRUPTED if is_open else self.status, stopped=True)

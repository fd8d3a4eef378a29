"""What is minimised: objectives in lexicographic order, each a whole number of 0 or more.

The cost is one objective. Another is the weight of the soft constraints that are violated: a copy of a piece that is
left out violates one, and so does a piece that does not get the board it likes best. The most important objective is
minimised first. Its value then becomes a limit, and the next objective is minimised.

References
----------
Isermann (1982), OR Spektrum 4: lexicographic objectives solved one after the other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import assert_never

from nesting.packing.instance import Instance

__all__ = ["Cost", "Goal", "LowerBound", "Objective", "SoftConstraint", "Violations", "value"]


@dataclass(frozen=True, slots=True)
class Cost:
    """The cents paid in all."""


@dataclass(frozen=True, slots=True)
class SoftConstraint:
    """Wants a board for each of `lots`; `weight` is what it counts if one of them has none, or one liked less."""

    lots: tuple[int, ...]
    weight: int = 1


@dataclass(frozen=True, slots=True)
class Violations:
    """The weight of the soft constraints that are violated.

    A lot must have one of the first `ranks` boards that its piece names; with None any board will do.
    """

    softs: tuple[SoftConstraint, ...]
    ranks: int | None = None

    @property
    def total(self) -> int:
        """The weight of all soft constraints."""
        return sum(soft.weight for soft in self.softs)

    def boards(self, instance: Instance, lot: int) -> tuple[int, ...]:
        """Return the boards of a lot by which it violates nothing."""
        its = instance.lots[lot]
        return its.boards if self.ranks is None else tuple(b for b in its.boards if its.rank(b) < self.ranks)


Objective = Cost | Violations
"""What can be minimised."""


@dataclass(frozen=True, slots=True)
class Goal:
    """The objective that is minimised now, and the limits that earlier objectives set: each is at most its number."""

    objective: Objective
    limits: tuple[tuple[Objective, int], ...] = ()

    def value(self, instance: Instance, boards: Sequence[int | None], cost: int) -> int:
        """Return the value of the objective if the lots have these boards (None: left out) at this cost."""
        return value(instance, self.objective, boards, cost)


@dataclass(frozen=True, slots=True)
class LowerBound:
    """A value of an objective that no solution is below which keeps the limits under which it was proven."""

    value: int = 0
    limits: tuple[tuple[Objective, int], ...] = ()

    def under(self, limits: Sequence[tuple[Objective, int]]) -> int:
        """Return what is proven under other limits: the same if each old one still holds, else nothing."""
        allowed = dict(limits)
        holds = all(its in allowed and allowed[its] <= most for its, most in self.limits)
        return self.value if holds else 0


def value(instance: Instance, objective: Objective, boards: Sequence[int | None], cost: int) -> int:
    """Return the value of an objective if the lots have these boards (None: left out) at this cost."""
    match objective:
        case Cost():
            return cost
        case Violations(softs):
            return sum(
                soft.weight
                for soft in softs
                if any(boards[lot] not in objective.boards(instance, lot) for lot in soft.lots)
            )
    assert_never(objective)

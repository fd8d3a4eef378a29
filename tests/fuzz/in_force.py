"""What the log of a shelf says is in force: bookings, reservations, and the labels of what plans leave."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from nesting.identity import Identity
from tests.fuzz.books import Cutting
from tests.fuzz.colliding import plain

__all__ = ["InForce"]

_AGAIN = " again for "

Told = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class InForce:
    """The changes that led to a shelf file as lines of its log, the first of them first; `undone` are taken back."""

    chain: tuple[Told, ...]
    undone: frozenset[int]

    @classmethod
    def of(cls, chain: Sequence[Told]) -> "InForce":
        """Return what the changes that led to a file left in force."""
        return cls(tuple(chain), frozenset(one["undoes"] for one in chain if one["undoes"] is not None))

    def changes(self) -> Iterator[Told]:
        """Yield the changes that nothing has taken back."""
        for one in self.chain:
            if one["undoes"] is None and one["number"] not in self.undone:
                yield one

    def cuttings(self, names: Identity) -> list[Cutting]:
        """Return what is booked of a plan, each time that it was cut, by the ids of its sheets and mats."""
        times: dict[int, list[Told]] = {}
        for one in self.changes():
            if one["plan"] == names.plan:
                times.setdefault(one["time"], []).append(one)
        ids = {key: unit for unit, key in names.keys.items()}
        return [Cutting.of(changes, ids) for _, changes in sorted(times.items())]

    def labels(self) -> dict[str, str]:
        """Return the folded label that each leftover of a plan got, by its name there; the latest of several."""
        moves = (move for one in self.changes() for move in one["moves"] if move["left"] and move["count"] > 0)
        return {move["left"]: plain(move["label"]) for move in moves}

    def kept(self) -> dict[str, Counter[str]]:
        """Return for each plan that has a reservation how many pieces are kept for it, by folded label."""
        takes: dict[str, list[Sequence[str]]] = {}
        for one in self.chain:
            if one["undoes"] is None and one["number"] in self.undone:
                continue
            for plan in one["dropped"]:
                takes.pop(plan, None)
            if one["reserved"]:
                takes[one["reserved"]["plan"]] = one["reserved"]["takes"]
            plan = one["plan"]
            if plan in takes:
                takes[plan] = [take for take in takes[plan] if take[0] not in one["booked"]]
        labels = self.labels()
        return {plan: Counter(labels.get(name, plain(name)) for _, name in of) for plan, of in takes.items()}

    def kept_but(self, plan: str | None) -> Counter[str]:
        """Return how many pieces are kept for all plans but one, by folded label."""
        return sum((of for one, of in self.kept().items() if one != plan), Counter[str]())

    def good(self) -> Counter[str]:
        """Return how many good ones of each sheet and mat are booked, by key: a spoiled or lost one is none."""
        found = Counter[str]()
        for one in self.changes():
            for unit in one["booked"]:
                key, *spoiled = unit.split(_AGAIN)
                found[key] += -1 if spoiled else 1
        return found

"""Which copies of which pieces are cut where not all can be: of the most wanted as many as can be, and so on.

Where there are few choices they are tried in order, the best first, so that the first that can be cut is the best there
is. What cannot be cut is cut down to a least part of it that cannot, and no choice with that part in it is tried again.
Where there are many the solver chooses (`plan_selection`), and what it leaves open is tried piece by piece.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, product

from nesting.errors import CannotBeCutError, Obstacle
from nesting.model.job import Piece
from nesting.model.plan import Plan

__all__ = ["Selection", "Trial", "add_in_turn", "select_exactly"]

MOST_CHOICES = 1024
"""So many choices of copies are tried exactly; ten copies make as many."""

Trial = Callable[[Mapping[str, int]], Plan | CannotBeCutError]
"""Plans so many copies of each piece, or says why not."""


@dataclass(slots=True)
class Selection:
    """How many copies of each piece are cut and a plan of them.

    `refused` has the pieces of which one copy more is proven not to go in, each with what was found in its way.
    """

    counts: Counter[str]
    plan: Plan
    refused: dict[str, tuple[Obstacle, ...]] = field(default_factory=dict)


def select_exactly(
    pieces: Sequence[Piece], area: Mapping[str, int], nothing: Plan, trial: Trial, *, costly: bool
) -> Selection | None:
    """Return the best choice there is, by trying every one; None where they are too many, or one was left undecided.

    Parameters
    ----------
    pieces : sequence of Piece
        What may be cut.
    area : Mapping of str to int
        The board that one copy takes, by piece: among choices that are equal otherwise the smaller comes first, then
        the one with more copies of earlier pieces.
    nothing : Plan
        The plan of none of them.
    trial : callable
        Decides a choice. Whatever can be cut can also be cut without some of its copies.
    costly : bool
        Whether choices may differ in cost; then the cheapest of those with the same count at each priority is taken.

    Returns
    -------
    Selection or None
    """
    size = 1
    for piece in pieces:
        size *= piece.quantity + 1
    if size > MOST_CHOICES:
        return None
    deciding = _Deciding(trial)
    for _, equals in groupby(_best_first(pieces, area), key=lambda choice: _wanted(pieces, choice)):
        found: list[tuple[tuple[int, ...], Plan]] = []
        for choice in equals:
            plan = deciding.decide(pieces, choice)
            if deciding.undecided:
                return None
            if plan is not None:
                found.append((choice, plan))
                if not costly:
                    break
        if found:
            choice, plan = min(found, key=lambda one: one[1].purchase.total)
            return Selection(_counts(pieces, choice), plan, {piece.name: () for piece in pieces})
    return Selection(Counter(), nothing, {piece.name: () for piece in pieces})


def _wanted(pieces: Sequence[Piece], choice: Sequence[int]) -> tuple[int, ...]:
    """Return less than nothing for how many copies there are at each priority, those without one last."""
    counts: Counter[float] = Counter()
    for piece, count in zip(pieces, choice, strict=True):
        counts[_priority(piece)] -= count
    return tuple(counts[priority] for priority in sorted({_priority(piece) for piece in pieces}))


def _priority(piece: Piece) -> float:
    return float("inf") if piece.priority is None else piece.priority


def _best_first(pieces: Sequence[Piece], area: Mapping[str, int]) -> list[tuple[int, ...]]:
    """List every choice of copies but that of none, in the order in which they are liked."""
    choices = product(*(range(piece.quantity + 1) for piece in pieces))

    def rank(choice: tuple[int, ...]) -> tuple[tuple[int, ...], int, tuple[int, ...]]:
        taken = sum(area[piece.name] * count for piece, count in zip(pieces, choice, strict=True))
        return _wanted(pieces, choice), taken, tuple(-count for count in choice)

    return sorted((choice for choice in choices if any(choice)), key=rank)


class _Deciding:
    """Decides choices, the parts that cannot be cut and those that can remembered."""

    def __init__(self, trial: Trial) -> None:
        self._trial = trial
        self._vain: list[tuple[int, ...]] = []
        self._cut: list[tuple[int, ...]] = []
        self.undecided = False

    def decide(self, pieces: Sequence[Piece], choice: tuple[int, ...]) -> Plan | None:
        """Return a plan of a choice; None where there is none, or that could not be decided."""
        if any(_within(vain, choice) for vain in self._vain):
            return None
        plan = self._try(pieces, choice)
        if plan is None and not self.undecided:
            self._vain.append(self._least(pieces, choice))
        return plan

    def _least(self, pieces: Sequence[Piece], choice: tuple[int, ...]) -> tuple[int, ...]:
        """Return a part of a choice that cannot be cut, all of whose own parts can be, as far as that is decided."""
        for place in range(len(choice)):
            while choice[place]:
                fewer = (*choice[:place], choice[place] - 1, *choice[place + 1 :])
                if any(_within(fewer, cut) for cut in self._cut):
                    break
                if not any(_within(vain, fewer) for vain in self._vain):
                    plan = self._try(pieces, fewer)
                    if plan is not None or self.undecided:
                        self.undecided = False
                        break
                choice = fewer
        return choice

    def _try(self, pieces: Sequence[Piece], choice: tuple[int, ...]) -> Plan | None:
        tried = self._trial(_counts(pieces, choice))
        if isinstance(tried, Plan):
            self._cut.append(choice)
            return tried
        self.undecided = not tried.proven
        return None


def _within(part: Sequence[int], whole: Sequence[int]) -> bool:
    return all(a <= b for a, b in zip(part, whole, strict=True))


def _counts(pieces: Sequence[Piece], choice: Sequence[int]) -> Counter[str]:
    return Counter({piece.name: count for piece, count in zip(pieces, choice, strict=True) if count})


def add_in_turn(selection: Selection, pieces: Sequence[Piece], trial: Trial, more: Callable[[], bool]) -> None:
    """Add as many copies of each piece in turn as can be cut beside the others; what is refused for good is noted.

    Parameters
    ----------
    selection : Selection
        Changed in place.
    pieces, trial
        In the order in which they are wanted, and what decides a choice or gives up.
    more : callable
        Whether there is time for another trial.
    """
    for piece in pieces:
        if piece.name not in selection.refused:
            _add(selection, piece, trial, more)


def _add(selection: Selection, piece: Piece, trial: Trial, more: Callable[[], bool]) -> None:
    """Add as many copies of a piece as can be cut beside the others: all, or by halving what is in doubt."""
    fits, fails, refusal = selection.counts[piece.name], piece.quantity + 1, None
    count = piece.quantity
    while fails - fits > 1 and more():
        tried = trial(selection.counts | Counter({piece.name: count}))
        if isinstance(tried, Plan):
            fits = count
            selection.counts[piece.name], selection.plan = count, tried
        else:
            fails, refusal = count, tried
        count = (fits + fails) // 2
    if fails - fits == 1 and refusal is not None and refusal.proven:
        selection.refused[piece.name] = refusal.obstacles

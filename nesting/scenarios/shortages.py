"""A board sold out, or too little of it left: what to buy instead, which pieces change board, what it costs more."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from nesting.errors import CannotBeCutError
from nesting.geometry import Size
from nesting.model.plan import Plan
from nesting.options import Left
from nesting.scenarios.session import Session

__all__ = ["Instead", "Shortage", "every_piece_liked_best", "exchanged", "shortages"]

_SECONDS = 3.0


@dataclass(frozen=True, slots=True)
class Instead:
    """A plan in place of the first: what it buys more and less by shop, board and sheet, and which pieces change board.

    `changed` gives a piece, its new board and the layer it is for; none where the same sheets are bought elsewhere, for
    then all can be cut as before.
    """

    plan: Plan
    more: int
    buys: tuple[tuple[int, str, str, Size], ...]
    leaves: tuple[tuple[int, str, str, Size], ...]
    changed: tuple[tuple[str, str, int], ...]


@dataclass(frozen=True, slots=True)
class Shortage:
    """What is short, and what to do then; an error where there is no plan without it."""

    left: Left
    answer: Instead | CannotBeCutError


def shortages(first: Plan, session: Session) -> Iterator[Shortage]:
    """Yield for each board that is bought at a shop what to do if it is sold out there, or if one sheet is too few.

    Parameters
    ----------
    first : Plan
        The plan that is bought for.
    session : Session
        Plans its job.

    Yields
    ------
    Shortage
        In the order of the shopping list.
    """
    counts: Counter[tuple[str, str]] = Counter()
    for line in first.purchase.lines:
        counts[line.shop, line.board] += line.count
    for (shop, board), count in counts.items():
        for left in dict.fromkeys((0, count - 1)):
            short = Left(shop, board, left)
            options = replace(session.options, left=(*session.options.left, short))
            found = session.plan(options, seconds=_SECONDS, step=f"if {board} is short")
            yield Shortage(short, found if isinstance(found, CannotBeCutError) else _instead(first, found))


def every_piece_liked_best(first: Plan, session: Session) -> Instead | CannotBeCutError | None:
    """Return the plan in which every piece gets the board that it names first; None where all have it already."""
    if first.summary.first_choice == len(first.pieces):
        return None
    options = replace(session.options, liked_best=True)
    found = session.plan(options, seconds=_SECONDS, step="with the boards liked best")
    return found if isinstance(found, CannotBeCutError) else _instead(first, found)


def exchanged(
    first: Plan, other: Plan
) -> tuple[tuple[tuple[int, str, str, Size], ...], tuple[tuple[int, str, str, Size], ...]]:
    """Return what a plan buys more and what it buys less than the first: how many, shop, board and sheet."""
    before, after = _bought(first), _bought(other)
    return _listed(after - before), _listed(before - after)


def _instead(first: Plan, other: Plan) -> Instead:
    changed = () if _by_sheet(_bought(first)) == _by_sheet(_bought(other)) else _changed(first, other)
    more = other.purchase.total - first.purchase.total
    return Instead(other, more, *exchanged(first, other), changed)


def _changed(first: Plan, other: Plan) -> tuple[tuple[str, str, int], ...]:
    boards = {placed.mat.id: placed.board for placed in first.mats}
    changed = (placed for placed in other.mats if boards[placed.mat.id] != placed.board)
    return tuple(dict.fromkeys((placed.mat.piece, placed.board, placed.mat.layer) for placed in changed))


def _by_sheet(bought: Counter[tuple[str, str, Size]]) -> Counter[tuple[str, Size]]:
    counts: Counter[tuple[str, Size]] = Counter()
    for (_, board, sheet), count in bought.items():
        counts[board, sheet] += count
    return counts


def _bought(plan: Plan) -> Counter[tuple[str, str, Size]]:
    counts: Counter[tuple[str, str, Size]] = Counter()
    for line in plan.purchase.lines:
        counts[line.shop, line.board, line.sheet] += line.count
    return counts


def _listed(counts: Counter[tuple[str, str, Size]]) -> tuple[tuple[int, str, str, Size], ...]:
    return tuple((count, *what) for what, count in counts.items())

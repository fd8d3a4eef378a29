"""A board sold out, or too little of it left: what to buy instead, which pieces change board, what it costs more."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from nesting.errors import CannotBeCutError
from nesting.geometry import Size
from nesting.model.plan import Plan
from nesting.options import Left, Options
from nesting.scenarios.session import Session, until_near

__all__ = ["Instead", "Shortage", "every_piece_liked_best", "exchanged", "left_out", "shortages"]

_SECONDS = 2.0
_CHOOSING = 6.0


@dataclass(frozen=True, slots=True)
class Instead:
    """A plan in place of the first: what it buys more and less by shop, board and sheet, and which pieces change board.

    `changed` gives a piece, its new board and the layer it is for; none where the same sheets are bought elsewhere, for
    then all can be cut as before. `without` names the pieces that cannot be cut then, with how many copies, and
    `fewest` says that no choice leaves out fewer.
    """

    plan: Plan
    more: int
    buys: tuple[tuple[int, str, str, Size], ...]
    leaves: tuple[tuple[int, str, str, Size], ...]
    changed: tuple[tuple[str, str, int], ...]
    without: tuple[tuple[str, int], ...] = ()
    fewest: bool = True


@dataclass(frozen=True, slots=True)
class Shortage:
    """What is short, and what to do then; None where that was not worked out, as the search was stopped."""

    left: Left
    answer: Instead | None


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
            yield Shortage(short, _answer(first, session, options, f"if {board} is short"))


def _answer(first: Plan, session: Session, options: Options, step: str) -> Instead | None:
    """Plan everything, or where that cannot be, the best choice of pieces."""
    found = session.plan(options, seconds=_SECONDS, step=step, explained=False, limit=until_near)
    if isinstance(found, Plan):
        return _instead(first, found)
    selected = session.select(options, seconds=_CHOOSING, step=step, refined=False)
    return None if selected is None else replace(_instead(first, selected.plan), fewest=selected.proven)


def every_piece_liked_best(first: Plan, session: Session) -> Instead | CannotBeCutError | None:
    """Return the plan in which every piece gets the board that it names first; None where all have it already."""
    if first.summary.first_choice == len(first.pieces):
        return None
    options = replace(session.options, liked_best=True)
    found = session.plan(options, seconds=_SECONDS, step="with the boards liked best", limit=until_near)
    return found if isinstance(found, CannotBeCutError) else _instead(first, found)


def exchanged(
    first: Plan, other: Plan
) -> tuple[tuple[tuple[int, str, str, Size], ...], tuple[tuple[int, str, str, Size], ...]]:
    """Return what a plan buys more and what it buys less than the first: how many, shop, board and sheet."""
    before, after = _bought(first), _bought(other)
    return _listed(after - before), _listed(before - after)


def _instead(first: Plan, other: Plan) -> Instead:
    without = left_out(first, other)
    same = not without and _by_sheet(_bought(first)) == _by_sheet(_bought(other))
    more = other.purchase.total - first.purchase.total
    return Instead(other, more, *exchanged(first, other), () if same else _changed(first, other), without)


def left_out(first: Plan, other: Plan) -> tuple[tuple[str, int], ...]:
    """Return the pieces of which a plan cuts fewer copies than the first, each with how many fewer."""
    fewer = Counter(cost.piece for cost in first.pieces)
    fewer.subtract(cost.piece for cost in other.pieces)
    return tuple((piece, count) for piece, count in fewer.items() if count > 0)


def _changed(first: Plan, other: Plan) -> tuple[tuple[str, str, int], ...]:
    boards = {(placed.mat.piece, placed.mat.copy, placed.mat.layer): placed.board for placed in first.mats}
    mats = ((placed.mat, placed.board) for placed in other.mats)
    changed = ((mat, board) for mat, board in mats if boards[mat.piece, mat.copy, mat.layer] != board)
    return tuple(dict.fromkeys((mat.piece, board, mat.layer) for mat, board in changed))


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

"""Of the cuttings that cost least, one with more pieces in the boards that they like best."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from nesting.packing.instance import Instance
from nesting.packing.master import MasterProblem, MasterSolution
from nesting.packing.pricing import ValidInequality
from nesting.packing.solution import Sheet, Solution

__all__ = ["improve_preference", "pieces_pleased"]

TRIES = 6
"""How many baskets are tried."""

Cut = Callable[[MasterSolution], tuple[list[Sheet] | None, int | None]]


def pieces_pleased(instance: Instance, boards: Sequence[int]) -> int:
    """Return how many pieces have the boards that they like best in every layer, where the lots have these boards."""
    return sum(
        len(instance.lots[numbers[0]].items)
        for numbers in _pieces(instance)
        if all(boards[number] == instance.lots[number].boards[0] for number in numbers)
    )


def _pieces(instance: Instance) -> list[list[int]]:
    """List the lots of each piece."""
    found: dict[object, list[int]] = defaultdict(list)
    for number, lot in enumerate(instance.lots):
        found[("alone", number) if lot.piece is None else lot.piece].append(number)
    return list(found.values())


def improve_preference(
    instance: Instance, inequalities: Iterable[ValidInequality], best: Solution, cut: Cut, stop: Callable[[], bool]
) -> Solution:
    """Return a cutting that costs no more and has as many pieces as can be found in the boards that they like best.

    Parameters
    ----------
    instance : Instance
        The problem.
    inequalities : iterable of ValidInequality
        What is proven of its boards.
    best : Solution
        A cutting of it.
    cut : callable
        Cuts everything from a basket: returns the sheets, or None and the board whose sheets did not do.
    stop : callable
        Whether time is up.

    Returns
    -------
    Solution
        `best` itself where none was found.

    Notes
    -----
    A heuristic: the basket that pleases most by the valid inequalities is tried first, then others, `TRIES` in all.
    """
    if all(len(lot.boards) == 1 for lot in instance.lots):
        return best
    model = MasterProblem(instance)
    for inequality in inequalities:
        model.add_inequality(inequality)
    model.maximise_preference(best.cost, _pieces(instance))
    for _ in range(TRIES):
        answer = model.solve(1.0, 0.2)
        if (
            stop()
            or answer.cost is None
            or pieces_pleased(instance, answer.boards) <= pieces_pleased(instance, best.boards)
        ):
            break
        sheets, failed = cut(answer)
        if sheets is not None:
            return Solution(answer.boards, tuple(sheets), answer.counts, answer.cost)
        if failed is None:
            break
        model.add_no_good(answer.no_good(failed))
    return best

"""Of the cuttings that cost least, one with more pieces in the boards that they like best."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from nesting.packing.instance import Instance
from nesting.packing.master import Answer, Basket
from nesting.packing.pricing import Bound
from nesting.packing.solution import Cutting, Sheet

__all__ = ["like_best", "liked"]

TRIES = 6
"""How many baskets are tried."""

Cut = Callable[[Answer], tuple[list[Sheet] | None, int | None]]


def liked(instance: Instance, boards: Sequence[int]) -> int:
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


def like_best(instance: Instance, rules: Iterable[Bound], best: Cutting, cut: Cut, stop: Callable[[], bool]) -> Cutting:
    """Return a cutting that costs no more and has as many pieces as can be found in the boards that they like best.

    Parameters
    ----------
    instance : Instance
        The problem.
    rules : iterable of Bound
        What is proven of its boards.
    best : Cutting
        A cutting of it.
    cut : callable
        Cuts everything from a basket: returns the sheets, or None and the board whose sheets did not do.
    stop : callable
        Whether time is up.

    Returns
    -------
    Cutting
        `best` itself where none was found.

    Notes
    -----
    A heuristic: the basket that pleases most by the proven rules is tried first, then others, `TRIES` in all.
    """
    if all(len(lot.boards) == 1 for lot in instance.lots):
        return best
    model = Basket(instance)
    for rule in rules:
        model.obey(rule)
    model.please(best.cost, _pieces(instance))
    for _ in range(TRIES):
        answer = model.solve(1.0, 0.2)
        if stop() or answer.cost is None or liked(instance, answer.boards) <= liked(instance, best.boards):
            break
        sheets, failed = cut(answer)
        if sheets is not None:
            return Cutting(answer.boards, tuple(sheets), answer.counts, answer.cost)
        if failed is None:
            break
        model.avoid(answer.on(failed))
    return best

"""The cheapest choice among all patterns known, over all boards at once."""

from nesting.packing.incumbent import Best
from nesting.packing.instance import Instance
from nesting.packing.master import Basket
from nesting.packing.pools import Known
from nesting.packing.solution import Sheet
from nesting.packing.stop import Stop

__all__ = ["Choosing"]


class Choosing:
    """Chooses anew whenever there are more patterns than the last time.

    Parameters
    ----------
    instance : Instance
        The problem.
    known : Known
        Has the patterns.
    best : Best
        Keeps a choice that is cheaper.
    stop : Stop
        When to stop.
    """

    def __init__(self, instance: Instance, known: Known, best: Best, stop: Stop) -> None:
        self._instance, self._known, self._best, self._stop = instance, known, best, stop
        self._count = 0

    def choose(self) -> None:
        """Find the cheapest choice that is cheaper than the best, as far as two seconds go."""
        best = self._best
        if best.settled or self._stop():
            return
        patterns = [
            (board, column) for board, programme in self._known.programmes.items() for column in programme.columns
        ]
        if len(patterns) == self._count:
            return
        self._count = len(patterns)
        basket = Basket(self._instance, "SCIP")
        if best.cutting is not None:
            basket.model.Add(basket.cost <= best.cutting.cost - 1)
        basket.choose(patterns)
        answer = basket.solve(min(self._stop.left(), 2.0), 0.5)
        if answer.cost is None:
            return
        best.keep(
            answer,
            [
                Sheet(board, column.stock, column.part)
                for (board, column), count in zip(patterns, answer.picked, strict=True)
                for _ in range(count)
            ],
        )

"""What is proven: rules of single boards, and the cheapest basket that no rule forbids.

First the prices of sheets suggest rules, in stages; then the cheapest basket itself is held against the linear
programme of every board.

References
----------
Hooker & Ottosson (2003), Math. Program. 96: rules proven by subproblems, here one for each board.
"""

from collections.abc import Mapping
from math import gcd

from nesting.geometry import Size
from nesting.packing.board_searches import Searches
from nesting.packing.incumbent import Best
from nesting.packing.instance import Instance
from nesting.packing.joint_lp import Joint, tied
from nesting.packing.master import Answer, Basket, Refused
from nesting.packing.pools import Known
from nesting.packing.pricing import Bound
from nesting.packing.solution import Assigned, assigned, price_tags
from nesting.packing.stop import Stop

__all__ = ["Proving"]

STEPS = 20
"""How often columns are made on each board in a stage of pricing."""

WORK = 400_000_000
"""How many steps the recursion may take at first once kinds are rationed."""

MOST_WORK = 2 * 10**9
"""How many it may take at last."""


class Proving:
    """Proves rules and finds the cheapest basket that they leave possible.

    Parameters
    ----------
    instance : Instance
        The problem.
    known : Known
        Its rules hold from the start; what is proven is added to them.
    best : Best
        Its bound is raised.
    searches : Searches
        Say what boards cost by what has been found.
    stop : Stop
        When to stop.
    """

    def __init__(self, instance: Instance, known: Known, best: Best, searches: Searches, stop: Stop) -> None:
        self._instance, self._known, self._best, self._searches, self._stop = instance, known, best, searches, stop
        self._model = Basket(instance)
        self._work = WORK
        self._vain: set[object] = set()
        self._tied = tied(instance)
        self._unpriced = [board for board in searches.busy if board not in self._tied]
        self._together: Joint | None = None
        self._priced_together = not self._tied
        for rule in known.rules:
            self._model.obey(rule)

    @property
    def priced(self) -> bool:
        """Whether the prices of sheets suggest no more rules."""
        return not self._unpriced and self._priced_together

    def by_area(self) -> None:
        """Prove what area proves, by the recursion while there is time."""
        self._vain.clear()  # other kernels may do what these could not
        for board in self._searches.busy:
            timely = self._stop.left() > 0
            programme = self._known.programme(board, listed=timely)
            self._obey(programme.by_area(self._known.engine.work if timely else 0))

    def cheapest(self, effort: float = 10.0) -> Answer:
        """Return the cheapest basket that no rule forbids, as far as the solver finds it with this effort."""
        answer = self._model.solve(self._stop.left() + 0.2, effort)
        if answer.impossible:
            self._best.impossible = True
        self._best.raise_bound(answer.bound)
        return answer

    def price(self) -> None:
        """Go on proving what the prices of sheets suggest, first board by board."""
        unpriced = []
        for board in self._unpriced:
            its = assigned(self._instance, self._searches.boards, board)
            if its.demand and not self._best.settled and not self._price(board, its):
                unpriced.append(board)
        self._unpriced = unpriced
        self._price_together()

    def refuse(self, refused: Refused) -> None:
        """Take in sheets that are proven not to be enough."""
        self._model.avoid(refused)

    def work_harder(self) -> None:
        """Let the recursion take more steps from now on."""
        self._work = min(4 * self._work, MOST_WORK)

    def refute(self, answer: Answer) -> bool:
        """Prove a rule that forbids a basket, by the linear programme of each board; return whether one was found.

        What was tried in vain is not tried again with as much work.
        """
        tried = (answer.boards, frozenset(answer.used.items()), self._work)
        if tried in self._vain:
            return False
        self._vain.add(tried)
        found = False
        for board in self._searches.busy:
            if self._stop():
                break
            its = answer.stocked(self._instance, board)
            if its.demand:
                found |= self._refute(board, its)
        return found

    def _refute(self, board: int, its: Assigned) -> bool:
        programme = self._known.programme(board)
        kinds = programme.pricer.kinds
        demand = [its.demand[kind] for kind in kinds]
        largest = max(kind.area for kind in kinds)

        def forbids(bound: Bound) -> bool:
            want = sum(v * d for v, d in zip(bound.values.values(), demand, strict=True))
            return want > sum(bound.worth.get(size, 0) * count for size, count in its.free.items())

        proven, _ = programme.solve(
            demand,
            its.free,
            price={},
            missing=[kind.area / largest for kind in kinds],
            enough=forbids,
            work=self._work,
            stop=self._stop,
        )
        if not proven or not forbids(proven[-1]):
            return False
        self._obey(proven[-1])
        return True

    def _price(self, board: int, its: Assigned) -> bool:
        """Go on proving the rule that the prices of sheets suggest; return whether that is done."""
        programme, instance = self._known.programme(board), self._instance
        tags: dict[Size, int] = {}
        for size, price, _ in price_tags(instance, board, limited=True):
            tags[instance.grown(size)] = min(price, tags.get(instance.grown(size), price))
        demand = [its.demand[kind] for kind in programme.pricer.kinds]
        self._known.learn(self._searches.sheets(board))

        def meets(bound: Bound) -> bool:
            """Whether a rule alone makes the board cost what the search has it cost."""
            return _least(bound, its, tags) >= self._searches.cost(board)

        proven, done = programme.solve(
            demand,
            its.free,
            price=tags,
            missing=[2.0 * max(tags.values(), default=1)] * len(demand),
            enough=meets,
            work=0,
            stop=self._stop,
            steps=STEPS,
        )
        for bound in proven[-1:]:
            self._obey(bound)
        return done

    def _price_together(self) -> None:
        """Go on with the boards that lots choose between, all at once."""
        if self._priced_together or self._best.settled:
            return
        if self._together is None:
            self._together = Joint(self._instance, self._known, self._tied)
        proven, self._priced_together = self._together.solve(STEPS, self._stop)
        for bound in proven:
            self._obey(bound)
        self.cheapest(0.5)

    def _obey(self, bound: Bound) -> None:
        self._known.rules.append(bound)
        self._model.obey(bound)


def _least(bound: Bound, its: Assigned, tags: Mapping[Size, int]) -> int:
    """Return what the sheets of one board cost at least at fixed prices, by one rule."""
    short = sum(bound.values[kind] * count for kind, count in its.demand.items())
    short -= sum(bound.worth[size] * count for size, count in its.free.items())
    useful = [(tag, bound.worth[size]) for size, tag in tags.items() if bound.worth[size] > 0]
    if short <= 0 or not useful:
        return 0
    unit = gcd(*tags.values())
    return min(-(-short * tag // (worth * unit)) for tag, worth in useful) * unit

"""What is proven: inequalities of single boards, and the cheapest basket that no inequality forbids.

First the prices of sheets suggest inequalities, in stages; then the cheapest basket itself is held against the linear
programme of every board.

References
----------
Hooker & Ottosson (2003), Math. Program. 96: inequalities proven by subproblems, here one for each board.
"""

from collections.abc import Mapping
from math import gcd

from nesting.geometry import Size
from nesting.packing.board_searches import BoardSearches
from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Instance
from nesting.packing.joint_lp import JointLP, tied
from nesting.packing.master import MasterProblem, MasterSolution, NoGood
from nesting.packing.pools import Pools
from nesting.packing.pricing import ValidInequality
from nesting.packing.solution import BoardDemand, board_demand, price_tags
from nesting.packing.stop import Stop

__all__ = ["Bounding"]

STEPS = 20
"""How often columns are made on each board in a stage of pricing."""

WORK = 400_000_000
"""How many steps the recursion may take at first once kinds are rationed."""

MOST_WORK = 2 * 10**9
"""How many it may take at last."""


class Bounding:
    """Proves inequalities and finds the cheapest basket that they leave possible.

    Parameters
    ----------
    instance : Instance
        The problem.
    pools : Pools
        Its inequalities hold from the start; what is proven is added to them.
    best : Incumbent
        Its bound is raised.
    searches : BoardSearches
        Say what boards cost by what has been found.
    stop : Stop
        When to stop.
    """

    def __init__(self, instance: Instance, pools: Pools, best: Incumbent, searches: BoardSearches, stop: Stop) -> None:
        self._instance, self._pools, self._incumbent, self._searches, self._stop = instance, pools, best, searches, stop
        self._model = MasterProblem(instance)
        self._work = WORK
        self._vain: set[object] = set()
        self._tied = tied(instance)
        self._unpriced = [board for board in searches.busy if board not in self._tied]
        self._together: JointLP | None = None
        self._priced_together = not self._tied
        for inequality in pools.inequalities:
            self._model.add_inequality(inequality)

    @property
    def priced(self) -> bool:
        """Whether the prices of sheets suggest no more inequalities."""
        return not self._unpriced and self._priced_together

    def by_area(self) -> None:
        """Prove what area proves, by the recursion while there is time."""
        self._vain.clear()  # other kernels may do what these could not
        for board in self._searches.busy:
            timely = self._stop.left() > 0
            lp = self._pools.board_lp(board, listed=timely)
            self._add_inequality(lp.by_area(self._pools.engine.work if timely else 0))

    def solve_master(self, effort: float = 10.0) -> MasterSolution:
        """Return the cheapest basket that no inequality forbids, as far as the solver finds it with this effort."""
        answer = self._model.solve(self._stop.left() + 0.2, effort)
        if answer.infeasible:
            self._incumbent.infeasible = True
        self._incumbent.raise_bound(answer.bound)
        return answer

    def price(self) -> None:
        """Go on proving what the prices of sheets suggest, first board by board."""
        unpriced = []
        for board in self._unpriced:
            its = board_demand(self._instance, self._searches.boards, board)
            if its.demand and not self._incumbent.settled and not self._price(board, its):
                unpriced.append(board)
        self._unpriced = unpriced
        self._price_together()

    def add_no_good(self, refused: NoGood) -> None:
        """Take in sheets that are proven not to be enough."""
        self._model.add_no_good(refused)

    def raise_state_limit(self) -> None:
        """Let the recursion take more steps from now on."""
        self._work = min(4 * self._work, MOST_WORK)

    def separate(self, answer: MasterSolution) -> bool:
        """Find valid inequalities that a master solution violates, by the linear programme of each board.

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
            its = answer.board_demand(self._instance, board)
            if its.demand:
                found |= self._separate_board(board, its)
        return found

    def _separate_board(self, board: int, its: BoardDemand) -> bool:
        lp = self._pools.board_lp(board)
        kinds = lp.pricer.kinds
        demand = [its.demand[kind] for kind in kinds]
        largest = max(kind.area for kind in kinds)

        def forbids(bound: ValidInequality) -> bool:
            want = sum(v * d for v, d in zip(bound.values.values(), demand, strict=True))
            return want > sum(bound.worth.get(size, 0) * count for size, count in its.free.items())

        proven, _ = lp.solve(
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
        self._add_inequality(proven[-1])
        return True

    def _price(self, board: int, its: BoardDemand) -> bool:
        """Go on proving the inequality that the prices of sheets suggest; return whether that is done."""
        lp, instance = self._pools.board_lp(board), self._instance
        tags: dict[Size, int] = {}
        for size, price, _ in price_tags(instance, board, limited=True):
            tags[instance.grown(size)] = min(price, tags.get(instance.grown(size), price))
        demand = [its.demand[kind] for kind in lp.pricer.kinds]
        self._pools.add_patterns(self._searches.sheets(board))

        def meets(bound: ValidInequality) -> bool:
            """Whether a valid inequality alone makes the board cost what the search has it cost."""
            return _least(bound, its, tags) >= self._searches.cost(board)

        proven, done = lp.solve(
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
            self._add_inequality(bound)
        return done

    def _price_together(self) -> None:
        """Go on with the boards that lots choose between, all at once."""
        if self._priced_together or self._incumbent.settled:
            return
        if self._together is None:
            self._together = JointLP(self._instance, self._pools, self._tied)
        proven, self._priced_together = self._together.solve(STEPS, self._stop)
        for bound in proven:
            self._add_inequality(bound)
        self.solve_master(0.5)

    def _add_inequality(self, bound: ValidInequality) -> None:
        self._pools.inequalities.append(bound)
        self._model.add_inequality(bound)


def _least(bound: ValidInequality, its: BoardDemand, tags: Mapping[Size, int]) -> int:
    """Return what the sheets of one board cost at least at fixed prices, by one inequality."""
    short = sum(bound.values[kind] * count for kind, count in its.demand.items())
    short -= sum(bound.worth[size] * count for size, count in its.free.items())
    useful = [(tag, bound.worth[size]) for size, tag in tags.items() if bound.worth[size] > 0]
    if short <= 0 or not useful:
        return 0
    unit = gcd(*tags.values())
    return min(-(-short * tag // (worth * unit)) for tag, worth in useful) * unit

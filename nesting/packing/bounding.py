"""The bound side: pricing proves valid inequalities, and the master problem that has them gives the lower bound.

First, column generation at the prices of the sheets proves inequalities, in stages. Then each solution of the master
problem is separated: if the linear programme of a board shows that the sheets are too few for its items, its duals give
an inequality that the solution violates.

References
----------
Hooker & Ottosson (2003), Math. Program. 96: logic-based Benders decomposition, here with one subproblem for each board.
"""

from collections.abc import Iterable, Mapping
from math import gcd

from nesting.packing.board_searches import sheets_of
from nesting.packing.joint_lp import JointLP, linked_boards
from nesting.packing.master import MasterProblem, MasterSolution
from nesting.packing.pattern import GrownSize
from nesting.packing.pricing import ValidInequality
from nesting.packing.solution import BoardDemand, board_demand, price_tags
from nesting.packing.state import SolverState

__all__ = ["Bounding"]

ITERATIONS = 20
"""How often columns are generated on each board in a stage of pricing; on linked boards twice as often in each stage as
in the one before, because solving the master problem in between takes long where they are many."""

STATE_LIMIT = 400_000_000
"""How many steps the recursion may take at first once kinds are rationed, which multiplies its states."""

MOST_STATE_LIMIT = 2 * 10**9
"""How many it may take at last."""


class Bounding:
    """Proves valid inequalities and keeps the master problem that has them all.

    Parameters
    ----------
    state : SolverState
        The inequalities in its pool hold from the start.
    """

    def __init__(self, state: SolverState) -> None:
        self._state_limit = STATE_LIMIT
        self._separated: set[object] = set()
        self._linked = linked_boards(state.instance)
        self._unpriced = [board for board in state.instance.boards_in_use if board not in self._linked]
        self._joint: JointLP | None = None
        self._joint_priced = not self._linked
        self._iterations = ITERATIONS
        self.begin_objective(state)

    def begin_objective(self, state: SolverState) -> None:
        """Make the master problem again for another objective, with all inequalities and no-goods."""
        self._master = MasterProblem(state.instance, state.incumbent.goal)
        self._no_goods = 0
        for inequality in state.pools.inequalities:
            self._master.add_inequality(inequality)

    @property
    def priced(self) -> bool:
        """Whether column generation at the prices of sheets has ended on every board."""
        return not self._unpriced and self._joint_priced

    def prove_by_area(self, state: SolverState) -> None:
        """Add the inequality of each board that values items by their area, by the recursion while there is time."""
        self._separated.clear()  # other kernels may succeed where these did not
        for board in state.instance.boards_in_use:
            timely = state.stop.left() > 0
            lp = state.pools.board_lp(board, listed=timely)
            self._add_inequality(state, lp.by_area(state.pools.engine.work if timely else 0))

    def solve_master(self, state: SolverState, effort: float = 10.0) -> MasterSolution:
        """Return the best master solution, as far as the solver finds it with this effort, and raise the bound."""
        self._take_no_goods(state)
        found = self._master.solve(state.stop.left() + 0.2, effort)
        if found.infeasible:
            state.incumbent.mark_infeasible()
        state.incumbent.raise_bound(found.bound)
        return found

    def price(self, state: SolverState) -> None:
        """Generate more columns at the prices of the sheets, board by board, then for the linked boards together."""
        unpriced = []
        for board in self._unpriced:
            its = board_demand(state.instance, state.assignment, board)
            if its.demand and not state.incumbent.settled and not self._price_board(state, board, its):
                unpriced.append(board)
        self._unpriced = unpriced
        self._price_jointly(state)

    def add_inequalities(self, state: SolverState, proven: Iterable[ValidInequality]) -> None:
        """Add what was proven elsewhere, and raise the bound."""
        for inequality in proven:
            self._add_inequality(state, inequality)
        self.solve_master(state, 0.5)

    def separate(self, state: SolverState, candidate: MasterSolution) -> bool:
        """Add an inequality of each board that a master solution violates; return whether there was one.

        What failed is tried again only with a higher state limit or other kernels.
        """
        tried = (candidate.boards, frozenset(candidate.used.items()), self._state_limit)
        if tried in self._separated:
            return False
        found = False
        for board in state.instance.boards_in_use:
            if state.stop():
                return found
            its = candidate.board_demand(state.instance, board)
            if its.demand:
                found |= self._separate_board(state, board, its)
        if not state.stop():  # else it was the time that failed
            self._separated.add(tried)
        return found

    def raise_state_limit(self) -> None:
        """Let the recursion take more steps from now on."""
        self._state_limit = min(4 * self._state_limit, MOST_STATE_LIMIT)

    def _separate_board(self, state: SolverState, board: int, its: BoardDemand) -> bool:
        lp = state.pools.board_lp(board)
        kinds = lp.pricer.kinds
        demand = [its.demand[kind] for kind in kinds]
        largest = max(kind.area for kind in kinds)

        def violated(inequality: ValidInequality) -> bool:
            return inequality.slack(its.demand, its.free) < 0

        proven, _ = lp.solve(
            demand,
            its.free,
            price={},
            missing=[kind.area / largest for kind in kinds],
            enough=violated,
            work=self._state_limit,
            stop=state.stop,
        )
        if not proven or not violated(proven[-1]):
            return False
        self._add_inequality(state, proven[-1])
        return True

    def _price_board(self, state: SolverState, board: int, its: BoardDemand) -> bool:
        """Generate more columns of one board at the prices of its sheets; return whether there are no more."""
        lp, instance, search = state.pools.board_lp(board), state.instance, state.searches[board]
        tags: dict[GrownSize, int] = {}
        for size, price, _ in price_tags(instance, board, limited=True):
            tags[instance.grown(size)] = min(price, tags.get(instance.grown(size), price))
        demand = [its.demand[kind] for kind in lp.pricer.kinds]
        state.pools.add_patterns(sheets_of(board, search))

        def closes_gap(inequality: ValidInequality) -> bool:
            """Whether by this inequality alone the board costs at least what the search found."""
            return _least_cost(inequality, its, tags) >= search.cost

        proven, done = lp.solve(
            demand,
            its.free,
            price=tags,
            missing=[2.0 * max(tags.values(), default=1)] * len(demand),
            enough=closes_gap,
            work=0,
            stop=state.stop,
            iterations=ITERATIONS,
        )
        for inequality in proven[-1:]:
            self._add_inequality(state, inequality)
        return done

    def _price_jointly(self, state: SolverState) -> None:
        """Generate more columns of the boards that lots choose between, in one linear programme."""
        if self._joint_priced or state.incumbent.settled:
            return
        if self._joint is None:
            self._joint = JointLP(state.instance, state.pools, self._linked)
        proven, self._joint_priced = self._joint.solve(state.pools, self._iterations, state.stop)
        self._iterations *= 2
        self.add_inequalities(state, proven)

    def _add_inequality(self, state: SolverState, inequality: ValidInequality) -> None:
        self._take_no_goods(state)
        state.pools.add_inequality(inequality)
        self._master.add_inequality(inequality)

    def _take_no_goods(self, state: SolverState) -> None:
        """Add the no-goods to the master problem that were proven since the last time."""
        for no_good in state.no_goods[self._no_goods :]:
            self._master.add_no_good(no_good)
        self._no_goods = len(state.no_goods)


def _least_cost(inequality: ValidInequality, its: BoardDemand, tags: Mapping[GrownSize, int]) -> int:
    """Return what the sheets of one board cost at least at fixed prices, by one inequality."""
    short = -inequality.slack(its.demand, its.free)
    useful = [(tag, inequality.worth[size]) for size, tag in tags.items() if inequality.worth[size] > 0]
    if short <= 0 or not useful:
        return 0
    unit = gcd(*tags.values())
    return min(-(-short * tag // (worth * unit)) for tag, worth in useful) * unit

"""The primal side: master solutions better than the incumbent are tried, the one with the most slack first.

Everything is cut from the sheets of a master solution, board by board: by local search, and where that fails by an
exact subproblem. If the sheets of a board are not enough, the next master solution is tried; while the cost is the
objective, more sheets are bought for the board before. Of other objectives half of the way to the bound is asked for
first.

What is proven not to be enough becomes a no-good and is never tried again. What only failed is tried again after a
restart, by a search with another seed. Most searches succeed early or not at all, so the restarts follow Luby's
sequence: every second one is short, every fourth twice as long, every eighth four times, and so on.

References
----------
Luby, Sinclair & Zuckerman (1993), Inf. Process. Lett. 47: when to restart a search whose running time is not known.
"""

from nesting.packing.board_searches import adopt_assignment, for_sale, search_stock, sheets_of
from nesting.packing.bounding import Bounding
from nesting.packing.master import SLACK_UNITS, MasterProblem, MasterSolution, NoGood
from nesting.packing.objective import Cost, Objective
from nesting.packing.solution import Sheet, board_demand
from nesting.packing.state import SolverState
from nesting.packing.subproblem import solve_subproblem

__all__ = ["PrimalSearch"]

EFFORT = 60
"""How many turns a board is searched after a short restart; longer ones take a multiple of it."""

CANDIDATES = 4
"""How many master solutions are tried before the other stages have their turn."""


class PrimalSearch:
    """Tries master solutions better than the incumbent, restart after restart."""

    def __init__(self) -> None:
        self._restart = 1
        self._effort = EFFORT
        self._master: MasterProblem | None = None
        self._assumed: list[NoGood] = []
        self._decided: dict[object, list[Sheet] | None] = {}
        self._least_slack: dict[int, int] = {}
        self._may_leap = True
        self._leaps = False

    def quick_pass(self, state: SolverState) -> bool:
        """Try master solutions with little effort and no proof, while they succeed; return whether none was left."""
        self._effort, self._may_leap = 1, False
        exhausted, before = False, None
        while not exhausted and not state.finished and (before is None or state.incumbent.value != before):
            before = state.incumbent.value
            exhausted = self.improve(state, None)
        self.begin_objective()
        return exhausted

    def begin_objective(self) -> None:
        """Forget what failed, and start again with little effort."""
        self._restart, self._effort = 1, EFFORT
        self._master = None
        self._assumed.clear()
        self._least_slack.clear()
        self._may_leap = True

    def improve(self, state: SolverState, bounding: Bounding | None) -> bool:
        """Try a few master solutions; return whether there were no more to try, so that the next call restarts.

        Parameters
        ----------
        state : SolverState
            Its incumbent is replaced by what is better.
        bounding : Bounding or None
            Separates each master solution before it is tried, and boards that search fails on are decided exactly. None
            if nothing is to be proven.
        """
        for _ in range(CANDIDATES):
            if state.finished:
                return False
            if self._master is None:
                self._master = self._new_master(state)
            candidate = self._master.solve(state.stop.left() + 0.2, 0.2)
            if candidate.cost is None:
                self._master = None
                if candidate.infeasible and state.incumbent.value is not None and not self._is_guessing:
                    state.incumbent.raise_bound(state.incumbent.value)
                if self._least_slack or self._leaps:  # these are guesses, so try again without
                    self._least_slack.clear()
                    self._may_leap = False
                    continue
                self._assumed.clear()
                self._restart += 1
                self._effort = EFFORT * (self._restart & -self._restart)
                return True
            if bounding is not None and bounding.separate(state, candidate):
                self._master = self._new_master(state)
                continue
            self._cut(state, candidate, exactly=bounding is not None)
        return False

    def _new_master(self, state: SolverState) -> MasterProblem:
        incumbent = state.incumbent
        master = MasterProblem(state.instance, incumbent.goal)
        for inequality in state.pools.inequalities:
            master.add_inequality(inequality)
        for no_good in (*state.no_goods, *self._assumed):
            master.add_no_good(no_good)
        if incumbent.value is not None:
            step = self._step(incumbent.goal.objective, incumbent.value - incumbent.bound)
            self._leaps = step > 1
            master.maximise_slack(incumbent.value - step, self._least_slack)
        return master

    def _step(self, objective: Objective, gap: int) -> int:
        """Return how much better than the incumbent a master solution has to be.

        The most roomy one is rarely more than a little better. Where the cost is given there is often room for much
        more, so half of the way to the bound is tried first, until that fails.
        """
        return (gap + 1) // 2 if self._may_leap and not isinstance(objective, Cost) else 1

    @property
    def _is_guessing(self) -> bool:
        """Whether the master problem has more in it than what is proven."""
        return bool(self._assumed or self._least_slack or self._leaps)

    def _cut(self, state: SolverState, candidate: MasterSolution, *, exactly: bool) -> None:
        """Cut everything from the sheets of a master solution, board by board.

        A board that failed is not tried again with the same lots and sheets before the next restart.
        """
        done: list[Sheet] = []
        enough = True
        for board in state.instance.boards_in_use:
            its = candidate.board_demand(state.instance, board)
            if not its.demand:
                continue
            if state.stop():
                return
            search = search_stock(state, board, its, [], self._effort)
            sheets = sheets_of(board, search) if search.complete else None
            if sheets is None and exactly:
                sheets = self._solve_subproblem(state, candidate, board)
            if sheets is None:
                enough = False
                self._note_failure(candidate, board)
                sheets = self._buy_more(state, candidate, board)
            if sheets is None:
                return
            done += sheets
        self._master = None
        if enough:
            self._least_slack.clear()
            self._may_leap = exactly
            if not state.incumbent.keep(candidate, done):  # it leaves more uncut than there is room for
                self._assumed.append(candidate.no_good(done[0].board if done else state.instance.boards_in_use[0]))
        else:
            state.incumbent.buy(candidate.boards, done)
        adopt_assignment(state)

    def _note_failure(self, candidate: MasterSolution, board: int) -> None:
        """Keep this restart from trying a board again with the same lots and sheets, or with as little slack."""
        self._master, self._may_leap = None, False
        self._assumed.append(candidate.no_good(board))
        self._least_slack[board] = min(SLACK_UNITS // 8, candidate.slack.get(board, 0) + SLACK_UNITS // 80)

    def _buy_more(self, state: SolverState, candidate: MasterSolution, board: int) -> list[Sheet] | None:
        """Cut a board from anything that can be bought, after the sheets of a master solution were not enough.

        That can only make the incumbent better where the cost is the objective.
        """
        if not isinstance(state.incumbent.goal.objective, Cost):
            return None
        its, tags = board_demand(state.instance, candidate.boards, board), for_sale(state.instance, board, limited=True)
        search = search_stock(state, board, its, tags, min(self._effort, EFFORT))
        return sheets_of(board, search) if search.complete else None

    def _solve_subproblem(self, state: SolverState, candidate: MasterSolution, board: int) -> list[Sheet] | None:
        """Decide exactly whether all items of a board can be cut from its sheets; if not, add the no-good.

        The same question is put again only once there are more inequalities or other kernels.
        """
        no_good = candidate.no_good(board)
        inequalities = len(state.pools.inequalities_of(board))
        used = frozenset(no_good.used.items())
        question = (board, no_good.needed, used, inequalities, state.pools.engine.boxes)
        if question in self._decided:
            return self._decided[question]
        sheets, proven = solve_subproblem(state, candidate, board)
        state.pools.add_patterns(sheets or ())
        if proven is not None:
            state.no_goods.append(proven)
            state.pools.add_no_good(state.instance, proven)
        if sheets or proven or not state.stop():  # else only the time was not enough
            self._decided[question] = sheets
        return sheets

"""PrimalSearch at baskets that would be cheaper: the roomiest one first, cut from by search, or decided exactly.

Where one cannot be cut from, what was wanting is bought too, and the next one is aimed at. What is proven not to be
enough is never tried again; what was only tried in vain is, by another search: most find what they find early or not at
all, so every other one is short, every fourth twice as long, every eighth four times, and so on.

References
----------
Luby, Sinclair & Zuckerman (1993), Inf. Process. Lett. 47: when to begin anew, not knowing how long luck takes.
"""

from nesting.packing.board_searches import BoardSearches, for_sale, sheets_of
from nesting.packing.bounding import Bounding
from nesting.packing.incumbent import Incumbent, fill_room
from nesting.packing.instance import Instance
from nesting.packing.master import SLACK_UNITS, MasterProblem, MasterSolution, NoGood
from nesting.packing.pools import Pools
from nesting.packing.solution import Sheet, board_demand
from nesting.packing.stop import Stop
from nesting.packing.subproblem import solve_subproblem

__all__ = ["PrimalSearch"]

EFFORT = 60
"""How many turns a board is searched for a cutting from given sheets, at least; now and then many times as long."""

SHOTS = 4
"""How many baskets are tried before anything else has its turn."""


class PrimalSearch:
    """Tries baskets cheaper than the best, round after round.

    Parameters
    ----------
    instance : Instance
        The problem.
    pools : Pools
        Its inequalities are obeyed.
    best : Incumbent
        Keeps what is better.
    searches : BoardSearches
        Cut from the baskets.
    proving : Bounding
        Forbids baskets that inequalities can be made to forbid, and is told of those proven not to be enough.
    stop : Stop
        When to stop.
    """

    def __init__(
        self,
        instance: Instance,
        pools: Pools,
        best: Incumbent,
        searches: BoardSearches,
        *,
        bounding: Bounding,
        stop: Stop,
    ) -> None:
        self._instance, self._pools, self._incumbent = instance, pools, best
        self._searches, self._bounding, self._stop = searches, bounding, stop
        self._rounds = 1
        self._effort = EFFORT
        self._trial: MasterProblem | None = None
        self._refused: list[NoGood] = []
        self._tried: list[NoGood] = []
        self._decided: dict[object, list[Sheet] | None] = {}
        self._wanted: dict[int, int] = {}

    def quick_pass(self) -> None:
        """Try a few with little effort and without any proof."""
        self._effort = 1
        self.improve(exactly=False)
        self._effort = EFFORT
        self._trial = None
        self._tried.clear()
        self._wanted.clear()

    def improve(self, *, exactly: bool = True) -> None:
        """Try a few; `exactly` also proves of some that there is nothing in them."""
        for _ in range(SHOTS):
            if self._stop() or self._incumbent.settled:
                return
            if self._trial is None:
                self._trial = self._fresh_trial()
            answer = self._trial.solve(self._stop.left() + 0.2, 0.2)
            if answer.cost is None:
                self._trial = None
                if self._wanted:  # what the boards want is a guess, so look again without
                    self._wanted.clear()
                    continue
                self._tried.clear()
                self._rounds += 1
                self._effort = EFFORT * (self._rounds & -self._rounds)
                self._bounding.raise_state_limit()
                return
            if exactly and self._bounding.separate(answer):
                self._trial = self._fresh_trial()
                continue
            self._cut_from(answer, exactly=exactly)

    def cut(self, answer: MasterSolution) -> tuple[list[Sheet] | None, int | None]:
        """Cut everything from the sheets of a basket by search; if that fails, return the board where it did."""
        done: list[Sheet] = []
        for board in self._searches.busy:
            its = answer.board_demand(self._instance, board)
            if its.demand:
                search = self._searches.search_stock(board, its, [], self._effort)
                if not search.complete:
                    return None, board
                done += sheets_of(board, search)
        return fill_room(self._instance, answer, done), None

    def _fresh_trial(self) -> MasterProblem:
        trial = MasterProblem(self._instance)
        for inequality in self._pools.inequalities:
            trial.add_inequality(inequality)
        for refused in (*self._refused, *self._tried):
            trial.add_no_good(refused)
        if self._incumbent.solution is not None:
            trial.maximise_slack(self._incumbent.solution.cost - 1, self._wanted)
        return trial

    def _cut_from(self, answer: MasterSolution, *, exactly: bool) -> None:
        """Cut everything from the sheets of a basket, board by board; where that fails, from what else can be bought.

        A board whose sheets did not do is not tried again with the same lots and sheets.
        """
        done: list[Sheet] = []
        enough = True
        for board in self._searches.busy:
            its = answer.board_demand(self._instance, board)
            if not its.demand:
                continue
            if self._stop():
                return
            search = self._searches.search_stock(board, its, [], self._effort)
            sheets = sheets_of(board, search) if search.complete else None
            if sheets is None and exactly:
                sheets = self._decide(answer, board)
            if sheets is None:
                enough = False
                sheets = self._cut_from_more(answer, board)
            if sheets is None:
                return
            done += sheets
        self._trial = None
        if enough:
            self._wanted.clear()
            self._incumbent.keep(answer, done)
        else:
            self._incumbent.buy(answer.boards, done)
        self._searches.adopt_assignment()

    def _cut_from_more(self, answer: MasterSolution, board: int) -> list[Sheet] | None:
        """Cut a board from whatever can be bought, as the sheets of a basket did not do."""
        self._trial = None
        self._tried.append(answer.no_good(board))
        self._wanted[board] = min(SLACK_UNITS // 8, answer.slack.get(board, 0) + SLACK_UNITS // 80)
        its, tags = board_demand(self._instance, answer.boards, board), for_sale(self._instance, board, limited=True)
        search = self._searches.search_stock(board, its, tags, min(self._effort, EFFORT))
        return sheets_of(board, search) if search.complete else None

    def _decide(self, answer: MasterSolution, board: int) -> list[Sheet] | None:
        """Decide exactly whether the sheets of a board give all its items; if not, that is proven too.

        It is asked again only once there are more inequalities or other kernels, which may decide what was left open.
        """
        basket = answer.no_good(board)
        inequalities = sum(inequality.board == board for inequality in self._pools.inequalities)
        asked = (board, basket.needed, frozenset(basket.used.items()), inequalities, self._pools.engine.boxes)
        if asked not in self._decided:
            sheets, refused = solve_subproblem(self._instance, self._pools, answer, board, self._stop)
            self._decided[asked] = sheets
            self._pools.add_patterns(sheets or ())
            if refused is not None:
                self._refused.append(refused)
                self._bounding.add_no_good(refused)
        return self._decided[asked]

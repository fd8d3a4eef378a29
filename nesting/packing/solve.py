"""From an instance to a cutting: searches, proven rules and baskets, until cost and bound meet or time is up.

The work goes round in turns. *Search* cuts each board ever better at fixed prices. The *basket* model finds the
cheapest purchase that no proven rule forbids; what it costs is the bound. Where a board's linear programme shows that
basket to be too small, it proves a new rule and the basket is found anew; where it does not, the search is given just
that basket to cut everything from. If it can, cost and bound have met.

References
----------
Hooker & Ottosson (2003), Math. Program. 96: rules proven by subproblems, here one for each board.
"""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import gcd

from nesting.geometry import Size
from nesting.packing.basket import ROOM, Answer, Basket, Refused
from nesting.packing.cutting import Assigned, Cutting, Sheet, assigned, price_tags, spread, without_surplus
from nesting.packing.deciding import cut_or_refuse
from nesting.packing.engine import Engine, interpreted
from nesting.packing.instance import Instance
from nesting.packing.joint import Joint, tied
from nesting.packing.known import Known
from nesting.packing.liking import like_best
from nesting.packing.prepare import prepared
from nesting.packing.pricing import Bound
from nesting.packing.search import Search, Stock
from nesting.packing.stop import Stop

__all__ = ["Report", "Solution", "solve"]

SMALL = 16
"""Jobs of so many items or fewer are searched without the compiler first, which takes longer to load than they need."""

MIDDLING = 48
"""Jobs of so many items or fewer are looked over for cheaper baskets too before the compiler is loaded."""

OPENING = 40
"""Rounds of search on each board before anything is proven."""

EFFORT = 60
"""How many turns a board is searched for a cutting from given sheets, at first."""

BURST = 5000
"""Rounds of search over all boards between two stages of pricing."""

STEPS = 20
"""How often columns are made on each board in a stage of pricing."""

TURN = 200
"""Rounds of search on each board in a turn."""

GUIDES = 4
"""How many of the rules last proven on a board lead its search."""

Report = Callable[[float, int | None, int, bool], None]
"""Told seconds, the best cost so far or None, the bound, and whether the kernels are being prepared."""


@dataclass(frozen=True, slots=True)
class Solution:
    """The best cutting found, None if there is none, and what no cutting can cost less than."""

    cutting: Cutting | None
    bound: int
    interrupted: bool
    impossible: bool


def solve(
    instance: Instance,
    stop: Stop,
    seed: int = 0,
    report: Report | None = None,
    *,
    known: Known | None = None,
    first: bool = False,
    liked: bool = True,
) -> Solution:
    """Return the cheapest cutting that can be found before it is time to stop, and a bound that holds in any case.

    Parameters
    ----------
    instance : Instance
        What is to be cut from what.
    stop : Stop
        When to stop. An interrupt (Ctrl-C) stops too, with the best so far.
    seed : int
        Chooses among equals and steers the search.
    report : callable, optional
        Told the seconds spent, the cost (None before there is a cutting) and the bound, whenever one of them moves, and
        whether the kernels are being compiled, which is done once on a machine.
    known : Known, optional
        What other instances of the same boards have taught; this one adds to it.
    first : bool
        Whether the first cutting found will do.
    liked : bool
        Whether to look, among those that cost the same, for one with boards that are liked better.

    Returns
    -------
    Solution
        Exact where cost and bound meet, heuristic otherwise.
    """
    solver = _Solver(instance, stop, seed, report, known or Known(instance), first=first)
    interrupted = False
    try:
        if solver.known.begun:
            solver.resume()
        else:
            solver.open(interpreted(), OPENING if instance.items <= SMALL else 0)
            if instance.items <= MIDDLING:
                solver.glance()
        # where the time is up before the compiler is loaded, what there is must do
        if not solver.settled and (solver.best is None or stop.left()):
            solver.open(solver.prepare(), OPENING)
            solver.run()
        if liked and not first:
            solver.please()
    except KeyboardInterrupt:
        interrupted = True
    return Solution(solver.best, solver.bound, interrupted, solver.impossible)


class _Solver:
    def __init__(
        self, instance: Instance, stop: Stop, seed: int, report: Report | None, known: Known, *, first: bool
    ) -> None:
        self.instance = instance
        self.stop = stop
        self.seed = seed
        self.report = report
        self.boards = tuple(_first_board(instance, number) for number in range(len(instance.lots)))
        self.tied = tied(instance)
        self.busy = sorted({b for lot in instance.lots for b in lot.boards})
        self.best: Cutting | None = None
        self.bound = 0
        self.impossible = False
        self.first = first
        self.known = known
        self.model = Basket(instance)
        for rule in known.rules:
            self.model.obey(rule)
        self.trial: Basket | None = None
        self.avoided: list[Refused] = []
        self.patterns = 0
        self.wanted: dict[int, int] = {}
        self.refuted: list[Refused] = []
        self.effort = EFFORT
        self.work = 400_000_000
        self.searches: dict[int, Search] = {}
        self.offered: int | None = None

    @property
    def settled(self) -> bool:
        return self.impossible or (self.best is not None and (self.first or self.best.cost == self.bound))

    def prepare(self) -> Engine:
        """Load the compiled kernels; the time of a first compiling is not the search's."""
        compiling = []

        def notice() -> None:
            compiling.append(self.stop.spent())
            self._tell(preparing=True)

        engine = prepared(notice)
        for since in compiling:
            self.stop.leave_out(self.stop.spent() - since)
        return engine

    def open(self, engine: Engine, rounds: int) -> None:
        """Begin with these kernels: a first cutting of every board, and what area proves."""
        fresh = engine is not self.known.engine or not self.known.begun
        if fresh:
            self.known.take(engine)
        self._search_all(self.boards)
        self._improve(rounds)
        if self.best is None:  # the limits of offers, which boards share, may stand in the way
            self._search_all(self.boards, limited=False)
            self._improve(rounds)
        if self.best is None and self.instance.room is not None:  # so may sheets that packs and minimums leave uncut
            self._search_all(self.boards, limited=False, singly=True)
            self._improve(rounds)
            self._search_all(self.boards)
            self._improve(rounds)
        if fresh:
            for board in self.busy:
                self._obey(self.known.programme(board).by_area(engine.work if self.stop.left() else 0))
        self._raise(self.model.solve(self.stop.left() + 0.5).bound)

    def glance(self) -> None:
        """Try the cheapest baskets that area allows, with little effort: lots may get other boards than the first."""
        self.effort = 1
        self._aim(prove=False)
        self.effort = EFFORT
        self.trial = None
        self.avoided.clear()
        self.wanted.clear()

    def resume(self) -> None:
        """Begin with what is known: the cheapest basket by its rules and the best choice among its patterns."""
        answer = self.model.solve(self.stop.left() + 0.5)
        self.impossible = answer.impossible
        self._raise(answer.bound)
        self._choose()
        if not self.settled:
            self._prove()

    def run(self) -> None:
        """Search and prove in turns until cost and bound meet or it is time to stop."""
        together = Joint(self.instance, self.known, self.tied) if self.tied else None
        unpriced = [board for board in self.busy if board not in self.tied]
        while not self.stop() and not self.settled:
            self._improve(BURST // len(self.busy) if unpriced or together else TURN)
            unpriced = self._price_all(unpriced)
            together = self._price_together(together)
            self._recombine()
            if not unpriced and not together and not self.settled and not self.stop():
                self._prove()

    def please(self) -> None:
        """Among the cuttings that cost no more, find one that the pieces like better."""
        if self.best is not None and not self.stop():
            self.best = like_best(self.instance, self.known.rules, self.best, self._cut_exactly, self.stop)

    def _cut_exactly(self, answer: Answer) -> tuple[list[Sheet] | None, int | None]:
        """Cut everything from the sheets of a basket; if that fails, return the board where it did."""
        sheets: list[Sheet] = []
        for board in self.busy:
            its, have = self._stocked(answer, board)
            if its.demand:
                search = self._searched(board, Assigned(its.demand, have), [])
                if not search.complete:
                    return None, board
                sheets += _sheets(board, search)
        return self._fill_room(answer, sheets), None

    # search ----------------------------------------------------------------------------------------------------

    def _search_all(self, boards: Sequence[int], *, limited: bool = True, singly: bool = False) -> None:
        self.searches.clear()
        self.offered = None
        offers = tuple(o for o in self.instance.offers if not singly or o.pack == o.at_least == 1)
        shops = replace(self.instance, offers=offers)
        for board in self.busy:
            its = assigned(self.instance, boards, board)
            if its.demand:
                self.searches[board] = self._search(board, its, _for_sale(shops, board, limited=limited))

    def _search(self, board: int, its: Assigned, bought: Sequence[Stock]) -> Search:
        instance = self.instance
        free = [
            Stock(size, 0, count)
            for size, count in sorted(its.free.items(), key=lambda item: -item[0].area)
            if any(instance.fits(kind, board, [size]) for kind in its.demand)
        ]
        stock = [*free, *bought]
        return Search(
            self.known.engine,
            its.demand,
            stock,
            turn=instance.turn[board],
            longest=instance.longest_grown,
            seed=self.seed + 1 + board,
            guides=[rule.values for rule in self.known.rules if rule.board == board][-GUIDES:],
        )

    def _improve(self, rounds: int) -> None:
        for search in self.searches.values():
            if search.cost > 0:
                search.improve(rounds)
                self.stop.done += rounds
        self._offer_searches()

    def _offer_searches(self) -> None:
        """Buy for the searches as they stand, if they have become cheaper since the last time."""
        total = sum(search.cost for search in self.searches.values())
        if self.offered is not None and total >= self.offered:
            return
        self.offered = total
        if all(search.complete for search in self.searches.values()):
            self._buy(self.boards, {board: _sheets(board, search) for board, search in self.searches.items()})

    def _buy(self, boards: tuple[int, ...], sheets: dict[int, list[Sheet]]) -> None:
        """Find the cheapest basket for given sheets and keep it if it is the best so far."""
        basket = Basket(self.instance)
        basket.assign(boards)
        basket.need(self._needed(boards, sheets))
        answer = basket.solve(5.0)
        if answer.cost is not None:
            self._keep(answer, [sheet for its in sheets.values() for sheet in its])

    def _recombine(self) -> None:
        """Choose anew among all patterns known, over all boards at once, and search on from there."""
        for board, search in self.searches.items():
            self._learn(board, search)
        self._choose()
        if self.best is not None and self.best.boards != self.boards:
            self.boards = self.best.boards
            self._search_all(self.boards)

    def _learn(self, board: int, search: Search) -> None:
        """Keep the patterns that a search has, to choose from."""
        programme = self.known.programme(board)
        for sheet in _sheets(board, search):
            if sheet.size in programme.pricer.stock:
                programme.add(sheet.size, sheet.part)

    def _choose(self) -> None:
        """Find the cheapest choice among all patterns known, and keep it if it is the best so far."""
        if self.settled or self.stop():
            return
        programmes = self.known.programmes
        count = sum(len(programme.columns) for programme in programmes.values())
        if count == self.patterns:
            return
        self.patterns = count
        basket = Basket(self.instance, "SCIP")
        if self.best is not None:
            basket.model.Add(basket.cost <= self.best.cost - 1)
        patterns = [
            (board, column) for board, programme in self.known.programmes.items() for column in programme.columns
        ]
        basket.choose(patterns)
        answer = basket.solve(min(self.stop.left(), 2.0), 0.5)
        if answer.cost is None or (self.best is not None and answer.cost >= self.best.cost):
            return
        sheets = [
            Sheet(board, column.stock, column.part)
            for (board, column), count in zip(patterns, answer.picked, strict=True)
            for _ in range(count)
        ]
        self._keep(answer, sheets)

    def _needed(self, boards: tuple[int, ...], sheets: dict[int, list[Sheet]]) -> Counter[tuple[int, Size]]:
        need: Counter[tuple[int, Size]] = Counter()
        for board, its in sheets.items():
            free = assigned(self.instance, boards, board).free
            kerf = self.instance.kerf
            for size, count in Counter(s.size for s in its).items():
                if count > free[size]:
                    need[board, Size(size.w - kerf, size.h - kerf)] = count - free[size]
        return need

    def _keep(self, answer: Answer, sheets: list[Sheet]) -> None:
        """Keep what is cut from a basket if it is the best so far, and no more is left uncut than there is room for."""
        if answer.cost is None or (self.best is not None and answer.cost >= self.best.cost):
            return
        fitted = self._fill_room(answer, sheets)
        if fitted is not None:
            self.best = Cutting(answer.boards, tuple(fitted), answer.counts, answer.cost)
            self._tell()

    def _fill_room(self, answer: Answer, sheets: list[Sheet]) -> list[Sheet] | None:
        """Cut from as many sheets as there is no room to leave uncut."""
        room = self.instance.room
        if room is None:
            return sheets
        sheets = without_surplus(self.instance, answer.boards, sheets)
        for _ in range(self.instance.items + 1):
            idle = self._idle(answer, sheets)
            if idle.total() <= room:
                return sheets
            largest = sorted(idle, key=lambda key: -key[1].area)
            tried = (spread(self.instance, answer.boards, sheets, b, self.instance.grown(size)) for b, size in largest)
            more = next((fitted for fitted in tried if fitted is not None), None)
            if more is None:
                return None
            sheets = more
        return None

    def _idle(self, answer: Answer, sheets: list[Sheet]) -> Counter[tuple[int, Size]]:
        """Count the sheets of a basket that nothing is cut from, by board and size."""
        idle: Counter[tuple[int, Size]] = Counter()
        for (offer, board), count in answer.counts.items():
            idle[board, self.instance.offers[offer].size] += count
        by_board = {board: [s for s in sheets if s.board == board] for board in self.busy}
        return idle - self._needed(answer.boards, by_board)

    def _raise(self, bound: int) -> None:
        if bound > self.bound:
            self.bound = bound
            self._tell()

    def _tell(self, *, preparing: bool = False) -> None:
        if self.report is not None:
            self.report(self.stop.spent(), None if self.best is None else self.best.cost, self.bound, preparing)

    # proof -----------------------------------------------------------------------------------------------------

    def _price_all(self, boards: Sequence[int]) -> list[int]:
        """Go on proving what the prices of sheets suggest, board by board; return the boards not done with."""
        unpriced = []
        for board in boards:
            its = assigned(self.instance, self.boards, board)
            if its.demand and not self.settled and not self._price(board, its):
                unpriced.append(board)
        return unpriced

    def _price_together(self, together: Joint | None) -> Joint | None:
        """Go on with the boards that lots choose between, all at once; return None once that is done."""
        if together is None or self.settled:
            return None
        proven, done = together.solve(STEPS, self.stop)
        for bound in proven:
            self._obey(bound)
        self._raise(self.model.solve(self.stop.left() + 0.2, 0.5).bound)
        return None if done else together

    def _price(self, board: int, its: Assigned) -> bool:
        """Go on proving the rule that the prices of sheets suggest; return whether that is done."""
        programme, instance = self.known.programme(board), self.instance
        tags: dict[Size, int] = {}
        for size, price, _ in price_tags(instance, board, limited=True):
            tags[instance.grown(size)] = min(price, tags.get(instance.grown(size), price))
        demand = [its.demand[kind] for kind in programme.pricer.kinds]
        missing = [2.0 * max(tags.values(), default=1)] * len(demand)
        self._learn(board, self.searches[board])

        def meets(bound: Bound) -> bool:
            """Whether a rule alone makes the board cost what the search has it cost."""
            return _least(bound, its, tags) >= self.searches[board].cost

        proven, done = programme.solve(
            demand, its.free, price=tags, missing=missing, enough=meets, work=0, stop=self.stop, steps=STEPS
        )
        for bound in proven[-1:]:
            self._obey(bound)
        return done

    def _obey(self, bound: Bound) -> None:
        self.known.rules.append(bound)
        self.model.obey(bound)

    def _prove(self) -> None:
        """Find the cheapest basket that no rule forbids; refute it, or cut everything from it."""
        while not self.stop() and not self.settled:
            answer = self.model.solve(self.stop.left() + 0.2, 1.0)
            if answer.impossible:
                self.impossible = True
                return
            self._raise(answer.bound)
            if answer.cost is None or self.settled:
                return
            if not self._refute(answer):
                break
        self._aim()

    def _refute(self, answer: Answer) -> bool:
        """Prove a rule that forbids a basket, by the linear programme of each board; return whether one was found."""
        found = False
        for board in self.busy:
            if self.stop():
                break
            its, have = self._stocked(answer, board)
            if not its.demand:
                continue
            programme = self.known.programme(board)
            kinds = programme.pricer.kinds
            demand = [its.demand[kind] for kind in kinds]
            largest = max(kind.area for kind in kinds)
            missing = [kind.area / largest for kind in kinds]

            def forbids(bound: Bound, demand: list[int] = demand, have: Counter[Size] = have) -> bool:
                want = sum(v * d for v, d in zip(bound.values.values(), demand, strict=True))
                return want > sum(bound.worth.get(size, 0) * count for size, count in have.items())

            proven, _ = programme.solve(
                demand, have, price={}, missing=missing, enough=forbids, work=self.work, stop=self.stop
            )
            for bound in proven[-1:]:
                if forbids(bound):
                    self._obey(bound)
                    found = True
        return found

    def _stocked(self, answer: Answer, board: int) -> tuple[Assigned, Counter[Size]]:
        its = assigned(self.instance, answer.boards, board)
        have = Counter(its.free)
        for (b, size), count in answer.used.items():
            if b == board:
                have[self.instance.grown(size)] += count
        return its, have

    # aim -------------------------------------------------------------------------------------------------------

    def _aim(self, *, prove: bool = True) -> None:
        """Try to cut everything from baskets cheaper than the best, the roomiest first, that have not been tried."""
        for _ in range(4):
            if self.stop() or self.settled:
                return
            if self.trial is None:
                self.trial = self._fresh_trial()
            answer = self.trial.solve(self.stop.left() + 0.2, 0.2)
            if answer.cost is None:
                self.trial = None
                if self.wanted:  # what the boards want is a guess, so look again without
                    self.wanted.clear()
                    continue
                self.avoided = list(self.refuted)
                self.effort *= 2
                self.work = min(4 * self.work, 2 * 10**9)
                return
            if prove and self._refute(answer):
                self.trial = self._fresh_trial()
                continue
            self._cut_from(answer, exactly=prove)

    def _fresh_trial(self) -> Basket:
        trial = Basket(self.instance)
        for rule in self.known.rules:
            trial.obey(rule)
        for refused in self.avoided:
            trial.avoid(refused)
        if self.best is not None:
            trial.below(self.best.cost - 1, self.wanted)
        return trial

    def _cut_from(self, answer: Answer, *, exactly: bool) -> None:
        """Cut everything from the sheets of a basket, board by board; where that fails, from what else can be bought.

        A board whose sheets did not do is not tried again with the same lots and sheets.
        """
        done: dict[int, list[Sheet]] = {}
        exact = True
        for board in self.busy:
            its, have = self._stocked(answer, board)
            if not its.demand:
                continue
            if self.stop():
                return
            search = self._searched(board, Assigned(its.demand, have), [])
            sheets = _sheets(board, search) if search.complete else None
            if sheets is None and exactly:
                sheets = self._decide(board, answer)
            if sheets is None:
                exact = False
                self.avoided.append(answer.on(board))
                self.wanted[board] = min(ROOM // 8, answer.room.get(board, 0) + ROOM // 80)
                more = self._searched(board, its, _for_sale(self.instance, board, limited=True))
                if not more.complete:
                    return
                sheets = _sheets(board, more)
            done[board] = sheets
        self.trial = None
        if exact:
            self.wanted.clear()
            self._keep(answer, [sheet for its in done.values() for sheet in its])
        else:
            self._buy(answer.boards, done)
        if self.best is not None and self.best.boards != self.boards:
            self.boards = self.best.boards
            self._search_all(self.boards)

    def _searched(self, board: int, its: Assigned, bought: Sequence[Stock]) -> Search:
        """Search until everything is cut from what is held, or as long as the effort that is due."""
        search = self._search(board, its, bought)
        for _ in range(self.effort):
            if search.cost == 0 or self.stop():
                break
            search.improve(TURN)
            self.stop.done += TURN
        self._learn(board, search)
        return search

    def _decide(self, board: int, answer: Answer) -> list[Sheet] | None:
        """Decide exactly whether the sheets of a board give all its items; if not, that is proven too."""
        sheets, refused = cut_or_refuse(self.instance, self.known, answer, board, self.stop)
        if refused is not None:
            self.refuted.append(refused)
            self.model.avoid(refused)
        return sheets


def _sheets(board: int, search: Search) -> list[Sheet]:
    return [Sheet(board, search.stock[stock].size, part) for stock, part in search.sheets()]


def _least(bound: Bound, its: Assigned, tags: Mapping[Size, int]) -> int:
    """Return what the sheets of one board cost at least at fixed prices, by one rule."""
    short = sum(bound.values[kind] * count for kind, count in its.demand.items())
    short -= sum(bound.worth[size] * count for size, count in its.free.items())
    useful = [(tag, bound.worth[size]) for size, tag in tags.items() if bound.worth[size] > 0]
    if short <= 0 or not useful:
        return 0
    unit = gcd(*tags.values())
    return min(-(-short * tag // (worth * unit)) for tag, worth in useful) * unit


def _first_board(instance: Instance, number: int) -> int:
    """Choose the best liked board whose sheets take the lot, or failing that the best liked."""
    lot = instance.lots[number]
    return next((b for b in lot.boards if instance.fits(lot.size, b, instance.sizes[b])), lot.boards[0])


def _for_sale(instance: Instance, board: int, *, limited: bool) -> list[Stock]:
    """List what can be bought for a board, at about what it costs."""
    tags = price_tags(instance, board, limited=limited)
    return [Stock(instance.grown(size), price, count or instance.items) for size, price, count in tags]

"""The local searches of all boards, side by side, at about what their sheets cost."""

from collections.abc import Sequence
from dataclasses import replace

from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Instance
from nesting.packing.pools import Pools
from nesting.packing.ruin_recreate import RuinRecreate, Stock
from nesting.packing.solution import BoardDemand, Sheet, board_demand, price_tags
from nesting.packing.stop import Stop

__all__ = ["TURN", "BoardSearches", "for_sale", "sheets_of"]

TURN = 200
"""Rounds of search on each board in a turn."""

APART = 7919
"""So far apart are the seeds of a search and the next, lest what was tried in vain be tried in the same way again."""

GUIDES = 4
"""How many of the inequalities last proven on a board lead its search."""


class BoardSearches:
    """A search for each board that has anything to cut.

    Parameters
    ----------
    instance : Instance
        The problem.
    pools : Pools
        Gives the kernels and the inequalities that lead, and learns the patterns found.
    best : Incumbent
        Keeps what is found, with the sheets bought for it.
    stop : Stop
        Counts the rounds.
    seed : int
        Steers all of them.
    """

    def __init__(self, instance: Instance, pools: Pools, best: Incumbent, stop: Stop, seed: int) -> None:
        self.busy = sorted({b for lot in instance.lots for b in lot.boards})
        self.boards = _first_boards(instance)
        self._instance, self._pools, self._incumbent, self._stop, self._seed = instance, pools, best, stop, seed
        self._running: dict[int, RuinRecreate] = {}
        self._offered: int | None = None
        self._begun = 0

    def open(self, rounds: int) -> None:
        """Begin on every board, and seek a first cutting with what may stand in its way left out."""
        self.start()
        self.improve(rounds)
        if self._incumbent.solution is None:  # the limits of offers, which boards share, may stand in the way
            self.start(limited=False)
            self.improve(rounds)
        if self._incumbent.solution is None and self._instance.room is not None:
            # so may sheets that packs and minimums leave uncut
            self.start(limited=False, singly=True)
            self.improve(rounds)
            self.start()
            self.improve(rounds)

    def start(self, *, limited: bool = True, singly: bool = False) -> None:
        """Begin anew, with or without offers that are limited, or only with those sold singly."""
        self._running.clear()
        self._offered = None
        offers = tuple(o for o in self._instance.offers if not singly or o.pack == o.at_least == 1)
        shops = replace(self._instance, offers=offers)
        for board in self.busy:
            its = board_demand(self._instance, self.boards, board)
            if its.demand:
                self._running[board] = self._search(board, its, for_sale(shops, board, limited=limited))

    def adopt_assignment(self) -> None:
        """Begin anew with the boards of the best cutting, where it has others."""
        cutting = self._incumbent.solution
        if cutting is not None and cutting.boards != self.boards:
            self.boards = cutting.boards
            self.start()

    def improve(self, rounds: int) -> None:
        """Let each that has anything to gain go on for so many rounds, and buy for all if they have become cheaper."""
        for search in self._running.values():
            if search.cost > 0:
                search.improve(rounds)
                self._stop.done += rounds
        total = sum(search.cost for search in self._running.values())
        if self._offered is None or total < self._offered:
            self._offered = total
            if all(search.complete for search in self._running.values()):
                self._incumbent.buy(self.boards, [sheet for board in self._running for sheet in self.sheets(board)])

    def cost(self, board: int) -> int:
        """Return about what the sheets of a board cost."""
        return self._running[board].cost

    def sheets(self, board: int) -> list[Sheet]:
        """Return the sheets in use of a board."""
        return sheets_of(board, self._running[board])

    def add_patterns(self) -> None:
        """Keep the patterns of all of them to choose from."""
        for board in self._running:
            self._pools.add_patterns(self.sheets(board))

    def search_stock(self, board: int, its: BoardDemand, bought: Sequence[Stock], turns: int) -> RuinRecreate:
        """RuinRecreate apart from the others until everything is cut from what is free, or for so many turns."""
        search = self._search(board, its, bought)
        for _ in range(turns):
            if search.cost == 0 or self._stop():
                break
            search.improve(TURN)
            self._stop.done += TURN
        self._pools.add_patterns(sheets_of(board, search))
        return search

    def _search(self, board: int, its: BoardDemand, bought: Sequence[Stock]) -> RuinRecreate:
        instance = self._instance
        self._begun += 1
        free = [
            Stock(size, 0, count)
            for size, count in sorted(its.free.items(), key=lambda item: -item[0].area)
            if any(instance.fits(kind, board, [size]) for kind in its.demand)
        ]
        return RuinRecreate(
            self._pools.engine,
            its.demand,
            [*free, *bought],
            turn=instance.turn[board],
            longest=instance.longest_grown,
            seed=self._seed + 1 + board + APART * self._begun,
            guides=[inequality.values for inequality in self._pools.inequalities if inequality.board == board][
                -GUIDES:
            ],
        )


def _first_boards(instance: Instance) -> tuple[int, ...]:
    """Choose for each lot the best liked board whose sheets take it, or failing that the best liked."""
    return tuple(
        next((b for b in lot.boards if instance.fits(lot.size, b, instance.sizes[b])), lot.boards[0])
        for lot in instance.lots
    )


def sheets_of(board: int, search: RuinRecreate) -> list[Sheet]:
    """Return the sheets that a search has in use."""
    return [Sheet(board, search.stock[stock].size, part) for stock, part in search.sheets()]


def for_sale(instance: Instance, board: int, *, limited: bool) -> list[Stock]:
    """List what can be bought for a board, at about what it costs."""
    tags = price_tags(instance, board, limited=limited)
    return [Stock(instance.grown(size), price, count or instance.items) for size, price, count in tags]

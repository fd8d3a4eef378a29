"""Column and inequality pools: what holds for the boards of a job whatever sheets cost.

Inequalities and patterns depend on sizes alone. A plan at another discount, at one shop, without fallout or with fewer
pieces uses them again and need not find them a second time.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from nesting.packing.board_lp import BoardLP, Column
from nesting.packing.engine import Engine, interpreted
from nesting.packing.instance import Instance
from nesting.packing.master import NoGood
from nesting.packing.pattern import GrownSize
from nesting.packing.pricing import Pricer, ValidInequality
from nesting.packing.solution import BoardDemand, Sheet, Solution, lots_demand
from nesting.packing.subsets import list_subsets

__all__ = ["Pools"]

MOST_SOLUTIONS = 20
"""How many solutions are kept."""


@dataclass(frozen=True, slots=True)
class _KnownNoGood:
    """A no-good that a later solve can check: its board's stock in `proven` does not give its demand."""

    no_good: NoGood
    proven: BoardDemand

    @classmethod
    def of(cls, instance: Instance, no_good: NoGood) -> "_KnownNoGood":
        return cls(no_good, _proves(instance, no_good))

    def holds(self, instance: Instance) -> bool:
        """Return whether it forbids as much in this instance, where stock that nothing can be cut from is nothing."""
        lots = self.no_good.needed | self.no_good.there
        if any(number >= len(instance.lots) for number in lots):
            return False
        board, its = self.no_good.board, _proves(instance, self.no_good)
        sizes = [instance.true(kind) for kind in self.proven.demand]
        more = (instance.true(size) for size in its.free - self.proven.free)
        return its.demand >= self.proven.demand and not any(
            instance.fits(size, board, [space]) for space in more for size in sizes
        )


def _proves(instance: Instance, no_good: NoGood) -> BoardDemand:
    """Return the demand and the stock that a no-good says do not go together."""
    needed, there = (lots_demand(instance, lots, no_good.board) for lots in (no_good.needed, no_good.there))
    used = Counter({instance.grown(size): count for size, count in no_good.used.items()})
    return BoardDemand(needed.demand, there.free + used)


class Pools:
    """The valid inequalities and no-goods of all boards, and for each board a linear programme that holds its columns.

    Parameters
    ----------
    instance : Instance
        With every item and every size of stock of all the instances that use these pools.
    """

    def __init__(self, instance: Instance) -> None:
        self._instance = instance
        self._engine: Engine = interpreted()
        self._inequalities: list[ValidInequality] = []
        self._lps: dict[int, BoardLP] = {}
        self._listed: set[int] = set()
        self._solutions: list[Solution] = []
        self._no_goods: list[_KnownNoGood] = []

    @property
    def engine(self) -> Engine:
        """The kernels that the linear programmes run."""
        return self._engine

    @property
    def filled(self) -> bool:
        """Whether an earlier solve has left anything to begin with."""
        return bool(self._lps)

    @property
    def inequalities(self) -> tuple[ValidInequality, ...]:
        """The valid inequalities of all boards, in the order in which they were proven."""
        return tuple(self._inequalities)

    def inequalities_of(self, board: int) -> list[ValidInequality]:
        """Return the valid inequalities of one board, the newest last."""
        return [inequality for inequality in self._inequalities if inequality.board == board]

    def add_inequality(self, inequality: ValidInequality) -> None:
        """Add a valid inequality."""
        self._inequalities.append(inequality)

    def add_no_good(self, instance: Instance, no_good: NoGood) -> None:
        """Add a no-good that is proven for this instance."""
        self._no_goods.append(_KnownNoGood.of(instance, no_good))

    def no_goods(self, instance: Instance) -> list[NoGood]:
        """Return the no-goods that hold in an instance: it needs at least as much and has no more to cut it from."""
        return [known.no_good for known in self._no_goods if known.holds(instance)]

    @property
    def solutions(self) -> tuple[Solution, ...]:
        """What earlier solves ended with, the newest last."""
        return tuple(self._solutions)

    def remember(self, solution: Solution) -> None:
        """Keep what a solve ended with for those after it."""
        same = [
            known for known in self._solutions if (known.boards, known.sheets) == (solution.boards, solution.sheets)
        ]
        if not same:
            self._solutions = [*self._solutions[1 - MOST_SOLUTIONS :], solution]

    def use_engine(self, engine: Engine) -> None:
        """Change to other kernels: the inequalities stay, the linear programmes and their columns are made again."""
        self._engine = engine
        self._lps.clear()
        self._listed.clear()

    def board_lp(self, board: int, *, listed: bool = True) -> BoardLP:
        """Return the linear programme of a board, built on first use, with its sets of items listed if `listed`."""
        if board not in self._lps:
            self._lps[board] = self._new_lp(board)
        if listed and board not in self._listed:
            self._listed.add(board)
            self._list_sets(board)
        return self._lps[board]

    def columns(self) -> list[tuple[int, Column]]:
        """List the columns of all boards, each with its board."""
        return [(board, column) for board, lp in self._lps.items() for column in lp.columns]

    def add_patterns(self, sheets: Iterable[Sheet]) -> None:
        """Add the patterns of these sheets as columns."""
        for sheet in sheets:
            lp = self.board_lp(sheet.board)
            if sheet.size in lp.pricer.stock:
                lp.add(sheet.size, sheet.part)

    def _new_lp(self, board: int) -> BoardLP:
        instance = self._instance
        most = Counter[GrownSize]()
        for lot in instance.lots:
            if board in lot.boards:
                most[instance.kind(instance.grown(lot.size), board)] += len(lot.items)
        for_sale = [instance.grown(size) for size in instance.sizes[board]]
        free = sorted({(stock.lot is not None, stock.size) for stock in instance.free_stock[board]})  # held ones first
        stock = [*for_sale, *(size for _, size in free)]
        kinds = sorted(most)
        longest = instance.longest_grown
        pricer = Pricer(self._engine, kinds, stock, instance.turn[board], longest)
        return BoardLP(board, pricer, [most[k] for k in kinds], longest=longest)

    def _list_sets(self, board: int) -> None:
        """List the sets of items that a sheet holds; if they are too many, then without the largest sheets."""
        lp, instance = self._lps[board], self._instance
        stock = lp.pricer.stock
        largest = max(stock, key=lambda size: size.area)
        for sizes in (stock, [size for size in stock if size != largest]):
            if sizes and lp.subsets is None:
                lp.list_subsets(
                    list_subsets(
                        self._engine,
                        lp.most,
                        sizes,
                        turn=instance.turn[board],
                        longest=instance.longest_grown,
                        room=self._engine.sets,
                    )
                )

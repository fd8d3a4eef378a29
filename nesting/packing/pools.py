"""Column and inequality pools: what holds for the boards of a job whatever sheets cost.

Inequalities and patterns depend on sizes alone. A plan at another discount, at one shop, without fallout or with fewer
pieces uses them again and need not find them a second time.
"""

from collections import Counter
from collections.abc import Iterable

from nesting.geometry import Size
from nesting.packing.board_lp import BoardLP
from nesting.packing.engine import Engine, interpreted
from nesting.packing.instance import Instance
from nesting.packing.pricing import Pricer, ValidInequality
from nesting.packing.solution import Sheet
from nesting.packing.subsets import list_subsets

__all__ = ["Pools"]


class Pools:
    """Rules and patterns by board, learned with one set of kernels.

    Parameters
    ----------
    instance : Instance
        With every item and every size of stock that any of the instances has that are solved with this knowledge.
    """

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.engine: Engine = interpreted()
        self.inequalities: list[ValidInequality] = []
        self.board_lps: dict[int, BoardLP] = {}
        self._listed: set[int] = set()

    @property
    def begun(self) -> bool:
        """Whether there is anything to go on from."""
        return bool(self.board_lps)

    def use_engine(self, engine: Engine) -> None:
        """Go on with other kernels; the inequalities stay."""
        self.engine = engine
        self.board_lps.clear()
        self._listed.clear()

    def board_lp(self, board: int, *, listed: bool = True) -> BoardLP:
        """Return the linear programme of a board, made when it is first asked for, and with its sets if `listed`."""
        if board not in self.board_lps:
            instance = self.instance
            most = Counter[Size]()
            for lot in instance.lots:
                if board in lot.boards:
                    most[instance.kind(instance.grown(lot.size), board)] += len(lot.items)
            held = {h.size for h in instance.held if h.board == board and min(h.size) > 0}
            fallen = {f for lot in instance.lots if board in lot.boards for f in lot.fallouts if min(f) > 0}
            stock = [instance.grown(s) for s in (*instance.sizes[board], *sorted(held), *sorted(fallen))]
            kinds = sorted(most)
            longest = instance.longest_grown
            pricer = Pricer(self.engine, kinds, stock, instance.turn[board], longest)
            self.board_lps[board] = BoardLP(board, pricer, [most[k] for k in kinds], longest=longest)
        if listed and board not in self._listed:
            self._listed.add(board)
            self._list_sets(board)
        return self.board_lps[board]

    def add_patterns(self, sheets: Iterable[Sheet]) -> None:
        """Keep the patterns of these sheets to choose from."""
        for sheet in sheets:
            lp = self.board_lp(sheet.board)
            if sheet.size in lp.pricer.stock:
                lp.add(sheet.size, sheet.part)

    def _list_sets(self, board: int) -> None:
        """List the sets of items of a board if they are not too many, if need be without its largest sheets."""
        lp, instance = self.board_lps[board], self.instance
        stock = lp.pricer.stock
        largest = max(stock, key=lambda size: size.area)
        for sizes in (stock, [size for size in stock if size != largest]):
            if sizes and lp.subsets is None:
                lp.list_subsets(
                    list_subsets(
                        self.engine,
                        lp.most,
                        sizes,
                        turn=instance.turn[board],
                        longest=instance.longest_grown,
                        room=self.engine.sets,
                    )
                )

"""The linear programme of several boards together, the linked ones or all, solved by column generation.

Boards are linked if some lot may be cut from either of them. The linear programme of one board, with the lots that the
incumbent happens to assign to it, proves little there and generates no columns for the lots that other boards have.
Here the assignment is part of the linear programme: each lot is divided into shares of its boards. So a lot has the
same dual value on every board, that of the board where it is cheapest.

References
----------
Dantzig & Wolfe (1960), Oper. Res. 8: one master over several subproblems. Gilmore & Gomory (1965), Oper. Res. 13: the
columns.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

from ortools.linear_solver import pywraplp

from nesting.packing.board_lp import BoardLP, Column, ColumnKey, least_improving, whole_values
from nesting.packing.bounded_pricing import BoundedPricer
from nesting.packing.instance import Instance, Lot
from nesting.packing.pattern import GrownSize
from nesting.packing.pools import Pools
from nesting.packing.pricing import Pricer, ValidInequality
from nesting.packing.solution import Sheet, price_tags
from nesting.packing.stop import Stop

__all__ = ["JointLP", "linked_boards"]


MANY = 300
"""How many patterns of a size of stock are listed at most, where those of some reduced cost are wanted."""


def linked_boards(instance: Instance) -> tuple[int, ...]:
    """Return the boards of all lots that have more than one."""
    return tuple(sorted({board for lot in instance.lots if len(lot.boards) > 1 for board in lot.boards}))


class JointLP:
    """Cover every lot by patterns of the stock of its boards.

    Parameters
    ----------
    instance : Instance
        The problem.
    pools : Pools
        Gives the kinds and the stock of each board.
    boards : sequence of int
        The boards; lots that have none of them are left out.
    bounded : bool
        Whether no pattern may have more of a kind than there are, where that can be told.
    """

    def __init__(self, instance: Instance, pools: Pools, boards: Sequence[int], *, bounded: bool = False) -> None:
        self._instance, self._boards = instance, boards
        self._lp = pywraplp.Solver.CreateSolver("GLOP")
        self._infinity = self._lp.infinity()
        self._cover: dict[tuple[int, GrownSize], pywraplp.Constraint] = {}
        self._limit: dict[tuple[int, GrownSize], pywraplp.Constraint] = {}
        self._taken: dict[int, int] = dict.fromkeys(boards, 0)
        self._values: dict[int, list[int]] = {}
        self._columns: list[tuple[int, Column]] = []
        self._times: list[pywraplp.Variable] = []
        self._places: dict[tuple[int, ColumnKey], int] = {}
        self._bounded: dict[int, BoundedPricer] = {}
        for board in boards if bounded else ():
            pricer = BoundedPricer.of(pools.board_lp(board))
            if pricer is not None:
                self._bounded[board] = pricer
        self._lp.Objective().SetMinimization()
        for board in boards:
            self._rows(board, pools.board_lp(board).pricer)
        for lot in instance.lots:
            if set(lot.boards) & set(boards):
                self._share(lot)
        self._offers()

    def _rows(self, board: int, pricer: Pricer) -> None:
        """Make the rows of a board: items covered, stock not exceeded; and what it costs to leave items out."""
        held = Counter[GrownSize]()
        for stock in self._instance.free_stock[board]:
            held[stock.size] += stock.count if stock.lot is None else 0
        missing = 2 * max((price for _, price, _ in price_tags(self._instance, board, limited=False)), default=1)
        for kind in pricer.kinds:
            row = self._cover[board, kind] = self._lp.Constraint(0, self._infinity)
            self._variable([(row, 1)], cost=missing)
        for size in pricer.stock:
            self._limit[board, size] = self._lp.Constraint(-self._infinity, held[size])

    def _share(self, lot: Lot) -> None:
        """Divide a lot into shares of its boards that add up to one; each share brings its part of the fallouts."""
        one = self._lp.Constraint(1, 1)
        for board in lot.boards:
            kind = self._instance.kind(self._instance.grown(lot.size), board)
            fallouts = self._instance.usable_fallouts(lot)
            rows = [self._cover[board, kind], *(self._limit[board, size] for size in fallouts)]
            self._variable([(one, 1), *((row, -len(lot.items)) for row in rows)], cost=0)

    def _offers(self) -> None:
        """Let sheets be bought at approximate prices; the limits of offers hold over all boards."""
        limits: dict[tuple[int, ...], pywraplp.Constraint] = {}
        for board in self._boards:
            for size, price, count in price_tags(self._instance, board, limited=True):
                terms = [(self._limit[board, self._instance.grown(size)], -1)]
                if count is not None:
                    key = (*size, price, count)
                    if key not in limits:
                        limits[key] = self._lp.Constraint(-self._infinity, count)
                    terms.append((limits[key], 1))
                self._variable(terms, cost=price)

    def _variable(self, terms: Sequence[tuple[pywraplp.Constraint, int]], cost: int) -> pywraplp.Variable:
        variable = self._lp.NumVar(0, self._infinity, "")
        for row, count in terms:
            row.SetCoefficient(variable, row.GetCoefficient(variable) + count)
        self._lp.Objective().SetCoefficient(variable, cost)
        return variable

    @property
    def cost(self) -> float:
        """What the solution costs, with what it costs to leave items out."""
        return float(self._lp.Objective().Value())

    @property
    def columns(self) -> Sequence[tuple[int, Column]]:
        """The columns, each with its board."""
        return self._columns

    def times(self) -> list[tuple[int, float]]:
        """List which columns the solution uses, by their place, and how often."""
        found = ((place, float(variable.solution_value())) for place, variable in enumerate(self._times))
        return [(place, times) for place, times in found if times > 0]

    def reduced_costs(self) -> list[float]:
        """List the reduced costs of all columns, by their place."""
        return [float(variable.reduced_cost()) for variable in self._times]

    def places(self, pools: Pools, sheets: Sequence[Sheet]) -> list[int]:
        """List the places of the columns of sheets, each as often as it is used; patterns not known yet are added."""
        pools.add_patterns(sheets)
        self._take_columns(pools)
        self._lp.Solve()
        keys = [(one.board, pools.board_lp(one.board).column(one.size, one.part).key) for one in sheets]
        return [self._places[key] for key in keys if key in self._places]

    def use(self, least: Mapping[int, int]) -> bool:
        """Use columns, by their place, at least so often, and solve again; return whether that can be."""
        for place, times in least.items():
            self._times[place].SetLb(times)
        return bool(self._lp.Solve() == pywraplp.Solver.OPTIMAL)

    def list_columns(self, pools: Pools, gap: float, stop: Stop) -> None:
        """Add the columns of a reduced cost up to `gap`, as far as they can be listed, and solve again."""
        for board, bounded in self._bounded.items():
            lp = pools.board_lp(board)
            scale, values, stock_duals = self._duals(board, lp)
            if scale > 0:
                least = {size: max(1, least_improving(scale, dual - gap)) for size, dual in stock_duals.items()}
                for size, part in bounded.price(values, least, stop, best=MANY).patterns:
                    lp.add(size, part)
        self._take_columns(pools)
        self._lp.Solve()

    def solve(self, pools: Pools, iterations: int, stop: Stop) -> tuple[list[ValidInequality], bool]:
        """Generate columns for all boards a number of times.

        Parameters
        ----------
        pools : Pools
            Its linear programmes price; they give their columns and take the new ones.
        iterations : int
            How many times.
        stop : Stop
            Whether time is up.

        Returns
        -------
        list of ValidInequality
            What the last dual values prove on each board.
        bool
            Whether no board has a column of negative reduced cost left.
        """
        proven: dict[int, ValidInequality] = {}
        for _ in range(iterations):
            self._take_columns(pools)
            if stop() or self._lp.Solve() != pywraplp.Solver.OPTIMAL:
                break
            added = [self._price(board, pools.board_lp(board), proven, stop) for board in self._boards if not stop()]
            if not any(added) and not stop():
                return list(proven.values()), True
        return list(proven.values()), False

    def _price(self, board: int, lp: BoardLP, proven: dict[int, ValidInequality], stop: Stop) -> bool:
        """Add the columns of a board that have negative reduced cost; return whether there were any."""
        scale, values, stock_duals = self._duals(board, lp)
        if scale <= 0 or values == self._values.get(board):
            return False
        if board in self._bounded:
            least = {size: least_improving(scale, dual) for size, dual in stock_duals.items()}
            bounded = self._bounded[board].price(values, least, stop)
            proven[board], patterns = bounded.inequality, bounded.patterns
        else:
            priced = lp.price(values)
            sizes = [size for size, dual in stock_duals.items() if priced.improves(size, scale, stock_dual=dual)]
            proven[board], patterns = priced.inequality, tuple((size, priced.pattern(size)) for size in sizes)
        added = [lp.add(size, part) for size, part in patterns]
        if not any(added):
            self._values[board] = values
        return any(added)

    def _duals(self, board: int, lp: BoardLP) -> tuple[float, list[int], dict[GrownSize, float]]:
        """Return the largest dual value of a kind, the whole values of all kinds, and the dual values of the stock."""
        duals = [max(0.0, self._cover[board, kind].dual_value()) for kind in lp.pricer.kinds]
        scale = max(duals)
        stock_duals = {size: -float(self._limit[board, size].dual_value()) for size in lp.pricer.stock}
        return scale, whole_values(duals) if scale > 0 else [], stock_duals

    def _take_columns(self, pools: Pools) -> None:
        """Add the columns that the linear programmes of the boards have beyond those added before."""
        for board in self._boards:
            lp = pools.board_lp(board)
            for column in lp.columns[self._taken[board] :]:
                if lp.is_within(column) if board in self._bounded else lp.allows(column):
                    terms = [(self._cover[board, kind], count) for kind, count in column.kinds.items()]
                    self._times.append(self._variable([(self._limit[board, column.stock], 1), *terms], cost=0))
                    self._places[board, column.key] = len(self._columns)
                    self._columns.append((board, column))
            self._taken[board] = len(lp.columns)

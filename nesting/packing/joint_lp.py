"""The linear programme of all boards that lots may choose between, by columns: which values of items prove most.

Each board by itself, with the lots that the best cutting happens to give it, proves little where lots may change board,
and makes no patterns for those that it does not have. Here the choice is part of the programme, as a share of each lot
for each of its boards; so a lot is worth on every board what it is worth where it is cheapest.

References
----------
Dantzig & Wolfe (1960), Oper. Res. 8: one master over several subproblems. Gilmore & Gomory (1965): the columns.
"""

from collections import Counter
from collections.abc import Callable, Sequence

from ortools.linear_solver import pywraplp

from nesting.geometry import Size
from nesting.packing.board_lp import WHOLE
from nesting.packing.instance import Instance, Lot
from nesting.packing.pools import Pools
from nesting.packing.pricing import ValidInequality
from nesting.packing.solution import price_tags

__all__ = ["JointLP", "tied"]


def tied(instance: Instance) -> tuple[int, ...]:
    """Return the boards that some lot may be given or not."""
    return tuple(sorted({board for lot in instance.lots if len(lot.boards) > 1 for board in lot.boards}))


class JointLP:
    """Cover every lot by patterns of the stock of one of its boards, or by shares of several.

    Parameters
    ----------
    instance : Instance
        The problem.
    pools : Pools
        Its programmes by board give patterns and take new ones.
    boards : sequence of int
        The boards that are tied to each other; lots of others are left out.
    """

    def __init__(self, instance: Instance, pools: Pools, boards: Sequence[int]) -> None:
        self.instance, self.pools, self.boards = instance, pools, boards
        self._lp = pywraplp.Solver.CreateSolver("GLOP")
        self._infinity = self._lp.infinity()
        self._cover: dict[tuple[int, Size], pywraplp.Constraint] = {}
        self._limit: dict[tuple[int, Size], pywraplp.Constraint] = {}
        self._taken: dict[int, int] = dict.fromkeys(boards, 0)
        self._values: dict[int, list[int]] = {}
        self._lp.Objective().SetMinimization()
        for board in boards:
            self._rows(board)
        for lot in instance.lots:
            if set(lot.boards) & set(boards):
                self._share(lot)
        self._offers()

    def _rows(self, board: int) -> None:
        """Make the rows of a board: items covered, stock not exceeded; and what it costs to leave items out."""
        instance, pricer = self.instance, self.pools.board_lp(board).pricer
        held = Counter[Size]()
        for its in instance.held:
            if its.board == board:
                held[instance.grown(its.size)] += its.count
        missing = 2 * max((price for _, price, _ in price_tags(instance, board, limited=False)), default=1)
        for kind in pricer.kinds:
            row = self._cover[board, kind] = self._lp.Constraint(0, self._infinity)
            self._variable([(row, 1)], cost=missing)
        for size in pricer.stock:
            self._limit[board, size] = self._lp.Constraint(-self._infinity, held[size])

    def _share(self, lot: Lot) -> None:
        """Give a lot to its boards in shares that make up one; a share brings its part of the fallouts."""
        one = self._lp.Constraint(1, 1)
        for board in lot.boards:
            kind = self.instance.kind(self.instance.grown(lot.size), board)
            fallen = [self.instance.grown(fallout) for fallout in lot.fallouts if min(fallout) > 0]
            rows = [self._cover[board, kind], *(self._limit[board, size] for size in fallen)]
            self._variable([(one, 1), *((row, -len(lot.items)) for row in rows)], cost=0)

    def _offers(self) -> None:
        """Let sheets be bought at about what they cost; the limits of offers hold over all boards."""
        limits: dict[tuple[int, ...], pywraplp.Constraint] = {}
        for board in self.boards:
            for size, price, count in price_tags(self.instance, board, limited=True):
                terms = [(self._limit[board, self.instance.grown(size)], -1)]
                if count is not None:
                    key = (*size, price, count)
                    if key not in limits:
                        limits[key] = self._lp.Constraint(-self._infinity, count)
                    terms.append((limits[key], 1))
                self._variable(terms, cost=price)

    def _variable(self, terms: Sequence[tuple[pywraplp.Constraint, int]], cost: int) -> None:
        variable = self._lp.NumVar(0, self._infinity, "")
        for row, count in terms:
            row.SetCoefficient(variable, row.GetCoefficient(variable) + count)
        self._lp.Objective().SetCoefficient(variable, cost)

    def solve(self, steps: int, stop: Callable[[], bool]) -> tuple[list[ValidInequality], bool]:
        """Make columns for all boards a number of times.

        Parameters
        ----------
        steps : int
            How many times.
        stop : callable
            Whether time is up.

        Returns
        -------
        list of ValidInequality
            The inequality that the last values prove on each board.
        bool
            Whether no board has a column left that would help.
        """
        inequalities: dict[int, ValidInequality] = {}
        for _ in range(steps):
            self._take_columns()
            if stop() or self._lp.Solve() != pywraplp.Solver.OPTIMAL:
                break
            added = [self._price(board, inequalities) for board in self.boards if not stop()]
            if not any(added):
                return list(inequalities.values()), True
        return list(inequalities.values()), False

    def _price(self, board: int, inequalities: dict[int, ValidInequality]) -> bool:
        """Make the columns of a board that help at the present values; return whether there were any."""
        lp = self.pools.board_lp(board)
        duals = [max(0.0, self._cover[board, kind].dual_value()) for kind in lp.pricer.kinds]
        scale = max(duals)
        if scale <= 0:
            return False
        values = [int(dual / scale * WHOLE) for dual in duals]
        if values == self._values.get(board):
            return False
        bound, pattern = lp.price(values)
        inequalities[board] = bound
        added = False
        for size in lp.pricer.stock:
            floor = -self._limit[board, size].dual_value()
            if bound.worth[size] * scale / WHOLE > floor + 1e-7 * (1 + floor):
                added |= lp.add(size, pattern(size))
        if not added:
            self._values[board] = values
        return added

    def _take_columns(self) -> None:
        """Take in the patterns that the programmes have beyond those taken before."""
        for board in self.boards:
            lp = self.pools.board_lp(board)
            for column in lp.columns[self._taken[board] :]:
                if lp.allows(column):
                    terms = [(self._cover[board, kind], count) for kind, count in column.kinds.items()]
                    self._variable([(self._limit[board, column.stock], 1), *terms], cost=0)
            self._taken[board] = len(lp.columns)

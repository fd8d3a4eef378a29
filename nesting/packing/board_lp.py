"""The linear programme of one board, solved by column generation.

Columns are patterns; pricing finds those of negative reduced cost by the recursion in `pricing`. No floating-point
number is trusted: the dual values only propose whole values for the items, and what those prove (`ValidInequality`) is
computed again in whole numbers.

References
----------
Gilmore & Gomory (1961, 1965), Oper. Res. 9 and 13: column generation.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from ortools.linear_solver import pywraplp

from nesting.packing.filling_kernels import ways
from nesting.packing.pattern import GrownSize, Part, contents, legal
from nesting.packing.pricing import Pricer, ValidInequality
from nesting.packing.subsets import Subsets

__all__ = ["BoardLP", "Column", "ColumnKey", "PricingResult", "least_improving", "whole_values"]

WHOLE = 1 << 24
"""The largest dual value becomes this whole number; the others are scaled alike and rounded down."""


ColumnKey = tuple[GrownSize, tuple[tuple[GrownSize, int], ...]]
"""The stock of a column, and how many of each kind it cuts, in order."""


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern of one stock size: how many of each kind it cuts."""

    stock: GrownSize
    part: Part
    kinds: Mapping[GrownSize, int]

    @property
    def key(self) -> ColumnKey:
        """What columns have in common that are the same to a linear programme."""
        return self.stock, tuple(sorted(self.kinds.items()))


@dataclass(frozen=True, slots=True)
class PricingResult:
    """What pricing finds by whole values of the items: the inequality that they prove, and the best patterns."""

    inequality: ValidInequality
    pattern: Callable[[GrownSize], Part]

    def improves(self, size: GrownSize, scale: float, *, stock_dual: float) -> bool:
        """Whether the best pattern of a stock size has negative reduced cost; `scale` is the largest dual value."""
        return self.inequality.worth[size] * scale / WHOLE > stock_dual + 1e-7 * (1 + stock_dual)


def least_improving(scale: float, stock_dual: float) -> int:
    """Return the least whole value of a pattern that has negative reduced cost, in the terms of `whole_values`."""
    return int((stock_dual + 1e-7 * (1 + stock_dual)) * WHOLE / scale) + 1


def whole_values(duals: Sequence[float]) -> list[int]:
    """Return whole numbers in proportion to dual values, of which at least one is positive."""
    scale = max(duals)
    return [int(dual / scale * WHOLE) for dual in duals]


class BoardLP:
    """Cover the demand of one board by patterns of its stock; it can be solved again with other demands and stock.

    Parameters
    ----------
    board : int
        Its number.
    pricer : Pricer
        The recursion on its kinds and stock.
    most : Sequence of int
        How many items of each kind there are at most, in any assignment.
    longest : int or None
        The longest straight cut, grown by the kerf.
    """

    def __init__(self, board: int, pricer: Pricer, most: Sequence[int], *, longest: int | None) -> None:
        self.board = board
        self.pricer = pricer
        self.subsets: Subsets | None = None
        self.columns: list[Column] = []
        self._most = most
        self.most = dict(zip(pricer.kinds, most, strict=True))
        """How many items of each kind there are at most."""
        self._longest = longest
        self._variables: list[pywraplp.Variable] = []
        self._known: set[ColumnKey] = set()
        self._kind = (
            {s: k for k in pricer.kinds for s in (k, k.turned)} if pricer.turn else {k: k for k in pricer.kinds}
        )
        # a sheet whose first cut is too long either way may be bought, but nothing can be cut from it
        self._useless = frozenset(
            space
            for space in pricer.stock
            if not any(ways(lying.w, lying.h, space.w, space.h, pricer.longest) for lying in self._kind)
        )
        self._lp = pywraplp.Solver.CreateSolver("GLOP")
        infinity = self._lp.infinity()
        self._cover = [self._lp.Constraint(0, infinity) for _ in pricer.kinds]
        self._limit = {s: self._lp.Constraint(-infinity, 0) for s in pricer.stock}
        self._missing = [self._lp.NumVar(0, infinity, "") for _ in pricer.kinds]
        self._bought = {s: self._lp.NumVar(0, infinity, "") for s in pricer.stock}
        self._lp.Objective().SetMinimization()
        for row, variable in zip(self._cover, self._missing, strict=True):
            row.SetCoefficient(variable, 1)
        for size, row in self._limit.items():
            row.SetCoefficient(self._bought[size], -1)

    def list_subsets(self, subsets: Subsets | None) -> None:
        """Use listed sets to price the stock that they are listed for; close its columns with too many of a kind."""
        self.subsets = subsets
        if subsets is not None:
            for variable, column in zip(self._variables, self.columns, strict=True):
                if not self.allows(column):
                    variable.SetUb(0.0)

    def allows(self, column: Column) -> bool:
        """Whether a column has no more of any kind than there are; always true of stock without listed sets."""
        return self.subsets is None or column.stock not in self.subsets.stock or self.is_within(column)

    def is_within(self, column: Column) -> bool:
        """Whether a column has no more of any kind than there are."""
        return all(count <= self.most[kind] for kind, count in column.kinds.items())

    def kind(self, item: GrownSize) -> GrownSize:
        """Return the kind of an item, whichever way it lies."""
        return self._kind[item]

    def column(self, stock: GrownSize, part: Part) -> Column:
        """Return the column of a pattern, whether or not it is known."""
        kinds: dict[GrownSize, int] = {}
        for size, count in contents(part).items():
            kinds[self._kind[size]] = kinds.get(self._kind[size], 0) + count
        return Column(stock, part, kinds)

    def add(self, stock: GrownSize, part: Part) -> bool:
        """Add a pattern as a column; return whether it is new and legal."""
        column = self.column(stock, part)
        kinds, key = column.kinds, column.key
        if not kinds or key in self._known or not legal(part, stock, self._longest):
            return False
        self._known.add(key)
        self.columns.append(column)
        variable = self._lp.NumVar(0, self._lp.infinity(), "")
        for place, kind in enumerate(self.pricer.kinds):
            if kind in kinds:
                self._cover[place].SetCoefficient(variable, kinds[kind])
        self._limit[stock].SetCoefficient(variable, 1)
        self._variables.append(variable)
        return True

    def by_area(self, work: int) -> ValidInequality:
        """Return the inequality that values items by area, by the recursion if that takes at most `work` steps."""
        largest = max(kind.area for kind in self.pricer.kinds)
        values = [kind.area * WHOLE // largest for kind in self.pricer.kinds]
        listed = () if self.subsets is None else self.subsets.stock
        if len(listed) == len(self.pricer.stock) or self.pricer.work <= work:
            return self.price(values).inequality
        worth = {size: -(-size.area * WHOLE // largest) for size in self.pricer.stock}
        worth |= dict.fromkeys(self._useless, 0)
        return ValidInequality(self.board, dict(zip(self.pricer.kinds, values, strict=True)), worth)

    def solve(
        self,
        demand: Sequence[int],
        available: Mapping[GrownSize, int],
        *,
        price: Mapping[GrownSize, float],
        missing: Sequence[float],
        enough: Callable[[ValidInequality], bool],
        work: int,
        stop: Callable[[], bool],
        iterations: int | None = None,
    ) -> tuple[list[ValidInequality], bool]:
        """Generate columns until the linear programme is solved.

        Parameters
        ----------
        demand : Sequence of int
            Items wanted of each kind, in the order of the pricer.
        available : Mapping of GrownSize to int
            How many sheets of each stock size there are: held, fallen out, and bought where they are given.
        price : Mapping of GrownSize to float
            What one more costs; a size that is not named cannot be bought.
        missing : Sequence of float
            What it costs to leave out one item of each kind.
        enough : callable
            Whether an inequality is strong enough to stop there.
        work : int
            How many steps the recursion may take once kinds are rationed.
        stop : callable
            Whether time is up.
        iterations : int, optional
            After how many rounds of pricing to stop, to go on another time.

        Returns
        -------
        list of ValidInequality
            What was proven on the way, the strongest last.
        bool
            Whether no column of negative reduced cost is left, or `enough` held; not where time was up before.
        """
        self._set(demand, available, price, missing)
        proven: list[ValidInequality] = []
        while True:
            if stop() or self._lp.Solve() != pywraplp.Solver.OPTIMAL:
                return proven, False
            if iterations is not None and len(proven) >= iterations:
                return proven, False
            duals = [max(0.0, row.dual_value()) for row in self._cover]
            stock_duals = {size: -row.dual_value() for size, row in self._limit.items()}
            scale = max(duals)
            if scale <= 0:
                break
            priced = self.price(whole_values(duals))
            proven.append(priced.inequality)
            if enough(priced.inequality):
                break
            added = False
            for size, stock_dual in stock_duals.items():
                if priced.improves(size, scale, stock_dual=stock_dual):
                    added |= self.add(size, priced.pattern(size))
            if not added and not self._ration(work):
                break
        return proven, True

    def price(self, values: Sequence[int]) -> PricingResult:
        """Return the inequality that whole values of the items prove, and the pattern of most value by stock size."""
        by_kind = dict(zip(self.pricer.kinds, values, strict=True))
        subsets = self.subsets
        listed = {} if subsets is None else {s: subsets.dearest(s, by_kind) for s in subsets.stock}
        table = self.pricer.table(values) if len(listed) < len(self.pricer.stock) else None

        def pattern(size: GrownSize) -> Part:
            if subsets is not None and size in listed:
                return subsets.pattern(size, listed[size][1]) if listed[size][1] else None
            return table.pattern(size) if table is not None else None

        worth = {size: listed[size][0] for size in listed}
        if table is not None:
            worth |= {size: table.worth(size) for size in self.pricer.stock if size not in listed}
        worth |= dict.fromkeys(self._useless, 0)
        return PricingResult(ValidInequality(self.board, by_kind, worth), pattern)

    def _ration(self, work: int) -> bool:
        """Ration the kind that the solution of the linear programme exceeds most; return whether there was one.

        Such a solution uses patterns that have more items of the kind than there are. The columns of those patterns are
        closed.
        """
        places = {kind: place for place, kind in enumerate(self.pricer.kinds)}
        over = [0.0] * len(places)
        for variable, column in zip(self._variables, self.columns, strict=True):
            if times := variable.solution_value():
                for kind, count in column.kinds.items():
                    over[places[kind]] += times * max(0, count - self._most[places[kind]])
        worst = max(range(len(over)), key=over.__getitem__)
        if over[worst] < 1e-6 or self.pricer.work_with(self._most[worst]) > work:
            return False
        self.pricer.ration(worst, self._most[worst])
        for variable, column in zip(self._variables, self.columns, strict=True):
            if column.kinds.get(self.pricer.kinds[worst], 0) > self._most[worst]:
                variable.SetUb(0.0)
        return True

    def _set(
        self,
        demand: Sequence[int],
        available: Mapping[GrownSize, int],
        price: Mapping[GrownSize, float],
        missing: Sequence[float],
    ) -> None:
        infinity = self._lp.infinity()
        for row, count in zip(self._cover, demand, strict=True):
            row.SetBounds(count, infinity)
        objective = self._lp.Objective()
        for size, row in self._limit.items():
            row.SetBounds(-infinity, available.get(size, 0))
            self._bought[size].SetBounds(0, infinity if size in price else 0)
            objective.SetCoefficient(self._bought[size], price.get(size, 0.0))
        for variable, cost in zip(self._missing, missing, strict=True):
            objective.SetCoefficient(variable, cost)

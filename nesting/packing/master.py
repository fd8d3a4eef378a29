"""The master problem: which offers to buy, which sheets to use, and which board each lot gets.

It is the master of a logic-based Benders decomposition. It knows offers, packs, limits, fees and tax, but not how
sheets are cut; of that it has only valid inequalities (proven by `bounding`) and no-goods (proven by `subproblem`). So
its optimum is a lower bound of the whole problem, and each of its solutions proposes sheets from which everything must
then be cut. The same model also answers two other questions: what given sheets cost at least (`incumbent`), and which
patterns of the pool make the cheapest solution (`restricted_master`).

All coefficients are whole numbers and the solver (CP-SAT, by its linear interface) works on whole numbers. Its
interface gives the bound as a float: what rounding may have added to a whole number is taken off before it is rounded
up.

References
----------
Hooker & Ottosson (2003), Math. Program. 96: logic-based Benders decomposition.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil
from typing import Any, NamedTuple, assert_never

from ortools.linear_solver import pywraplp

from nesting.geometry import Size
from nesting.packing.board_lp import Column
from nesting.packing.instance import Copy, Instance
from nesting.packing.interrupts import LeaveAlone, solve_interruptibly
from nesting.packing.objective import Cost, Goal, Objective, SoftConstraint, Violations
from nesting.packing.pattern import GrownSize
from nesting.packing.pricing import ValidInequality
from nesting.packing.solution import BoardDemand, board_demand

__all__ = ["MasterProblem", "MasterSolution", "NoGood"]

SLACK_UNITS = 800
"""Slack is measured in units, of which this many are the most valuable sheet of an inequality."""

_ROUNDING = 1e-6

NOT_BOOLEAN = 2
"""Every column may be used so often at least: CP-SAT leaves rows of Boolean variables out of its relaxation."""

_PARAMETERS = f"cp_model_presolve: false symmetry_level: 0 cut_level: 0 {LeaveAlone.CP_SAT}"
"""Presolve and cuts take longer than they save on models as small and many as these."""


@dataclass(frozen=True, slots=True)
class NoGood:
    """Sheets of one board that are proven, or assumed, not to be enough.

    From the sheets in `used`, by true size, the lots in `needed` cannot all be cut, even if all lots in `there` are on
    the board and add their fallouts.
    """

    board: int
    needed: frozenset[int]
    there: frozenset[int]
    used: Mapping[Size, int]


@dataclass(frozen=True, slots=True)
class MasterSolution:
    """What the solver found: the cost of the best solution, None if there is none, and a lower bound of the objective.

    `counts` are the sheets bought, by offer and board; `used` those in use, by board and true size; `boards` the board
    of each lot, None where it is left out; `column_counts` how often each column is used; `slack` what
    `MasterProblem.maximise_slack` reached by board.
    """

    cost: int | None
    bound: int
    counts: Mapping[tuple[int, int], int]
    used: Mapping[tuple[int, Size], int]
    boards: tuple[int | None, ...]
    column_counts: tuple[int, ...]
    slack: Mapping[int, int]
    infeasible: bool

    def board_demand(self, instance: Instance, board: int) -> BoardDemand:
        """Return the demand of a board, and its stock with the sheets in use."""
        its = board_demand(instance, self.boards, board)
        used = {instance.grown(size): count for (b, size), count in self.used.items() if b == board}
        return BoardDemand(its.demand, its.free + Counter(used))

    def no_good(self, board: int) -> NoGood:
        """Return the no-good that forbids these lots and sheets of a board."""
        its = frozenset(number for number, its in enumerate(self.boards) if its == board)
        return NoGood(board, its, its, {size: count for (b, size), count in self.used.items() if b == board})


_Term = tuple[Any, int]
"""A variable and its coefficient."""


class _Slack(NamedTuple):
    """The slack of an inequality: a constant and terms."""

    constant: int
    terms: list[_Term]


class MasterProblem:
    """Whole-number variables for sheets bought (by offer and board), sheets used (by board and size) and assignments.

    Parameters
    ----------
    instance : Instance
        The problem.
    goal : Goal, optional
        What is minimised within which limits; without one the cost.
    solver : str, optional
        The solver behind the model, by the name that OR-Tools gives it.
    """

    def __init__(self, instance: Instance, goal: Goal | None = None, solver: str = "SAT") -> None:
        self.instance = instance
        self.model = pywraplp.Solver.CreateSolver(solver)
        self._solver = solver
        self.model.SetNumThreads(1)  # with several threads, ties are broken by chance
        self._most = [_most(instance, number) for number in range(len(instance.offers))]
        self.bought: dict[tuple[int, int], pywraplp.Variable] = {}
        self.used: dict[tuple[int, Size], pywraplp.Variable] = {}
        self.assign: dict[tuple[int, int], pywraplp.Variable] = {}
        self.cost = 0
        for number in range(len(instance.offers)):
            self._offer(number)
        for number in range(len(instance.tills)):
            self._till(number)
        self._limits()
        for number, lot in enumerate(instance.lots):
            self._lot(number, lot.boards)
        for copy in instance.optional:
            self._copy(copy)
        self._sheets()
        goal = goal or Goal(Cost())
        for objective, limit in goal.limits:
            _require(self.model, limit - self._amount(objective))
        self._objective = self._amount(goal.objective)
        self.model.Minimize(self._objective)
        self._columns: list[Any] = []
        self._inequality_slacks: list[tuple[int, _Slack, int]] = []
        self._board_slacks: dict[int, Any] = {}
        self._minimises_objective = True

    def _offer(self, number: int) -> None:
        offer, model, most = self.instance.offers[number], self.model, self._most[number]
        total = 0
        for board in offer.boards:
            count = model.IntVar(0, most, "")
            self.bought[number, board] = count
            total += count
            if offer.pack > 1:
                model.Add(count == offer.pack * model.IntVar(0, most // offer.pack + 1, ""))
        if offer.at_most is not None and offer.boards:
            model.Add(total <= offer.at_most)
        if offer.at_least > 1 and offer.boards:
            any_bought = model.BoolVar("")
            model.Add(total >= offer.at_least * any_bought)
            model.Add(total <= most * len(offer.boards) * any_bought)
        self.cost += offer.price * total

    def _till(self, number: int) -> None:
        till, model, offers = self.instance.tills[number], self.model, self.instance.offers
        mine = [(o, variable) for (o, _), variable in self.bought.items() if offers[o].till == number]
        if not mine:
            return
        goods = sum(offers[o].price * variable for o, variable in mine)
        if till.fee:
            paid = model.BoolVar("")
            free = 0
            if till.free_over is not None:
                free = model.BoolVar("")
                model.Add(goods >= (till.free_over + 1) * free)
            for o, variable in mine:
                model.Add(variable <= self._most[o] * (paid + free))
            self.cost += till.fee * paid
        if till.tax:
            # half up: the least whole t with 2 x den x t > 2 x num x goods - den
            num, den = till.tax.numerator, till.tax.denominator
            dearest = sum(offers[o].price * self._most[o] for o, _ in mine)
            tax = model.IntVar(0, dearest * num // den + 1, "")
            model.Add(2 * den * tax >= 2 * num * goods - den + 1)
            self.cost += tax

    def _limits(self) -> None:
        """Keep to the budget, to the most sheets, and to how many sheets of a board the tills have."""
        instance, model = self.instance, self.model
        if instance.budget is not None:
            _require(model, instance.budget - self.cost)
        if instance.most is not None:
            _require(model, instance.most - sum(self.bought.values()))
        for short in instance.shorts:
            its = [
                v for (o, b), v in self.bought.items() if b == short.board and instance.offers[o].till in short.tills
            ]
            _require(model, short.left - sum(its))

    def _sheets(self) -> None:
        """Use no more sheets than are bought or than there are items; leave no more uncut than there is room for."""
        instance, spare = self.instance, 0
        for board, sizes in enumerate(instance.sizes):
            items = sum(len(lot.items) for lot in instance.lots if board in lot.boards)
            total = 0
            for size in sizes:
                used = self.used[board, size] = self.model.IntVar(0, items, "")
                bought = sum(v for (o, b), v in self.bought.items() if b == board and instance.offers[o].size == size)
                self.model.Add(used <= bought)
                spare += bought - used
                total += used
            if len(sizes) > 1:
                self.model.Add(total <= items)
        if instance.room is not None and self.used:
            self.model.Add(spare <= instance.room)
            for board, sizes in enumerate(instance.sizes):
                for some in {*combinations(sizes, 1), *combinations(sizes, 2), sizes}:
                    self._fill(board, some)

    def _fill(self, board: int, sizes: Sequence[Size]) -> None:
        """Use no more sheets of these sizes than there are items on the board that fit one of them."""
        lots = [n for n, lot in enumerate(self.instance.lots) if board in lot.boards]
        fit = [n for n in lots if self.instance.fits(self.instance.lots[n].size, board, sizes)]
        items = sum(len(self.instance.lots[n].items) * self.assign[n, board] for n in fit)
        _require(self.model, items - sum(self.used[board, size] for size in sizes))

    def _lot(self, number: int, boards: tuple[int, ...]) -> None:
        optional = number in self.instance.optional_lots
        for board in boards:
            self.assign[number, board] = 1 if len(boards) == 1 and not optional else self.model.BoolVar("")
        if len(boards) > 1 and not optional:
            self.model.Add(sum(self.assign[number, board] for board in boards) == 1)

    def _copy(self, copy: Copy) -> None:
        """Cut all lots of a copy or none, and those of the copy before it on the same boards."""
        taken, *others = (sum(self.assign[n, board] for board in self.instance.lots[n].boards) for n in copy.lots)
        if len(self.instance.lots[copy.lots[0]].boards) > 1:
            self.model.Add(taken <= 1)
        for other in others:
            self.model.Add(other == taken)
        if copy.after is not None:
            for number, before in zip(copy.lots, self.instance.optional[copy.after].lots, strict=True):
                for board in self.instance.lots[number].boards:
                    self.model.Add(self.assign[number, board] <= self.assign[before, board])

    def _amount(self, objective: Objective) -> Any:
        """Return an objective as an expression."""
        match objective:
            case Cost():
                return self.cost
            case Violations(softs):
                return sum(self._violation(objective, soft) for soft in softs)
        assert_never(objective)

    def _violation(self, objective: Violations, soft: SoftConstraint) -> Any:
        """Return the weight of a soft constraint as an expression: nothing where all its lots have what it wants."""
        kept = []
        for number in soft.lots:
            boards = objective.boards(self.instance, number)
            if len(boards) < len(self.instance.lots[number].boards) or number in self.instance.optional_lots:
                kept.append(sum(self.assign[number, board] for board in boards))
        if not kept:
            return 0
        if len(kept) == 1:
            return soft.weight - soft.weight * kept[0]
        all_kept = self.model.BoolVar("")
        for one in kept:
            self.model.Add(all_kept <= one)
        return soft.weight - soft.weight * all_kept

    def add_inequality(self, inequality: ValidInequality) -> None:
        """Add a valid inequality of one board: the stock used is worth at least the items cut from it."""
        slack = self._slack(inequality)
        self._require_terms(slack.constant, slack.terms)
        self._inequality_slacks.append((inequality.board, slack, max(inequality.worth.values(), default=0)))

    def _slack(self, inequality: ValidInequality) -> _Slack:
        board, worth, instance = inequality.board, inequality.worth, self.instance
        constant, by_lot = 0, Counter[int]()
        for stock in instance.free_stock[board]:
            if stock.lot is None:
                constant += worth[stock.size] * stock.count
            else:
                by_lot[stock.lot] += worth[stock.size] * stock.count
        for number, lot in enumerate(instance.lots):
            if board in lot.boards:
                by_lot[number] -= inequality.values[instance.kind(instance.grown(lot.size), board)] * len(lot.items)
        terms = [(used, worth[instance.grown(size)]) for (b, size), used in self.used.items() if b == board]
        for number, amount in by_lot.items():
            assigned = self.assign[number, board]
            if isinstance(assigned, int):
                constant += amount * assigned
            else:
                terms.append((assigned, amount))
        return _Slack(constant, terms)

    def _require_terms(self, amount: Any, terms: Sequence[_Term]) -> None:
        """Require an expression and terms together not to be negative: many terms are set much quicker one by one."""
        if isinstance(amount, int):
            row = self.model.Constraint(-amount, self.model.infinity())
        else:
            row = self.model.Add(amount >= 0)
        for variable, coefficient in terms:
            row.SetCoefficient(variable, coefficient)

    def add_no_good(self, no_good: NoGood) -> None:
        """Forbid the lots and sheets of a board that a no-good names: some lot or some sheet must differ."""
        other, board = 0, no_good.board
        for (number, its), assigned in self.assign.items():
            if its == board and not isinstance(assigned, int):
                if number in no_good.needed:
                    other += 1 - assigned
                elif number not in no_good.there:
                    other += assigned
        for (b, size), used in self.used.items():
            if b == board:
                more = self.model.BoolVar("")
                self.model.Add(used >= (no_good.used.get(size, 0) + 1) * more)
                other += more
        _require(self.model, other - 1)

    def add_columns(self, columns: Sequence[tuple[int, Column]]) -> None:
        """Cut every lot from these patterns (each with its board), each used as often as the stock allows."""
        cover: dict[tuple[int, GrownSize], list[_Term]] = defaultdict(list)
        stock: dict[tuple[int, GrownSize], list[_Term]] = defaultdict(list)
        there = self._there()
        for board, column in columns:
            most = max(-(-there[board, kind] // count) for kind, count in column.kinds.items())
            times = self.model.IntVar(0, max(most, NOT_BOOLEAN), "")
            self._columns.append(times)
            stock[board, column.stock].append((times, -1))
            for kind, count in column.kinds.items():
                cover[board, kind].append((times, count))
        have: dict[tuple[int, GrownSize], Any] = defaultdict(int)
        want: dict[tuple[int, GrownSize], Any] = defaultdict(int)
        for board in range(len(self.instance.turn)):
            have |= {(board, size): count for size, count in self._free(board).items()}
        for (board, size), used in self.used.items():
            have[board, self.instance.grown(size)] += used
        for number, lot in enumerate(self.instance.lots):
            for board in lot.boards:
                kind = self.instance.kind(self.instance.grown(lot.size), board)
                want[board, kind] += len(lot.items) * self.assign[number, board]
        for key, times in stock.items():
            self._require_terms(have[key], times)
        for key, count in want.items():
            self._require_terms(-count, cover[key])

    def _there(self) -> Counter[tuple[int, GrownSize]]:
        """Count the items of each kind that may be cut from each board."""
        there = Counter[tuple[int, GrownSize]]()
        for lot in self.instance.lots:
            for board in lot.boards:
                there[board, self.instance.kind(self.instance.grown(lot.size), board)] += len(lot.items)
        return there

    def limit_objective(self, limit: int) -> None:
        """Accept only solutions whose objective is no more than `limit`."""
        _require(self.model, limit - self._objective)

    def maximise_slack(self, limit: int, least: Mapping[int, int]) -> None:
        """Among solutions whose objective is at most `limit`, look for the one with the most slack in the inequalities.

        The more slack, the easier everything is cut from the sheets. Slack is summed over the boards in `SLACK_UNITS`
        and counts up to an eighth of a sheet; `least` gives some boards a minimum.
        """
        slacks = self._board_slacks
        for board, slack, worth in self._inequality_slacks:
            if worth >= SLACK_UNITS and slack.terms:
                if board not in slacks:
                    slacks[board] = self.model.IntVar(least.get(board, 0), SLACK_UNITS // 8, "")
                self._require_terms(slack.constant, [*slack.terms, (slacks[board], -(worth // SLACK_UNITS))])
        self.limit_objective(limit)
        self.model.Maximize(sum(slacks.values()))
        self._minimises_objective = False

    def _free(self, board: int) -> dict[GrownSize, Any]:
        """Count the free stock of a board by size; fallouts as expressions of the assignment."""
        free: dict[GrownSize, Any] = defaultdict(int)
        for stock in self.instance.free_stock[board]:
            free[stock.size] += stock.count if stock.lot is None else stock.count * self.assign[stock.lot, board]
        return free

    def require_sheets(self, sheets: Mapping[tuple[int, Size], int]) -> None:
        """Use at least this many sheets of each board and size."""
        for key, count in sheets.items():
            self.model.Add(self.used[key] >= count)

    def fix_assignment(self, boards: Sequence[int | None]) -> None:
        """Fix the board of every lot, None where it is left out."""
        for (number, board), assigned in self.assign.items():
            if not isinstance(assigned, int):
                self.model.Add(assigned == int(boards[number] == board))

    def solve(self, seconds: float, effort: float = 10.0) -> MasterSolution:
        """Return the best solution found, and a bound that holds whether or not there was time to prove it optimal.

        Parameters
        ----------
        seconds : float
            The time limit by the clock.
        effort : float
            The limit of CP-SAT by its own count of its work, about seconds, which does not depend on the machine.
        """
        self.model.SetTimeLimit(max(1, int(seconds * 1000)))
        if self._solver == "SAT":
            # every row in the relaxation helps small models, and slows down those of thousands of columns
            self.model.SetSolverSpecificParametersAsString(
                f"max_deterministic_time: {effort} linearization_level: {1 if self._columns else 2} {_PARAMETERS}"
            )
        else:
            self.model.SetSolverSpecificParametersAsString(LeaveAlone.SCIP)
        status = solve_interruptibly(self.model)
        if status == pywraplp.Solver.INFEASIBLE:
            return MasterSolution(None, 0, {}, {}, (), (), {}, infeasible=True)
        bound = max(0, ceil(self.model.Objective().BestBound() - _ROUNDING)) if self._minimises_objective else 0
        if status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
            return MasterSolution(None, bound, {}, {}, (), (), {}, infeasible=False)
        counts = {k: round(v.solution_value()) for k, v in self.bought.items()}
        used = {k: round(v.solution_value()) for k, v in self.used.items()}
        boards = tuple(
            next((b for b in lot.boards if _one(self.assign[number, b])), None)
            for number, lot in enumerate(self.instance.lots)
        )
        column_counts = tuple(round(v.solution_value()) for v in self._columns)
        cost = self.cost if isinstance(self.cost, int) else round(self.cost.solution_value())
        slack = {board: round(v.solution_value()) for board, v in self._board_slacks.items()}
        return MasterSolution(cost, bound, counts, used, boards, column_counts, slack, infeasible=False)


def _most(instance: Instance, number: int) -> int:
    """Return how many sheets of one board a cheapest solution takes from an offer at most.

    Beyond what the items, a pack or a minimum need, sheets are bought only to have the fee waived, and for no more than
    the fee.
    """
    offer = instance.offers[number]
    till = instance.tills[offer.till]
    extra = till.fee // offer.price if offer.price and till.free_over is not None else 0
    return instance.items + offer.pack + offer.at_least + extra


def _require(model: "pywraplp.Solver", amount: Any) -> None:
    """Require an expression, which may be a plain number, not to be negative."""
    if not isinstance(amount, int):
        model.Add(amount >= 0)
    elif amount < 0:
        model.Add(model.IntVar(0, 0, "") >= 1)


def _one(variable: "pywraplp.Variable | int") -> bool:
    return bool(variable == 1 if isinstance(variable, int) else round(variable.solution_value()))

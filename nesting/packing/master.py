"""The whole-number model of what to buy: offers, packs, limits, fees and tax over all boards at once.

One model serves three questions, by what is asked of the sheets in it: the cheapest basket that holds given sheets, the
cheapest basket that the proven rules of `pricing` leave possible (no plan can cost less), and the cheapest cutting from
given patterns (`master`). All coefficients are whole numbers and the solver (CP-SAT, by its linear interface) works on
whole numbers, so its bound needs no tolerance.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil
from typing import Any

from ortools.linear_solver import pywraplp

from nesting.geometry import Size
from nesting.packing.board_lp import Column
from nesting.packing.instance import Instance
from nesting.packing.interrupts import LeaveAlone
from nesting.packing.pricing import Bound
from nesting.packing.solution import Assigned, assigned

__all__ = ["ROOM", "Answer", "Basket", "Refused"]

ROOM = 800
"""How many parts the worth of a sheet is divided into where baskets are told apart by their room."""


@dataclass(frozen=True, slots=True)
class Refused:
    """Sheets of a board that do not give the lots that are needed, even if all lots that may be there are."""

    board: int
    needed: frozenset[int]
    there: frozenset[int]
    used: Mapping[Size, int]


@dataclass(frozen=True, slots=True)
class Answer:
    """What a model came to: the cost and counts of the best basket found, None if there is none, and a proven bound."""

    cost: int | None
    bound: int
    counts: Mapping[tuple[int, int], int]
    used: Mapping[tuple[int, Size], int]
    boards: tuple[int, ...]
    picked: tuple[int, ...]
    room: Mapping[int, int]
    impossible: bool

    def stocked(self, instance: Instance, board: int) -> Assigned:
        """Return what falls to a board, with the sheets in use counted to what is free."""
        its = assigned(instance, self.boards, board)
        used = {instance.grown(size): count for (b, size), count in self.used.items() if b == board}
        return Assigned(its.demand, its.free + Counter(used))

    def on(self, board: int) -> Refused:
        """Return what the answer has on a board, to be refused."""
        its = frozenset(number for number, its in enumerate(self.boards) if its == board)
        return Refused(board, its, its, {size: count for (b, size), count in self.used.items() if b == board})


class Basket:
    """Variables for what is bought (by offer and board), used (by board and size) and which board each lot gets.

    Parameters
    ----------
    instance : Instance
        The problem.
    solver : str, optional
        The solver behind the model, by the name that OR-Tools gives it.
    """

    def __init__(self, instance: Instance, solver: str = "SAT") -> None:
        self.instance = instance
        self.model = pywraplp.Solver.CreateSolver(solver)
        self._solver = solver
        self.model.SetNumThreads(1)  # several break ties as they please
        self._most = [_most(instance, number) for number in range(len(instance.offers))]
        self.bought: dict[tuple[int, int], pywraplp.Variable] = {}
        self.used: dict[tuple[int, Size], pywraplp.Variable] = {}
        self.on: dict[tuple[int, int], pywraplp.Variable] = {}
        self.cost = 0
        for number in range(len(instance.offers)):
            self._offer(number)
        for number in range(len(instance.tills)):
            self._till(number)
        self._limits()
        for number, lot in enumerate(instance.lots):
            self._lot(number, lot.boards)
        self._sheets()
        self.model.Minimize(self.cost)
        self._picked: list[Any] = []
        self._slack: list[tuple[int, Any, int]] = []
        self._room: dict[int, Any] = {}
        self._aiming = False

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
        """Spend and buy no more than is allowed, and no more of a board than the tills have of it."""
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
        """Use no more sheets than are bought or than there are items, and leave no more uncut than have room."""
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
        """Have no more sheets of these sizes in use than there are items on the board that fit one of them."""
        lots = [n for n, lot in enumerate(self.instance.lots) if board in lot.boards]
        fit = [n for n in lots if self.instance.fits(self.instance.lots[n].size, board, sizes)]
        items = sum(len(self.instance.lots[n].items) * self.on[n, board] for n in fit)
        _require(self.model, items - sum(self.used[board, size] for size in sizes))

    def _lot(self, number: int, boards: tuple[int, ...]) -> None:
        for board in boards:
            self.on[number, board] = 1 if len(boards) == 1 else self.model.BoolVar("")
        if len(boards) > 1:
            self.model.Add(sum(self.on[number, board] for board in boards) == 1)

    def obey(self, bound: Bound) -> None:
        """Take in a proven rule of one board."""
        board, want, have = bound.board, 0, 0
        for (b, size), used in self.used.items():
            if b == board:
                have += bound.worth[self.instance.grown(size)] * used
        for (b, size), count in self._free().items():
            if b == board:
                have += bound.worth.get(size, 0) * count
        for number, lot in enumerate(self.instance.lots):
            if board in lot.boards:
                value = bound.values[self.instance.kind(self.instance.grown(lot.size), board)]
                want += value * len(lot.items) * self.on[number, board]
        _require(self.model, have - want)
        self._slack.append((board, have - want, max(bound.worth.values(), default=0)))

    def below(self, limit: int, wanted: Mapping[int, int]) -> None:
        """Ask for a basket that costs no more than `limit` and, over the boards, has the most room left by the rules.

        Room is counted in eight-hundredths of what the dearest sheet is worth by a rule, and an eighth of it is enough.
        Boards may want some at least.
        """
        room = self._room
        for board, slack, worth in self._slack:
            if worth >= ROOM and not isinstance(slack, int):
                if board not in room:
                    room[board] = self.model.IntVar(wanted.get(board, 0), ROOM // 8, "")
                self.model.Add(slack >= worth // ROOM * room[board])
        self.model.Add(self.cost <= limit)
        self.model.Maximize(sum(room.values()))
        self._aiming = True

    def please(self, limit: int, pieces: Sequence[Sequence[int]]) -> None:
        """Ask for a basket of no more than `limit` with most pieces (lists of their lots) in the boards liked best."""
        pleased = 0
        for numbers in pieces:
            first = [self.on[number, self.instance.lots[number].boards[0]] for number in numbers]
            open_ones = [on for on in first if not isinstance(on, int)]
            if open_ones:
                has = self.model.BoolVar("")
                for on in open_ones:
                    self.model.Add(has <= on)
                pleased += len(self.instance.lots[numbers[0]].items) * has
        _require(self.model, limit - self.cost)
        self.model.Maximize(pleased)
        self._aiming = True

    def choose(self, patterns: Sequence[tuple[int, Column]]) -> None:
        """Cut every lot from these patterns (board and column), each any number of times that the stock allows."""
        cover: dict[tuple[int, Size], Any] = defaultdict(int)
        stock: dict[tuple[int, Size], Any] = defaultdict(int)
        for board, column in patterns:
            times = self.model.IntVar(0, self.instance.items, "")
            self._picked.append(times)
            stock[board, column.stock] += times
            for kind, count in column.kinds.items():
                cover[board, kind] += count * times
        have = self._free()
        want: dict[tuple[int, Size], Any] = defaultdict(int)
        for (board, size), used in self.used.items():
            have[board, self.instance.grown(size)] += used
        for number, lot in enumerate(self.instance.lots):
            for board in lot.boards:
                kind = self.instance.kind(self.instance.grown(lot.size), board)
                want[board, kind] += len(lot.items) * self.on[number, board]
        for key, times in stock.items():
            self.model.Add(times <= have[key])
        for key, count in want.items():
            _require(self.model, cover[key] - count)

    def _free(self) -> dict[tuple[int, Size], Any]:
        """Return what is held, and what falls out of the lots on each board, by board and grown size."""
        instance = self.instance
        free: dict[tuple[int, Size], Any] = defaultdict(int)
        for held in instance.held:
            free[held.board, instance.grown(held.size)] += held.count
        for number, lot in enumerate(instance.lots):
            for board in lot.boards:
                for fallout in lot.fallouts:
                    free[board, instance.grown(fallout)] += len(lot.items) * self.on[number, board]
        return free

    def avoid(self, refused: Refused) -> None:
        """Ask for something else on a board than what was refused."""
        other, board = 0, refused.board
        for number, lot in enumerate(self.instance.lots):
            if board in lot.boards and len(lot.boards) > 1:
                on = self.on[number, board]
                if number in refused.needed:
                    other += 1 - on
                elif number not in refused.there:
                    other += on
        for (b, size), used in self.used.items():
            if b == board:
                more = self.model.BoolVar("")
                self.model.Add(used >= (refused.used[size] + 1) * more)
                other += more
        _require(self.model, other - 1)

    def need(self, sheets: Mapping[tuple[int, Size], int]) -> None:
        """Ask for at least so many sheets of each board and size."""
        for key, count in sheets.items():
            self.model.Add(self.used[key] >= count)

    def assign(self, boards: Iterable[int]) -> None:
        """Give every lot its board."""
        for number, board in enumerate(boards):
            if len(self.instance.lots[number].boards) > 1:
                self.model.Add(self.on[number, board] == 1)

    def solve(self, seconds: float, effort: float = 10.0) -> Answer:
        """Return the cheapest basket, and a bound that holds whether or not there was time to find it.

        Parameters
        ----------
        seconds : float
            The time limit by the clock.
        effort : float
            The limit by the solver's own count of its work, about seconds, which does not depend on the machine.
        """
        self.model.SetTimeLimit(max(1, int(seconds * 1000)))
        if self._solver == "SAT":
            self.model.SetSolverSpecificParametersAsString(f"max_deterministic_time: {effort} {LeaveAlone.CP_SAT}")
        else:
            self.model.SetSolverSpecificParametersAsString(LeaveAlone.SCIP)
        status = self.model.Solve()
        if status == pywraplp.Solver.INFEASIBLE:
            return Answer(None, 0, {}, {}, (), (), {}, impossible=True)
        bound = 0 if self._aiming else max(0, ceil(self.model.Objective().BestBound() - 1e-6))
        if status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
            return Answer(None, bound, {}, {}, (), (), {}, impossible=False)
        value = {k: round(v.solution_value()) for k, v in self.bought.items()}
        used = {k: round(v.solution_value()) for k, v in self.used.items()}
        boards = tuple(
            next(b for b in lot.boards if _one(self.on[number, b])) for number, lot in enumerate(self.instance.lots)
        )
        picked = tuple(round(v.solution_value()) for v in self._picked)
        cost = self.cost if isinstance(self.cost, int) else round(self.cost.solution_value())
        room = {board: round(v.solution_value()) for board, v in self._room.items()}
        return Answer(cost, bound, value, used, boards, picked, room, impossible=False)


def _most(instance: Instance, number: int) -> int:
    """Return how many sheets of one board a cheapest basket takes from an offer at most.

    More than the items need and a pack or a minimum makes are bought only to have the fee waived, and for no more than
    the fee.
    """
    offer = instance.offers[number]
    till = instance.tills[offer.till]
    extra = till.fee // offer.price if offer.price and till.free_over is not None else 0
    return instance.items + offer.pack + offer.at_least + extra


def _require(model: "pywraplp.Solver", amount: Any) -> None:
    """Ask for nothing or more of an expression, which may be a number."""
    if not isinstance(amount, int):
        model.Add(amount >= 0)
    elif amount < 0:
        model.Add(model.IntVar(0, 0, "") >= 1)


def _one(variable: "pywraplp.Variable | int") -> bool:
    return bool(variable == 1 if isinstance(variable, int) else round(variable.solution_value()))

"""What exact decisions need: the inequality that lists least, and the most that a *no* forbids."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import replace

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.master import MasterSolution, NoGood
from nesting.packing.pools import Pools
from nesting.packing.pricing import ValidInequality
from nesting.packing.set_enumeration import Decision, Verdict, decide
from nesting.packing.solution import Sheet, board_demand, price_tags
from nesting.packing.stop import Stop

__all__ = ["solve_subproblem"]


def solve_subproblem(
    instance: Instance, pools: Pools, answer: MasterSolution, board: int, stop: Stop
) -> tuple[list[Sheet] | None, NoGood | None]:
    """Decide whether a basket gives all that a board is to give.

    Parameters
    ----------
    instance : Instance
        The problem.
    pools : Pools
        Its inequalities help, and its programmes find better ones.
    answer : MasterSolution
        A basket, with a board for each lot.
    board : int
        The board.
    stop : Stop
        Leaves it undecided when time is up.

    Returns
    -------
    list of Sheet or None
        The sheets, if it does.
    NoGood or None
        What is proven not to be enough, if it does not. Both are None if that could not be decided.

    Notes
    -----
    A *no* is tried again with every lot that may have the board adding its fallouts, and first of all with only the
    lots that must have it: then it holds whatever the others are given.
    """
    exact = _Exact(instance, pools, board, answer, stop)
    lots = [number for number, lot in enumerate(instance.lots) if board in lot.boards]
    fixed = [number for number in lots if len(instance.lots[number].boards) == 1]
    mine = [number for number in lots if answer.boards[number] == board]
    decided = exact.decide(mine, mine)
    if decided.verdict is Verdict.YES:
        return [Sheet(board, size, part) for size, part in decided.sheets], None
    if decided.verdict is Verdict.UNKNOWN:
        return None, None
    refused = answer.no_good(board)
    for needed in (fixed, mine) if len(fixed) < len(lots) else ():
        if needed and not stop() and exact.decide(needed, lots).verdict is Verdict.NO:
            return None, replace(refused, needed=frozenset(needed), there=frozenset(lots))
    return None, refused


class _Exact:
    """Decides of one board and the sheets of one basket."""

    def __init__(self, instance: Instance, pools: Pools, board: int, answer: MasterSolution, stop: Stop) -> None:
        self.instance, self.pools, self.board, self.stop = instance, pools, board, stop
        self.bought = Counter({instance.grown(s): c for (b, s), c in answer.used.items() if b == board})
        self.tags: dict[Size, int] = {}
        for size, price, _ in price_tags(instance, board, limited=False):
            self.tags[instance.grown(size)] = price

    def decide(self, needed: Collection[int], there: Collection[int]) -> Decision:
        """Decide whether the lots that are needed can be cut with the fallouts of those that are there."""
        lp, lots = self.pools.board_lp(self.board), range(len(self.instance.lots))
        demand = board_demand(self.instance, [self.board if n in needed else -1 for n in lots], self.board).demand
        free = board_demand(self.instance, [self.board if n in there else -1 for n in lots], self.board).free
        have = free + self.bought
        wanted = [demand[kind] for kind in lp.pricer.kinds]
        proven, _ = lp.solve(
            wanted,
            free,
            price=self.tags,
            missing=[2.0 * max(self.tags.values(), default=1)] * len(wanted),
            enough=lambda bound: _slack(bound, demand, have) < 0,
            work=0,
            stop=self.stop,
        )
        inequalities = [inequality for inequality in self.pools.inequalities if inequality.board == self.board]
        tightest = min([*inequalities, *proven], key=lambda inequality: _slack(inequality, demand, have), default=None)
        if tightest is None:
            return Decision(Verdict.UNKNOWN)
        return decide(lp.pricer, tightest, demand, have, room=self.pools.engine.boxes, stop=self.stop)


def _slack(inequality: ValidInequality, demand: Mapping[Size, int], have: Mapping[Size, int]) -> float:
    """Return what sheets may lose by a valid inequality, in sheets of the size that is worth most."""
    slack = sum(inequality.worth[size] * count for size, count in have.items())
    slack -= sum(inequality.values[kind] * count for kind, count in demand.items())
    return slack / max(1, *inequality.worth.values())

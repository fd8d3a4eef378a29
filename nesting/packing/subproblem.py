"""What exact decisions need: the rule that lists least, and the most that a *no* forbids."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import replace

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.master import Answer, Refused
from nesting.packing.pools import Known
from nesting.packing.pricing import Bound
from nesting.packing.set_enumeration import Decided, Verdict, decide
from nesting.packing.solution import Sheet, assigned, price_tags
from nesting.packing.stop import Stop

__all__ = ["cut_or_refuse"]


def cut_or_refuse(
    instance: Instance, known: Known, answer: Answer, board: int, stop: Stop
) -> tuple[list[Sheet] | None, Refused | None]:
    """Decide whether a basket gives all that a board is to give.

    Parameters
    ----------
    instance : Instance
        The problem.
    known : Known
        Its rules help, and its programmes find better ones.
    answer : Answer
        A basket, with a board for each lot.
    board : int
        The board.
    stop : Stop
        Leaves it undecided when time is up.

    Returns
    -------
    list of Sheet or None
        The sheets, if it does.
    Refused or None
        What is proven not to be enough, if it does not. Both are None if that could not be decided.

    Notes
    -----
    A *no* is tried again with every lot that may have the board adding its fallouts, and first of all with only the
    lots that must have it: then it holds whatever the others are given.
    """
    exact = _Exact(instance, known, board, answer, stop)
    lots = [number for number, lot in enumerate(instance.lots) if board in lot.boards]
    fixed = [number for number in lots if len(instance.lots[number].boards) == 1]
    mine = [number for number in lots if answer.boards[number] == board]
    decided = exact.decide(mine, mine)
    if decided.verdict is Verdict.YES:
        return [Sheet(board, size, part) for size, part in decided.sheets], None
    if decided.verdict is Verdict.UNKNOWN:
        return None, None
    refused = answer.on(board)
    for needed in (fixed, mine) if len(fixed) < len(lots) else ():
        if needed and not stop() and exact.decide(needed, lots).verdict is Verdict.NO:
            return None, replace(refused, needed=frozenset(needed), there=frozenset(lots))
    return None, refused


class _Exact:
    """Decides of one board and the sheets of one basket."""

    def __init__(self, instance: Instance, known: Known, board: int, answer: Answer, stop: Stop) -> None:
        self.instance, self.known, self.board, self.stop = instance, known, board, stop
        self.bought = Counter({instance.grown(s): c for (b, s), c in answer.used.items() if b == board})
        self.tags: dict[Size, int] = {}
        for size, price, _ in price_tags(instance, board, limited=False):
            self.tags[instance.grown(size)] = price

    def decide(self, needed: Collection[int], there: Collection[int]) -> Decided:
        """Decide whether the lots that are needed can be cut with the fallouts of those that are there."""
        programme, lots = self.known.programme(self.board), range(len(self.instance.lots))
        demand = assigned(self.instance, [self.board if n in needed else -1 for n in lots], self.board).demand
        free = assigned(self.instance, [self.board if n in there else -1 for n in lots], self.board).free
        have = free + self.bought
        wanted = [demand[kind] for kind in programme.pricer.kinds]
        proven, _ = programme.solve(
            wanted,
            free,
            price=self.tags,
            missing=[2.0 * max(self.tags.values(), default=1)] * len(wanted),
            enough=lambda bound: _slack(bound, demand, have) < 0,
            work=0,
            stop=self.stop,
        )
        rules = [rule for rule in self.known.rules if rule.board == self.board]
        tightest = min([*rules, *proven], key=lambda rule: _slack(rule, demand, have), default=None)
        if tightest is None:
            return Decided(Verdict.UNKNOWN)
        return decide(programme.pricer, tightest, demand, have, room=self.known.engine.boxes, stop=self.stop)


def _slack(rule: Bound, demand: Mapping[Size, int], have: Mapping[Size, int]) -> float:
    """Return what sheets may lose by a rule, in sheets of the size that is worth most."""
    slack = sum(rule.worth[size] * count for size, count in have.items())
    slack -= sum(rule.values[kind] * count for kind, count in demand.items())
    return slack / max(1, *rule.worth.values())

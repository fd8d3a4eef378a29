"""The objectives after the cost: as many pieces as possible in the boards that they like best."""

from collections import defaultdict

from nesting.packing.instance import Instance
from nesting.packing.objective import SoftConstraint, Violations

__all__ = ["preference_objectives"]


def preference_objectives(instance: Instance) -> tuple[Violations, ...]:
    """Return the objectives of board preference, to be minimised one after the other.

    The first counts the copies that do not have the board liked best in every layer. The second counts those that have
    neither the first nor the second in some layer, and so on, as long as a piece names more boards.
    """
    pieces: dict[object, list[int]] = defaultdict(list)
    for number, lot in enumerate(instance.lots):
        pieces[("alone", number) if lot.piece is None else lot.piece].append(number)
    softs = tuple(SoftConstraint(tuple(its), len(instance.lots[its[0]].items)) for its in pieces.values())
    last = max((lot.rank(board) for lot in instance.lots for board in lot.boards), default=0)
    return tuple(Violations(softs, ranks) for ranks in range(1, last + 1))

"""What is short where there is proven to be no plan: how many sheets of which board are wanted, and how many there are.

The same question is put to the solver again with every offer for nothing, and as many sheets more as one likes at a
price. What it then buys at that price, and of which board, is what there is too little of.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.errors import Obstacle, row_words
from nesting.geometry import Size
from nesting.model.job import Job
from nesting.model.mat import Mat
from nesting.offers import sells
from nesting.packing.instance import Instance, Priced, Till
from nesting.packing.solution import Solution
from nesting.packing.solve import solve
from nesting.packing.stop import Stop
from nesting.spelling import WHOLE_JOB, listed_few

__all__ = ["shortfall"]

_SECONDS = 2.0
_PRICE = 1000
_LATER = "'later' under 'when' for some of its pieces"


def shortfall(job: Job, mats: Sequence[Mat], instance: Instance, *, seed: int = 0) -> tuple[Obstacle, ...]:
    """Return for each board that is short what is wanted of it and what there is.

    Parameters
    ----------
    job, mats, instance : Job, sequence of Mat, Instance
        As `to_instance.pose` takes and returns them; each lot's boards within reach, and no way to cut all of them.
    seed : int
        Steers the search.

    Returns
    -------
    tuple of Obstacle
        For the piece at fault where only one is cut from the board, otherwise for the job; empty where no board is
        short, or nothing was found in the time.
    """
    solution = solve(_with_endless_offers(job, instance), Stop(_SECONDS), seed, liked=False).solution
    if solution is None:
        return ()
    found = tuple(_obstacle(job, mats, instance, solution, short) for short in _shorts(instance, solution))
    return found or ((_NO_ROOM,) if instance.room is not None else ())


_NO_ROOM = Obstacle(
    WHOLE_JOB,
    "packs and minimums leave more sheets uncut than there is room for",
    "Raise the room for sheets in the bench table, or offer sheets singly",
)


@dataclass(frozen=True, slots=True)
class _Short:
    """Of a board so many sheets can be bought beside the rest, and so many more, or blanks, are wanted."""

    board: int
    there: int
    more: int


def _with_endless_offers(job: Job, instance: Instance) -> Instance:
    """Return the instance with its offers for nothing, then as many sheets of each board as one likes at a price.

    They are of the sizes that the job's shops sell, whether or not they may be bought, or else of the blanks' own; and
    they come from a till of their own, which is never short.
    """
    till = len(instance.tills)
    endless = [
        Priced(size, (board,), _PRICE, till, at_most=None, at_least=1, pack=1)
        for board in range(len(instance.turn))
        for size in _sold(job, board) or [lot.size for lot in instance.lots if board in lot.boards]
    ]
    return replace(
        instance,
        offers=(*(replace(offer, price=0) for offer in instance.offers), *dict.fromkeys(endless)),
        tills=(Till(0, None, Fraction(0)),) * (till + 1),
        room=None,
        budget=None,
        most=None,
    )


def _sold(job: Job, board: int) -> list[Size]:
    """Return the usable sizes in which a board is sold, whatever is asked of the plan."""
    name = job.boards[board].name
    return [offer.sheet.inset(job.bench.trim) for offer in job.offers if sells(job, offer, name)]


def _shorts(instance: Instance, solution: Solution) -> Iterator[_Short]:
    """Yield the boards of which a solution buys sheets beyond what the instance offers."""
    there, more = Counter[int](), Counter[int]()
    for (offer, board), count in solution.counts.items():
        (there if offer < len(instance.offers) else more)[board] += count
    for board in sorted(+more):
        yield _Short(board, there[board], more[board])


def _obstacle(job: Job, mats: Sequence[Mat], instance: Instance, solution: Solution, short: _Short) -> Obstacle:
    lots = [lot for lot, board in zip(instance.lots, solution.boards, strict=True) if board == short.board]
    cut = {mats[lot.items[0]].piece for lot in lots}
    pieces = [piece.name for piece in job.pieces if piece.name in cut]
    blanks = sum(len(lot.items) for lot in lots)
    name, among = job.boards[short.board].name, "" if len(pieces) == 1 else _among(job, pieces)
    piece = pieces[0] if len(pieces) == 1 else WHOLE_JOB
    if not _sold(job, short.board):
        return Obstacle(
            piece,
            f"{short.more} of {blanks} blanks of {name}{among} {'finds' if short.more == 1 else 'find'} no room in what"
            " the shelf holds, and nobody sells it",
            f"Write an offer or a shelf piece for {name}, name another board, or write {_LATER}",
        )
    wanted, held = short.there + short.more, any(held.board == short.board for held in instance.held)
    return Obstacle(
        piece,
        f"{wanted} {'sheet' if wanted == 1 else 'sheets'} of {name} {'is' if wanted == 1 else 'are'} needed{among}"
        f"{' beside what is held' * held}, and {f'only {short.there}' if short.there else 'none'} can be bought",
        f"{_more(job, name)}, name another board in the pieces table, or write {_LATER}",
    )


def _among(job: Job, pieces: Sequence[str]) -> str:
    rows = [piece.row for piece in job.pieces if piece.name in pieces and piece.row]
    return f" for {listed_few(pieces)}{f' (pieces, {row_words(rows)})' if rows else ''}"


def _more(job: Job, board: str) -> str:
    """Say where more of a board can be allowed."""
    rows = [offer.row for offer in job.offers if offer.row and offer.at_most is not None and sells(job, offer, board)]
    return f"Raise 'at most' in offers, {row_words(rows)}" if rows else f"Allow more {board}"

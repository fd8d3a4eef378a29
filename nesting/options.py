"""What is asked of a plan beside the job: which pieces, which shops, how much may be spent."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from nesting.errors import Fault, JobError
from nesting.model.job import Job, When
from nesting.spelling import fold

__all__ = ["Left", "Options", "named_shops", "parse_left"]


@dataclass(frozen=True, slots=True)
class Left:
    """How many sheets of a board a shop has left, at all its prices together; `shop` is None for all shops together."""

    shop: str | None
    board: str
    sheets: int


@dataclass(frozen=True, slots=True)
class Options:
    """What is asked of a plan beside the job.

    Parameters
    ----------
    when : When
        Which pieces are planned.
    use_fallout : bool or None
        In place of the bench's where it is not None.
    shops : tuple of str
        The shops to buy at, in the job's spelling; none named means all.
    left : tuple of Left
        Boards of which there is not as much as one likes.
    liked_best : bool
        Whether every piece gets the board that it names first.
    budget : int or None
        What may be paid in all, in cents.
    sheets : int or None
        How many sheets may be bought.
    """

    when: When = When.NOW
    use_fallout: bool | None = None
    shops: tuple[str, ...] = ()
    left: tuple[Left, ...] = ()
    liked_best: bool = False
    budget: int | None = None
    sheets: int | None = None


def named_shops(job: Job, names: Sequence[str], option: str = "--shop") -> tuple[str, ...]:
    """Return shops in the job's spelling.

    Parameters
    ----------
    job : Job
        The job.
    names : sequence of str
        As written; case and spare spaces do not matter.
    option : str
        Where they are written, for the fault.

    Returns
    -------
    tuple of str
        In the order written, each once.

    Raises
    ------
    JobError
        For every name that no offer has, with those that there are.
    """
    known = {fold(offer.shop): offer.shop for offer in job.offers}
    unknown = [name for name in names if fold(name) not in known]
    if unknown:
        raise JobError(tuple(_unknown(option, name, "shop that sells anything", known.values()) for name in unknown))
    return tuple(dict.fromkeys(known[fold(name)] for name in names))


def parse_left(job: Job, text: str, option: str = "--left") -> Left:
    """Return how many sheets are left of a board, as written on the command line.

    Parameters
    ----------
    job : Job
        The job.
    text : str
        ``chalk=2``, or for one shop only ``Lantern Crafts:chalk=2``; 0 says that it is sold out.
    option : str
        Where it is written, for the fault.

    Returns
    -------
    Left
        In the job's spelling.

    Raises
    ------
    JobError
        If it is not written so, or names a board or shop that the job does not have.
    """
    before, _, count = text.rpartition("=")
    shop, colon, board = before.rpartition(":")
    if not (count.strip().isascii() and count.strip().isdigit()) or not board.strip():
        remedy = "Write the board, =, and how many sheets are left, as chalk=2 or Shop:chalk=0"
        raise JobError((Fault(option, None, None, None, text, "is not a board and a count", remedy),))
    boards = {fold(its.name): its.name for its in job.boards}
    if fold(board) not in boards:
        raise JobError((_unknown(option, board.strip(), "board of this job", boards.values()),))
    shops = named_shops(job, [shop], option) if colon else (None,)
    return Left(shops[0], boards[fold(board)], int(count))


def _unknown(option: str, name: str, what: str, known: Iterable[str]) -> Fault:
    names = tuple(dict.fromkeys(known))
    near = get_close_matches(fold(name), [fold(its) for its in names], 1)
    said = next((its for its in names if near and fold(its) == near[0]), None)
    remedy = f"Did you mean {said}? Then write that" if said else f"There are: {', '.join(names) or 'none'}"
    return Fault(option, None, None, None, name, f"is no {what}", remedy)

"""What is asked of a plan beside the job: which pieces, which shops, how much may be spent."""

from dataclasses import dataclass

from nesting.job import When

__all__ = ["Left", "Options"]


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

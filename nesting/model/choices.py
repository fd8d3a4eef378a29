"""What was chosen for a plan beside the job itself, and is kept with it."""

from dataclasses import dataclass

__all__ = ["Choices"]


@dataclass(frozen=True, slots=True)
class Choices:
    """What the table choices says; None and nothing where it says nothing.

    Parameters
    ----------
    later : bool or None
        Whether the pieces marked later are planned too.
    fallout : bool or None
        Whether fallouts are cut from; None leaves it to the bench.
    liked_best : bool or None
        Whether every piece gets the board that it names first.
    shelf : bool or None
        Whether the user's own shelf is cut from.
    shelf_table : bool or None
        Whether the job's own table shelf is cut from.
    discounts, shops, left : tuple of str
        As they are written on the command line.
    budget : int or None
        In cents.
    sheets : int or None
        How many sheets may be bought.
    pins : tuple of str
        Pieces that are to have one board, as ``PIECE = BOARD``.
    """

    later: bool | None = None
    fallout: bool | None = None
    liked_best: bool | None = None
    shelf: bool | None = None
    shelf_table: bool | None = None
    discounts: tuple[str, ...] = ()
    shops: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    budget: int | None = None
    sheets: int | None = None
    pins: tuple[str, ...] = ()

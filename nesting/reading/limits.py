"""How large a job may be: what lies beyond is a slip more often than a wall, and is said at once."""

from collections.abc import Iterator, Sequence

from nesting.errors import Fault
from nesting.model.job import Board, Offer, Piece, ShelfPiece

__all__ = [
    "LARGEST_CSV",
    "LARGEST_UNPACKED",
    "LARGEST_WORKBOOK",
    "LONGEST_NAME",
    "MOST_BOARDS",
    "MOST_CELLS",
    "MOST_HELD",
    "MOST_MATS",
    "MOST_OFFERS",
    "MOST_PRICES",
    "MOST_ROWS",
    "MOST_WINDOWS",
    "beyond",
]

MOST_MATS = 5_000
"""Mats, under-mats and backings of all copies."""

MOST_WINDOWS = 10_000
"""Windows of all mats and under-mats."""

MOST_OFFERS = 1_000
"""Rows of the table of offers."""

MOST_PRICES = 20_000
"""Boards that offers stand for, offer by offer: `any` stands for all."""

MOST_BOARDS = 200
"""Boards that a job names."""

MOST_HELD = 5_000
"""Pieces of the shelf, each counted as often as it is held."""

LONGEST_NAME = 200
"""Characters of a name."""

LARGEST_CSV = 5_000_000
"""Bytes of a CSV file."""

LARGEST_WORKBOOK = 15_000_000
"""Bytes of the tables of a workbook once they are unpacked."""

LARGEST_UNPACKED = 100_000_000
"""Bytes of all of a workbook, its pictures too."""

MOST_ROWS = 10_000
"""Rows of a table."""

MOST_CELLS = 500_000
"""Cells of a workbook's sheet, from its first to its last in use."""


def beyond(
    pieces: Sequence[Piece], offers: Sequence[Offer], shelf: Sequence[ShelfPiece], boards: Sequence[Board]
) -> Iterator[Fault]:
    """Yield what a job has more of than can be planned at once, with what mends it.

    Nothing is sized or multiplied out for it, so that a quantity of a million is refused as quickly as one of two.

    Parameters
    ----------
    pieces, offers, shelf, boards : sequences
        The tables of a job.

    Yields
    ------
    Fault
        One for each limit.
    """
    mats = [piece.quantity * (1 + bool(piece.under_boards) + bool(piece.backing)) for piece in pieces]
    if sum(mats) > MOST_MATS:
        remedy = f"{_check('the quantity', pieces, mats)}, or plan the job in parts"
        yield _fault(
            "pieces", f"asks for {sum(mats)} blanks, more than the {MOST_MATS} that are planned at once", remedy
        )
    windows = [piece.quantity * piece.across * piece.down * (1 + bool(piece.under_boards)) for piece in pieces]
    if sum(windows) > MOST_WINDOWS:
        remedy = f"{_check('across, down and the quantity', pieces, windows)}, or plan the job in parts"
        yield _fault("pieces", f"asks for {sum(windows)} windows, more than the {MOST_WINDOWS} of a plan", remedy)
    if len(offers) > MOST_OFFERS:
        remedy = "Leave out offers that you would not take"
        yield _fault("offers", f"has {len(offers)} offers, more than the {MOST_OFFERS} that are compared", remedy)
    prices = sum(len(boards) if offer.board is None else 1 for offer in offers)
    if prices > MOST_PRICES:
        remedy = "Name the board in place of any, or leave out offers that you would not take"
        yield _fault("offers", f"make {prices} prices, any counted for each board, more than {MOST_PRICES}", remedy)
    held = sum(piece.quantity for piece in shelf)
    if held > MOST_HELD:
        remedy = "Check the quantities, or list only what this job may use"
        yield _fault("shelf", f"holds {held} pieces, more than the {MOST_HELD} that are looked through", remedy)
    if len(boards) > MOST_BOARDS:
        yield _fault(
            "boards", f"are {len(boards)} by name, more than the {MOST_BOARDS} of a plan", "Plan the job in parts"
        )


def _check(what: str, pieces: Sequence[Piece], counts: Sequence[int]) -> str:
    """Name the row that asks for most, where one asks for more than others."""
    most = max(counts)
    return (
        f"Check {what} in row {pieces[counts.index(most)].row}" if most > min(counts) else f"Check {what} of each row"
    )


def _fault(table: str, problem: str, remedy: str) -> Fault:
    return Fault(table, None, None, None, None, problem, remedy)

"""What the price waits for, in the words of the page."""

from collections.abc import Iterator

from cli.desk.pins import pins_of
from nesting.errors import row_words
from nesting.row_by_row import Look, sized_rows
from nesting.spelling import listed_few

__all__ = ["SECTIONS", "waiting_words"]

SECTIONS = {
    "pieces": "Pieces",
    "offers": "Prices",
    "boards": "Boards and their colours",
    "shops": "Delivery and tax",
    "bench": "How you measure and cut",
}
"""What the tables of a wall are called on the page."""
_NO_PIECES = "Write your first frame below: a name, its inside size, the size of its picture, and a board."
_NO_PRICES = "The price comes once you have written what your shops ask for a sheet, under Boards and prices."


def waiting_words(look: Look) -> str | None:
    """Say what has to be written or put right before there is a price; None where all is."""
    if not look.job.pieces and not look.has_rows("pieces"):
        return _NO_PIECES
    if not (look.job.offers or look.job.shelf or look.held) and not look.has_rows("offers"):
        return _NO_PRICES
    lost = [pin.piece for pin in pins_of(look.job) if not pin.is_sound]
    if lost:
        which = f"the board chosen for {listed_few(lost)}"
        return f"The price comes once you drop, under Plan, {which}: this wall has that no more."
    places = ", ".join(_places(look))
    return f"The price comes once these are right: {places}." if places else None


def _places(look: Look) -> Iterator[str]:
    """Name the rows that have something wrong as the page numbers them."""
    wrong: dict[str, set[int]] = {}
    for fault in look.faults:
        wrong.setdefault(fault.table, set()).update(() if fault.row is None else (fault.row,))
    if not wrong:
        rows = {sized.row for sized in sized_rows(look) if any(it.is_fault for it in sized.remarks)}
        wrong = {"pieces": rows} if rows else {}
    for table, rows in wrong.items():
        section = SECTIONS.get(table, table)
        yield f"{section} {row_words([*rows])}" if rows else section

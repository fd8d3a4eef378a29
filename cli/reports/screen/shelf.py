"""The shelf on the screen: what is held, what was used, and what a plan changed."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM
from nesting.model.job import ShelfKind, Unit
from nesting.money import half_up
from nesting.shelf.ageing import Pile, piles, throw_first
from nesting.shelf.booking import Booking
from nesting.shelf.held import HeldPiece, Shelf
from nesting.shelf.history import Change
from nesting.shelf.text import size_text
from nesting.spelling import fold

__all__ = ["area_words", "print_booking", "print_log", "print_shelf"]

_MOST_TO_THROW = 5


def print_shelf(
    shelf: Shelf,
    path: Path,
    today: date,
    console: Console,
    *,
    board: str | None = None,
    reserved: Mapping[str, Sequence[str]] = MappingProxyType({}),
) -> None:
    """Print what is held by board and size, how long it has been there, and what to throw away first.

    Parameters
    ----------
    shelf : Shelf
        The shelf, or what of it is asked for.
    path : Path
        Of its file.
    today : date
        The day.
    console : Console
        A window of 60 columns is wide enough.
    board : str or None
        What was asked for, where it was one board.
    reserved : Mapping of str to sequence of str
        By folded label, the plans that pieces are reserved for.
    """
    shown = piles(shelf)
    if not shown:
        console.print(f"The shelf holds nothing{f' of {board}' if board else ''}: {path}")
        return
    for pile in shown:
        console.print(Text(f"{pile.board}: {_pieces(pile.count)}, {area_words(pile.area, shelf.unit)}", "bold cyan"))
        console.print(_indented(_pile(pile, shelf.unit, today)))
        for piece in pile.pieces:
            if fold(piece.label) in reserved:
                who = " and ".join(reserved[fold(piece.label)])
                console.print(Text(f"  {piece.label} is reserved by {who}."))
    if len(shown) > 1:
        total = sum(pile.area for pile in shown)
        console.print(f"In all {_pieces(sum(pile.count for pile in shown))}, {area_words(total, shelf.unit)}.")
    console.print()
    console.print(_throw(shelf, today))
    console.print(Text(f"Kept in {path}", overflow="fold"))


def area_words(area: int, unit: Unit) -> str:
    """Return an area in square feet, or in square metres where lengths are metric, rounded.

    Examples
    --------
    >>> area_words((32 * 16256) * (40 * 16256), Unit.IN)
    '8.9 sq ft'
    """
    if unit is Unit.IN:
        tenths = half_up(Fraction(10 * area, (12 * TICKS_PER_INCH) ** 2))
        return f"{tenths // 10}.{tenths % 10} sq ft"
    hundredths = half_up(Fraction(100 * area, (1000 * TICKS_PER_MM) ** 2))
    return f"{hundredths // 100}.{hundredths % 100:02} sq m"


def _pieces(count: int) -> str:
    return f"{count} piece{'' if count == 1 else 's'}"


def _indented(table: Table) -> Padding:
    return Padding(table, (0, 0, 0, 2), expand=False)


def _table(columns: int) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
    for _ in range(columns):
        table.add_column("", overflow="fold")
    return table


def _pile(pile: Pile, unit: Unit, today: date) -> Table:
    table = _table(4)
    for piece in pile.pieces:
        size = size_text(piece.size, unit)
        count = f"{piece.quantity} of {size}" if piece.quantity > 1 else size
        table.add_row(Text(piece.label, "bold"), count, piece.kind.value, _idle(piece, today))
    return table


def _idle(piece: HeldPiece, today: date) -> str:
    days = piece.idle_days(today)
    if days is None:
        return ""
    return "today" if days <= 0 else f"{days} day{'' if days == 1 else 's'}"


def _throw(shelf: Shelf, today: date) -> str:
    old = throw_first(shelf, today)
    if not old:
        return "Nothing has sat unused for a year."
    named = ", ".join(f"{piece.label} ({size_text(piece.size, shelf.unit)})" for piece in old[:_MOST_TO_THROW])
    more = f" and {len(old) - _MOST_TO_THROW} more" if len(old) > _MOST_TO_THROW else ""
    return f"Not used for a year or more; throw these away first, in this order: {named}{more}."


def print_log(changes: Sequence[Change], unit: Unit, console: Console) -> None:
    """Print what was used and when, the newest first, and how much of each board in all.

    Parameters
    ----------
    changes : sequence of Change
        Those in force, the first of them first.
    unit : Unit
        Of the shelf.
    console : Console
        A window of 60 columns is wide enough.
    """
    used: Counter[str] = Counter()
    table = _table(4)
    for change in reversed(changes):
        for move in change.moves:
            if move.count < 0:
                used[move.board] -= move.count * move.size.area
                what = "bought" if move.label is None else move.label
                table.add_row(change.at[:10], move.board, f"{-move.count} of {size_text(move.size, unit)}", what)
    if not used:
        console.print("Nothing has been used yet.")
        return
    console.print(table)
    console.print()
    for board, area in sorted(used.items()):
        console.print(f"{board}: {area_words(area, unit)} used in all.")


def print_booking(booking: Booking, path: Path, console: Console) -> None:
    """Print what a plan took off the shelf, and the label to write on each piece that it put there.

    Parameters
    ----------
    booking : Booking
        What the plan changes.
    path : Path
        The shelf file.
    console : Console
        A window of 60 columns is wide enough.
    """
    unit = booking.shelf.unit
    for line in _off(booking, unit):
        console.print(line)
    if booking.placed:
        console.print(Text("Write on the pieces, and put them on the shelf:", "bold"))
        table = _table(3)
        for name, piece in booking.placed:
            count = f"{piece.quantity} of " if piece.quantity > 1 else ""
            size = f"{count}{size_text(piece.size, unit)}"
            label = Text(piece.label, "bold")
            if not piece.label.startswith(name):
                label.append(f" ({name} on the page)", "not bold")
            table.add_row(label, piece.board, size)
        console.print(_indented(table))
    if any(piece.kind is ShelfKind.FALLOUT for _, piece in booking.placed):
        console.print("Sizes of fallouts are those after squaring.")
    if not booking.units:
        console.print("This is booked already; nothing was changed. If you really cut it twice, add --again.")
    for remark in booking.remarks:
        console.print(remark)
    console.print(Text(f"Kept in {path}", overflow="fold"))


def _off(booking: Booking, unit: Unit) -> Iterator[str]:
    off = [move for move in booking.moves if move.count < 0 and move.label is not None]
    if off:
        said = ", ".join(f"{move.label} ({move.board}, {size_text(move.size, unit)})" for move in off)
        yield f"Taken off the shelf: {said}."
    bought = -sum(move.count for move in booking.moves if move.count < 0 and move.label is None)
    if bought:
        yield f"Bought and cut: {bought} sheet{'' if bought == 1 else 's'}."

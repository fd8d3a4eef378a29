"""`windowfall shelf`: what is held: listed, put there, taken, corrected, and every change undone."""

import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cli.teaching import InOrder

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from nesting.geometry import Size
    from nesting.model.job import Unit
    from nesting.shelf.held import HeldPiece, Shelf
    from nesting.shelf.history import History
    from nesting.shelf.store import Edited

__all__ = ["now", "reserved_too_option", "shelf", "shelf_option"]

_KINDS = click.Choice(["sheet", "offcut", "fallout"])
_UNITS = click.Choice(["in", "mm", "cm"])
_COUNT = click.IntRange(1, 999_999)

shelf_option = click.option(
    "--shelf",
    "told",
    metavar="PATH",
    help="The shelf file, in place of the one that WINDOWFALL_SHELF names, or of your own.",
)
"""The option that says where the shelf file is."""

reserved_too_option = click.option(
    "--reserved-too", is_flag=True, help="Take pieces of the shelf file too that are reserved for other plans."
)
"""The option that takes what is reserved."""


def now() -> datetime:
    """Return the time here, with its zone."""
    return datetime.now().astimezone()


@click.group(cls=InOrder, invoke_without_command=True)
@click.pass_context
def shelf(context: click.Context) -> None:
    """List what you hold, put pieces on the shelf, take them off, correct them.

    The shelf is a CSV file of your own, which a spreadsheet opens too. Without a command it is listed.
    """
    if context.invoked_subcommand is None:
        context.invoke(list_shelf)


@shelf.command("list")
@click.option("--board", metavar="NAME", help="Only this board.")
@click.option(
    "--picture", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE", help="Draw the shelf as an SVG page."
)
@shelf_option
def list_shelf(board: str | None = None, picture: Path | None = None, told: str | None = None) -> None:
    """List what is held by board and size, with the days that it lay unused, and what to throw away first."""
    from cli.reports.screen.plan import open_console
    from cli.reports.screen.shelf import print_shelf
    from nesting.shelf.reserving import reserved_by
    from nesting.shelf.store import history_of, load_shelf, shelf_path
    from nesting.spelling import fold

    path = shelf_path(told)
    held = load_shelf(path)
    reserved = reserved_by(held, history_of(path))
    boards = [piece.board for piece in held.pieces]
    if board is not None:
        held = replace(held, pieces=tuple(piece for piece in held.pieces if fold(piece.board) == fold(board)))
    if picture is not None:
        _draw(held, picture)
    print_shelf(held, path, now().date(), open_console(sys.stdout), board=board, reserved=reserved)
    _say_nearest(board, boards)


def _say_nearest(board: str | None, boards: "Iterable[str]") -> None:
    """Name the board that was probably meant where none is called so."""
    from difflib import get_close_matches

    from nesting.spelling import fold

    known = {fold(name): name for name in boards}
    if board is not None and fold(board) not in known:
        for near in get_close_matches(fold(board), known, n=1):
            click.echo(f"The nearest board is {known[near]}.")


def _draw(held: "Shelf", picture: Path) -> None:
    from functools import partial

    from cli.reports.files.folder import replace_file
    from nesting.drawing.held import draw_shelf
    from nesting.drawing.svg import write_svg

    replace_file(picture, partial(write_svg, draw_shelf(held)))


@shelf.command()
@click.argument("board")
@click.argument("width")
@click.argument("height")
@click.option("--quantity", type=_COUNT, default=1, show_default=True, metavar="N", help="How many such pieces.")
@click.option("--kind", type=_KINDS, default="offcut", show_default=True, help="A sheet still has its factory edges.")
@click.option("--label", help="A label of your own, never used before; without it the next free one is given.")
@click.option("--origin", metavar="TEXT", default="", help="Where it came from.")
@click.option("--unit", type=_UNITS, help="The unit of plain numbers, and of a shelf file that is made now.")
@shelf_option
def add(board: str, width: str, height: str, told: str | None, unit: str | None, **asked: Any) -> None:
    """Put a piece of BOARD on the shelf, WIDTH by HEIGHT, and say which label to write on it."""
    from nesting.model.job import ShelfKind, Unit
    from nesting.shelf.by_hand import added
    from nesting.shelf.held import Draft

    placed: list[HeldPiece] = []

    def edit(held: "Shelf", history: "History") -> "Edited":
        size = _size(width, height, Unit(unit) if unit else held.unit)
        label, name = _words(asked["label"]), _words(board)
        if not name:
            raise click.BadParameter("a board needs a name", param_hint="BOARD")
        draft = Draft(
            name, size, asked["quantity"], ShelfKind(asked["kind"]), _words(asked["origin"]) or "", label or None
        )
        edited, placed[:] = added(held, history, draft, now().date())
        return edited

    edited = _change(told, "add", edit, Unit(unit) if unit else Unit.IN)
    for piece in placed:
        click.echo(f"Write {piece.label} on it. {_said(piece, edited.shelf.unit)}")


@shelf.command()
@click.argument("labels", nargs=-1, required=True, metavar="LABEL...")
@click.option("--count", type=_COUNT, metavar="N", help="How many of each; all of them without it.")
@shelf_option
def take(labels: tuple[str, ...], count: int | None, told: str | None) -> None:
    """Take the pieces with these LABELs off the shelf."""
    from collections import defaultdict

    from nesting.shelf.by_hand import taken
    from nesting.shelf.reserving import reserved_by
    from nesting.spelling import fold

    reserved: defaultdict[str, tuple[str, ...]] = defaultdict(tuple)

    def edit(held: "Shelf", history: "History") -> "Edited":
        reserved.update(reserved_by(held, history))
        return taken(held, labels, count, now().date())

    edited = _change(told, "take", edit)
    for move in edited.moves:
        left = edited.shelf.find(move.label or "")
        click.echo(f"Taken off: {-move.count} of {move.label}, {move.board}. Left: {left.quantity if left else 0}.")
        for who in reserved[fold(move.label or "")]:
            click.echo(f"It was reserved by {who}: windowfall shelf return {move.label} puts it back.")


@shelf.command("return")
@click.argument("label")
@shelf_option
def put_back(label: str, told: str | None) -> None:
    """Put the piece with this LABEL back that was taken off by hand, as it was and under its own label."""
    from functools import partial

    from nesting.shelf import undoing
    from nesting.shelf.store import shelf_before, shelf_path

    path = shelf_path(told)
    edited = _change(told, "return", lambda held, log: undoing.put_back(label, held, log, partial(shelf_before, path)))
    piece = edited.shelf.find(label)
    if piece is not None:
        click.echo(_said(piece, edited.shelf.unit))


@shelf.command()
@click.argument("plan", type=click.Path(path_type=Path))
@reserved_too_option
@shelf_option
def reserve(plan: Path, told: str | None, *, reserved_too: bool) -> None:
    """Keep the pieces that a PLAN takes for it, until it is booked or dropped: other plans see them as taken.

    PLAN is the folder of its report or its plan.json.
    """
    from nesting.plan_file.read import read_plan_file
    from nesting.shelf.keeping import keep_for
    from nesting.shelf.store import shelf_path

    kept = keep_for(read_plan_file(plan), shelf_path(told), now(), reserved_too=reserved_too)
    labels = ", ".join(kept)
    click.echo(
        f"Reserved until it is booked or dropped: {labels}."
        if labels
        else "There is nothing to reserve: it takes no piece of the shelf file that is not reserved for it or booked."
    )


@shelf.command()
@click.argument("plan")
@shelf_option
def drop(plan: str, told: str | None) -> None:
    """Free what is reserved for a PLAN that will not be cut.

    PLAN is the folder of its report, its plan.json, or the six signs that the list shows after its name.
    """
    from nesting.plan_file.read import read_plan_file
    from nesting.shelf.reserving import find_reservation
    from nesting.shelf.store import Edited

    name = read_plan_file(Path(plan)).identity if Path(plan).exists() else plan

    def edit(held: "Shelf", history: "History") -> Edited:
        return Edited(held, (), dropped=(find_reservation(held, history, name).plan,))

    _change(told, "drop", edit)
    click.echo("Nothing is reserved for it any longer.")


@shelf.command()
@click.argument("label")
@click.option("--board", metavar="NAME", help="Which board it is.")
@click.option("--width", metavar="LENGTH", help="Its width as measured.")
@click.option("--height", metavar="LENGTH", help="Its height as measured.")
@click.option("--quantity", type=_COUNT, metavar="N", help="How many there are.")
@click.option("--kind", type=_KINDS, help="A sheet still has its factory edges.")
@click.option("--note", metavar="TEXT", help="Anything to remember.")
@shelf_option
def correct(label: str, told: str | None, **asked: Any) -> None:
    """Correct what the shelf says about the piece with this LABEL."""
    from nesting.model.job import ShelfKind
    from nesting.shelf.by_hand import corrected

    def edit(held: "Shelf", _history: "History") -> "Edited":
        return corrected(
            held,
            label,
            board=_words(asked["board"]),
            width=None if asked["width"] is None else _length(asked["width"], held.unit, "--width"),
            height=None if asked["height"] is None else _length(asked["height"], held.unit, "--height"),
            quantity=asked["quantity"],
            kind=ShelfKind(asked["kind"]) if asked["kind"] else None,
            notes=None if asked["note"] is None else _words(asked["note"]) or "",
        )

    edited = _change(told, "correct", edit)
    piece = edited.shelf.find(label)
    if piece is not None:
        click.echo(_said(piece, edited.shelf.unit))


@shelf.command()
@shelf_option
def undo(told: str | None) -> None:
    """Undo the last change, whichever command made it; the file is the same again to the byte."""
    from nesting.shelf.store import shelf_path, undo_change

    change = undo_change(shelf_path(told))
    click.echo(f"Undone: {change.command} of {change.at}.")


@shelf.command()
@click.option("--board", metavar="NAME", help="Only this board.")
@shelf_option
def log(board: str | None, told: str | None) -> None:
    """List what was used when, and how much of each board in all."""
    from cli.reports.screen.plan import open_console
    from cli.reports.screen.shelf import print_log
    from nesting.shelf.store import history_of, load_shelf, shelf_path
    from nesting.spelling import fold

    path = shelf_path(told)
    held = load_shelf(path)
    changes = history_of(path).in_force(held.change)
    boards = [move.board for change in changes for move in change.moves]
    if board is not None:
        changes = tuple(
            replace(change, moves=tuple(move for move in change.moves if fold(move.board) == fold(board)))
            for change in changes
        )
    print_log(changes, held.unit, open_console(sys.stdout))
    _say_nearest(board, boards)


def _change(
    told: str | None, command: str, edit: "Callable[[Shelf, History], Edited]", unit: "Unit | None" = None
) -> "Edited":
    from nesting.model.job import Unit
    from nesting.shelf.store import change_shelf, shelf_path

    return change_shelf(shelf_path(told), command, edit, unit=unit or Unit.IN, now=now())


def _words(text: str | None) -> str | None:
    """Leave out line breaks and spare spaces."""
    return None if text is None else " ".join(text.split())


def _size(width: str, height: str, unit: "Unit") -> "Size":
    from nesting.geometry import Size

    return Size(_length(width, unit, "WIDTH"), _length(height, unit, "HEIGHT"))


def _length(text: str, unit: "Unit", where: str) -> int:
    """Read a length down to the tick; what is wrong with it is the command line's fault."""
    from nesting.errors import LengthError
    from nesting.lengths import parse_length, round_down

    try:
        ticks = round_down(parse_length(text, unit), 1)
    except LengthError as error:
        raise click.BadParameter(f"{text!r} {error}", param_hint=where) from None
    if ticks < 1:
        raise click.BadParameter(
            f"{text!r} must be more than 0. Write a length such as 11 1/4 or 285 mm.", param_hint=where
        )
    return ticks


def _said(piece: "HeldPiece", unit: "Unit") -> str:
    from nesting.shelf.text import size_text

    count = f"{piece.quantity} of " if piece.quantity > 1 else ""
    return f"{piece.label}: {count}{piece.board}, {size_text(piece.size, unit)}, {piece.kind}."

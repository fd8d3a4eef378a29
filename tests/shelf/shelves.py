"""Small shelves and plan files, for the tests of what reads and changes them."""

from datetime import UTC, date, datetime
from pathlib import Path

from nesting.geometry import Size
from nesting.model.job import ShelfKind, Unit
from nesting.model.plan import Plan
from nesting.plan_file.write import write_json
from nesting.shelf.held import Draft, HeldPiece, Move, Shelf, put_on
from nesting.shelf.history import History
from nesting.shelf.store import Edited, change_shelf

SIZE = Size(7 * 16256, 17 * 16256)
DAY = date(2026, 3, 31)
NOW = datetime(2026, 3, 31, 17, 43, tzinfo=UTC)
HEADINGS = "label,board,width,height,quantity,kind,from,put there,last used,notes"
FIRST = "windowfall shelf,format,1,unit,in,change,0,next,1"


def held(label: str, board: str = "slate", size: Size = SIZE, **changed: object) -> HeldPiece:
    facts = {"quantity": 1, "kind": ShelfKind.OFFCUT, "origin": "", "put": DAY, "used": None, "notes": ""}
    return HeldPiece(label, board, size, **facts | changed)


def shelf(*pieces: HeldPiece, **changed: object) -> Shelf:
    return Shelf(**{"unit": Unit.IN, "change": 0, "next_number": 1, "pieces": pieces} | changed)


def put(path: Path, *drafts: Draft, now: datetime = NOW) -> tuple[HeldPiece, ...]:
    """Put pieces on the shelf at a path, through the disk."""
    placed: list[HeldPiece] = []

    def edit(before: Shelf, history: History) -> Edited:
        after, new = put_on(before, drafts, now.date(), history.labels)
        placed[:] = new
        return Edited(after, tuple(Move(one.label, one.board, one.size, one.quantity) for one in new))

    change_shelf(path, "add", edit, now=now)
    return tuple(placed)


def draft(board: str = "slate", size: Size = SIZE, count: int = 1, **changed: object) -> Draft:
    return Draft(**{"board": board, "size": size, "quantity": count, "kind": ShelfKind.OFFCUT, "origin": ""} | changed)


def write_plan(plan: Plan, folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "plan.json").open("w", encoding="utf-8") as file:
        write_json(plan, file)
    return folder

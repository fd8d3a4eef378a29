"""The walls themselves, made, brought in and moved; and the shelf, which is of no wall."""

from collections.abc import Callable, Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from cli.desk.answers.asked import NOT_UNDERSTOOD, Asked, AskedWrongError, asked_of, text_of
from cli.desk.bookings import now
from cli.desk.books import from_workbook
from cli.desk.desk import Desk
from cli.desk.emptying import emptied
from cli.desk.holding import HELD_CHANGES
from cli.desk.moving import NotMovedError, copied, put_back, put_in_bin, renamed
from cli.desk.settings import UNITS
from cli.desk.walls import Wall
from nesting.shelf.store import shelf_path

__all__ = ["OF_NO_WALL", "OF_WALLS", "bring_in"]

_LARGEST_BOOK = 10_000_000
_LONGEST_CURRENCY = 12


def bring_in(desk: Desk) -> Callable[[Request], Any]:
    """Read a workbook beside the page's own work, as a large one takes seconds."""

    async def answer(request: Request) -> Response:
        asked = await asked_of(request)
        name, data = text_of(asked, "name"), text_of(asked, "data", _LARGEST_BOOK)
        wall, said = await run_in_threadpool(from_workbook, desk.walls, name, data)
        return JSONResponse({"wall": wall.id, "said": list(said)})

    return answer


def _new(desk: Desk, asked: Asked) -> Any:
    """Make a wall: measured and paid as is asked, or with all that another one has but its pieces."""
    if asked.get("like"):
        return {"wall": desk.walls.make_like(text_of(asked, "name"), desk.walls.wall(text_of(asked, "like"))).id}
    unit = asked.get("unit", "in")
    if unit not in UNITS:
        raise AskedWrongError(NOT_UNDERSTOOD)
    currency = text_of({"currency": "", **asked}, "currency", _LONGEST_CURRENCY).strip()
    return {"wall": desk.walls.make(text_of(asked, "name"), unit, currency).id}


def _held(_desk: Desk, asked: Asked) -> Any:
    change = HELD_CHANGES.get(text_of(asked, "change"))
    if change is None:
        raise AskedWrongError("There is no such change.")
    return {"said": change(asked)}


def _demo(desk: Desk, _asked: Asked) -> Any:
    return {"wall": desk.walls.copy_demo().id}


def _rename(desk: Desk, wall: Wall, asked: Asked) -> Any:
    name = text_of(asked, "name")
    _rest(desk, wall)
    return {"wall": renamed(desk.walls, wall, name).id}


def _copy(desk: Desk, wall: Wall, _asked: Asked) -> Any:
    return {"wall": copied(desk.walls, wall).id}


def _bin(desk: Desk, wall: Wall, _asked: Asked) -> Any:
    _rest(desk, wall)
    return {"bin": put_in_bin(desk.walls, wall, now()).id}


def _back(desk: Desk, asked: Asked) -> Any:
    return {"wall": put_back(desk.walls, text_of(asked, "bin")).id}


def _empty(desk: Desk, asked: Asked) -> Any:
    bins = asked.get("bins")
    if not isinstance(bins, list) or not all(isinstance(ident, str) for ident in bins):
        raise AskedWrongError(NOT_UNDERSTOOD)
    return {"emptied": emptied(desk.walls, bins, shelf_path(), now())}


def _rest(desk: Desk, wall: Wall) -> None:
    """See to it that nothing more is written into a folder that is about to move."""
    planner = desk.planner
    if planner and any(planner.has(wall.id, kind) for kind in ("plan", "spoiled")):
        raise NotMovedError(f"{wall.name} is being planned. Wait for the plan, or stop it.")
    if planner:
        planner.drop(wall.id)


OF_WALLS: Mapping[str, Callable[[Desk, Wall, Asked], Any]] = {"rename": _rename, "copy": _copy, "bin": _bin}
"""What is done with a wall for each of these names."""

OF_NO_WALL: Mapping[str, Callable[[Desk, Asked], Any]] = {
    "new": _new,
    "shelf": _held,
    "demo": _demo,
    "back": _back,
    "empty": _empty,
}
"""What is done for each of these names."""

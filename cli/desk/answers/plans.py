"""Plans of a wall: sought, taken to the bench, ticked and booked."""

from collections.abc import Callable, Mapping
from typing import Any

from cli.desk.answers.asked import Asked, AskedWrongError, row_of, text_of
from cli.desk.bookings import book_ticked, now, refusal, take_back
from cli.desk.desk import Desk
from cli.desk.drafts import Drafts
from cli.desk.walls import Wall
from nesting.errors import ShelfError
from nesting.plan_file.read import PlanFile, read_plan_file
from nesting.shelf.keeping import keep_for, let_go
from nesting.shelf.store import shelf_path

__all__ = ["OF_PLANS"]


def _plan(desk: Desk, wall: Wall, _asked: Asked) -> Any:
    desk.plan(wall)
    return {}


def _adds(desk: Desk, wall: Wall, asked: Asked) -> Any:
    desk.row(wall, row_of(asked.get("row")))
    return {}


def _aside(desk: Desk, wall: Wall, asked: Asked) -> Any:
    what = text_of(asked, "what")
    if what not in {"till", "compare"}:
        raise AskedWrongError("There is nothing of that name.")
    ident = None if asked.get("plan") is None else text_of(asked, "plan")
    desk.aside(wall, what, ident)
    return {}


def _stop(desk: Desk, wall: Wall, asked: Asked) -> Any:
    if desk.planner:
        desk.planner.stop(wall.id, use=asked.get("use") is True)
    return {}


def _take(desk: Desk, wall: Wall, asked: Asked) -> Any:
    def keep(plan: PlanFile) -> None:
        keep_for(plan, shelf_path(), now())

    taken = Drafts(wall.folder).take(text_of(asked, "draft"), desk.tables(wall).version(), now(), keep)
    return {"plan": taken.id}


def _go_back(desk: Desk, wall: Wall, asked: Asked) -> Any:
    if desk.is_planning(wall):
        raise AskedWrongError("This wall is being planned. Wait for the plan, or stop it.")
    desk.go_back(wall, text_of(asked, "draft"))
    return {}


def _put_away(_desk: Desk, wall: Wall, asked: Asked) -> Any:
    drafts = Drafts(wall.folder)
    taken = drafts.taken(text_of(asked, "plan"))
    let_go(read_plan_file(taken.folder / "plan.json"), shelf_path(), now())
    drafts.put_away(taken.id)
    return {}


def _spoil(desk: Desk, wall: Wall, asked: Asked) -> Any:
    taken, mat = Drafts(wall.folder).taken(text_of(asked, "plan")), text_of(asked, "mat")
    if f"spoiled-{mat}" not in taken.keys:
        raise AskedWrongError("There is nothing of that name.")
    desk.spoil(wall, taken.id, mat)
    return {}


def _tick(desk: Desk, wall: Wall, asked: Asked) -> Any:
    ident, key, done = text_of(asked, "plan"), text_of(asked, "key"), asked.get("done") is True
    taken = Drafts(wall.folder).tick(ident, key, done=done)
    desk.events.tell("tick", wall=wall.id, plan=ident, key=key, done=done)
    return {"ticks": taken.ticks}


def _book(_desk: Desk, wall: Wall, asked: Asked) -> Any:
    drafts = Drafts(wall.folder)
    try:
        return book_ticked(drafts.taken(text_of(asked, "plan")))
    except ShelfError as error:
        return {"refused": refusal(drafts, error)}


def _unbook(_desk: Desk, wall: Wall, asked: Asked) -> Any:
    drafts = Drafts(wall.folder)
    try:
        return {"said": take_back(drafts, drafts.taken(text_of(asked, "plan")))}
    except ShelfError as error:
        return {"refused": refusal(drafts, error)}


OF_PLANS: Mapping[str, Callable[[Desk, Wall, Asked], Any]] = {
    "plan": _plan,
    "row": _adds,
    "aside": _aside,
    "stop": _stop,
    "take": _take,
    "goback": _go_back,
    "away": _put_away,
    "spoil": _spoil,
    "tick": _tick,
    "book": _book,
    "unbook": _unbook,
}
"""What is done for each of these names."""

"""Plans of a wall: sought, taken to the bench, ticked and booked."""

from collections.abc import Callable, Mapping
from typing import Any

from cli.desk.answers.asked import LONGEST_CELL, Asked, AskedWrongError, row_of, text_of
from cli.desk.bookings import book_ticked, now, refusal, take_back
from cli.desk.desk import Desk
from cli.desk.drafts import Drafts, Taken, UnknownPlanError
from cli.desk.lefts import with_left, without_left
from cli.desk.walls import Wall
from nesting.errors import ShelfError
from nesting.plan_file.read import PlanFile, read_plan_file
from nesting.shelf.keeping import gone_from_shelf, keep_for, let_go
from nesting.shelf.store import shelf_path

__all__ = ["OF_PLANS", "tick"]


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
        if gone := gone_from_shelf(plan, shelf_path()):
            raise UnknownPlanError(f"Not on the shelf any more: {'; '.join(gone)}. Plan again.")
        keep_for(plan, shelf_path(), now())

    taken = Drafts(wall.folder).take(text_of(asked, "draft"), desk.tables(wall).version(), now(), keep)
    return {"plan": taken.id}


def _fewer(desk: Desk, wall: Wall, asked: Asked) -> Any:
    """Note that a shop has fewer sheets than a plan at the bench buys, and plan again; that plan is put away."""
    drafts, key = Drafts(wall.folder), text_of(asked, "key")
    taken = drafts.taken(text_of(asked, "plan"))
    found = [
        (shop["shop"], line["board"]) for shop in taken.view["shops"] for line in shop["lines"] if line["key"] == key
    ]
    if not found:
        raise AskedWrongError("There is nothing of that name.")
    if taken.is_begun:
        raise AskedWrongError(
            "Some of this plan is cut already. Book it at Finish first; the rest is planned again then."
        )
    desk.tables(wall).choose("left", *with_left(desk.look(wall).job, *found[0], text_of(asked, "count")))
    _leave(desk, wall, taken)
    desk.price(wall)
    desk.plan(wall)
    return {}


def _restock(desk: Desk, wall: Wall, asked: Asked) -> Any:
    desk.tables(wall).choose("left", *without_left(desk.look(wall).job, text_of(asked, "left", LONGEST_CELL)))
    desk.price(wall)
    return {}


def _go_back(desk: Desk, wall: Wall, asked: Asked) -> Any:
    if desk.is_planning(wall):
        raise AskedWrongError("This wall is being planned. Wait for the plan, or stop it.")
    desk.go_back(wall, text_of(asked, "draft"))
    return {}


def _put_away(desk: Desk, wall: Wall, asked: Asked) -> Any:
    _leave(desk, wall, Drafts(wall.folder).taken(text_of(asked, "plan")))
    return {}


def _leave(desk: Desk, wall: Wall, taken: Taken) -> None:
    """Put a plan away that will not be cut, free what is kept for it on the shelf, and tell who has it open."""
    let_go(read_plan_file(taken.folder / "plan.json"), shelf_path(), now())
    Drafts(wall.folder).put_away(taken.id)
    desk.events.tell("away", wall=wall.id, plan=taken.id)


def _spoil(desk: Desk, wall: Wall, asked: Asked) -> Any:
    taken, mat = Drafts(wall.folder).taken(text_of(asked, "plan")), text_of(asked, "mat")
    if f"spoiled-{mat}" not in taken.keys:
        raise AskedWrongError("There is nothing of that name.")
    desk.spoil(wall, taken.id, mat, scrap=asked.get("scrap") is True)
    return {}


def tick(desk: Desk, wall: Wall, asked: Asked) -> Any:
    """Tick something of a plan at the bench, or take the tick off, and tell every page."""
    ident, key, done = text_of(asked, "plan"), text_of(asked, "key"), asked.get("done") is True
    if key.startswith("spoiled-"):
        raise AskedWrongError("A spoiled mat is planned again, not ticked.")
    taken = Drafts(wall.folder).tick(ident, key, done=done)
    desk.events.tell("tick", wall=wall.id, plan=ident, key=key, done=done)
    return {"ticks": taken.ticks}


def _book(desk: Desk, wall: Wall, asked: Asked) -> Any:
    taken = Drafts(wall.folder).taken(text_of(asked, "plan"))
    try:
        return book_ticked(taken)
    except ShelfError as error:
        return {"refused": refusal(desk.walls.known(), taken, error)}


def _unbook(desk: Desk, wall: Wall, asked: Asked) -> Any:
    drafts = Drafts(wall.folder)
    taken = drafts.taken(text_of(asked, "plan"))
    try:
        return {"said": take_back(drafts, taken)}
    except ShelfError as error:
        return {"refused": refusal(desk.walls.known(), taken, error)}


OF_PLANS: Mapping[str, Callable[[Desk, Wall, Asked], Any]] = {
    "plan": _plan,
    "row": _adds,
    "aside": _aside,
    "stop": _stop,
    "take": _take,
    "fewer": _fewer,
    "restock": _restock,
    "goback": _go_back,
    "away": _put_away,
    "spoil": _spoil,
    "tick": tick,
    "book": _book,
    "unbook": _unbook,
}
"""What is done for each of these names."""

"""What changes something, and what is drawn while one types; each is asked for by the page's own script."""

from collections.abc import Callable, Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from cli.desk.bookings import book_ticked, now, take_back
from cli.desk.books import from_workbook
from cli.desk.desk import Desk
from cli.desk.drafts import Drafts
from cli.desk.holding import HELD_CHANGES
from cli.desk.listed import read_dropped
from cli.desk.moving import NotMovedError, copied, put_back, put_in_bin, renamed
from cli.desk.shown import drawn_row, net_prices, table_view
from cli.desk.tables import Change, ChangedOutsideError
from cli.desk.walls import Wall
from nesting.errors import MoneyError, WindowfallError
from nesting.money import parse_money, parse_percent
from nesting.plan_file.read import read_plan_file
from nesting.shelf.keeping import keep_for, let_go
from nesting.shelf.store import shelf_path

__all__ = ["AskedWrongError", "answers", "mistaken", "refused"]

_TABLES = frozenset({"pieces", "offers", "shops", "boards", "bench", "shelf"})
_MOST_CELLS = 60_000
_LONGEST = 200
_DIGITS = 5
_LARGEST_BOOK = 10_000_000

Asked = Mapping[str, Any]


class AskedWrongError(WindowfallError):
    """A request that is none of the page's own."""


def answers(desk: Desk) -> list[Route]:
    """Return the addresses at which a desk is asked for something other than a place."""
    of_walls = {
        "draw": _draw,
        "change": _change,
        "undo": _undo,
        "redo": _redo,
        "list": _list,
        "options": _options,
        "plan": _plan,
        "row": _adds,
        "aside": _aside,
        "stop": _stop,
        "take": _take,
        "away": _put_away,
        "spoil": _spoil,
        "tick": _tick,
        "book": _book,
        "unbook": _unbook,
        "rename": _rename,
        "copy": _copy,
        "bin": _bin,
    }
    routes = [_route(f"/wall/{{wall}}/do/{name}", _of_wall(desk, do)) for name, do in of_walls.items()]
    return [
        *routes,
        _route("/do/new", _do(desk, _new)),
        _route("/do/shelf", _do(desk, _held)),
        _route("/do/book", _bring_in(desk)),
        _route("/do/demo", _do(desk, _demo)),
        _route("/do/back", _do(desk, _back)),
        _route("/do/close", _do(desk, _close)),
        _route("/open", _enter(desk)),
        _route("/again", _again(desk)),
        Route("/events", _events(desk)),
        Route("/wall/{wall}/tables/{table}", _table(desk)),
    ]


def _route(path: str, do: Callable[[Request], Any]) -> Route:
    return Route(path, do, methods=["POST"])


async def _asked(request: Request) -> Asked:
    try:
        asked = await request.json()
    except (ValueError, RecursionError):
        asked = None
    if not isinstance(asked, dict):
        raise AskedWrongError("The desk did not understand this request. Load the page again.")
    return asked


def _do(desk: Desk, do: Callable[[Desk, Asked], Any]) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        return JSONResponse(do(desk, await _asked(request)))

    return answer


def _of_wall(desk: Desk, do: Callable[[Desk, Wall, Asked], Any]) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        asked = await _asked(request)
        return JSONResponse(do(desk, desk.walls.wall(request.path_params["wall"]), asked))

    return answer


def _table(desk: Desk) -> Callable[[Request], Response]:
    def answer(request: Request) -> Response:
        wall = desk.walls.wall(request.path_params["wall"])
        return JSONResponse(table_view(desk, wall, _named(request.path_params["table"])))

    return answer


def _text(asked: Asked, name: str, most: int = _LONGEST) -> str:
    text = asked.get(name)
    if not isinstance(text, str) or len(text) > most:
        raise AskedWrongError("The desk did not understand this request. Load the page again.")
    return text


def _named(table: Any) -> str:
    if table not in _TABLES:
        raise AskedWrongError("There is no such table.")
    return str(table)


def _row(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= _MOST_CELLS:
        raise AskedWrongError("There is no such row.")
    return value


def _draw(desk: Desk, wall: Wall, asked: Asked) -> Any:
    cells = asked.get("cells")
    if not isinstance(cells, dict) or not all(isinstance(text, str) for text in cells.values()):
        raise AskedWrongError("The desk did not understand this request. Load the page again.")
    return drawn_row(desk, wall, _row(asked.get("row")), cells)


def _change(desk: Desk, wall: Wall, asked: Asked) -> Any:
    name, cells, removed = _named(asked.get("table")), asked.get("cells", []), asked.get("removed", [])
    if not isinstance(cells, list) or not isinstance(removed, list) or len(cells) + len(removed) > _MOST_CELLS:
        raise AskedWrongError("That is more than a table can hold.")
    change = Change(_text(asked, "name"), tuple(map(_one_cell, cells)), tuple(map(_row, removed)))
    desk.tables(wall).change(name, _text(asked, "version"), change)
    return _after(desk, wall, name)


def _one_cell(cell: Any) -> tuple[int, str, str]:
    match cell:
        case [int(row), str(heading), str(text)] if heading.strip() and len(heading) <= _LONGEST:
            return _row(row), heading, text
        case _:
            raise AskedWrongError("The desk did not understand this request. Load the page again.")


def _after(desk: Desk, wall: Wall, name: str) -> Any:
    desk.price(wall)
    desk.events.tell("table", wall=wall.id, table=name, version=desk.tables(wall).read(name).version())
    return {"table": table_view(desk, wall, name), "net": net_prices(desk, wall) if name == "offers" else {}}


def _undo(desk: Desk, wall: Wall, asked: Asked) -> Any:
    said = desk.tables(wall).undo()
    return {"said": said, **_after(desk, wall, _named(asked.get("table")))}


def _redo(desk: Desk, wall: Wall, asked: Asked) -> Any:
    said = desk.tables(wall).undo(again=True)
    return {"said": said, **_after(desk, wall, _named(asked.get("table")))}


def _list(desk: Desk, wall: Wall, asked: Asked) -> Any:
    """Add the rows of a plain list of frames to the pieces."""
    listed = read_dropped(_text(asked, "text", 2_000_000), desk.look(wall).job.bench.unit)
    grid = desk.tables(wall).read("pieces")
    first = max(len(grid.lines), 1) + 1
    cells = tuple((first + place, heading, text) for place, row in enumerate(listed) for heading, text in row.items())
    name = f"added {len(listed)} rows of a list"
    desk.tables(wall).change("pieces", _text(asked, "version"), Change(name, cells))
    return _after(desk, wall, "pieces")


def _options(desk: Desk, wall: Wall, asked: Asked) -> Any:
    for name, what in asked.items():
        desk.tables(wall).choose(name, _chosen(name, what))
    desk.price(wall)
    return {"options": desk.options(wall), "net": net_prices(desk, wall)}


def _chosen(name: str, what: object) -> str:
    """Return what is chosen as its table has it."""
    match name, what:
        case "later" | "fallout" | "liked best" | "shelf" | "shelf table", bool(yes):
            return "yes" if yes else "no"
        case "discount" | "budget" | "sheets", None | "":
            return ""
        case "discount", str(text) if len(text) <= _LONGEST:
            return _sound(text, parse_percent)
        case "budget", str(text) if len(text) <= _LONGEST:
            return _sound(text, parse_money)
        case "sheets", str(text) if text.isascii() and text.isdigit() and len(text) < _DIGITS:
            return text
        case _:
            raise AskedWrongError("Write a whole number." if name == "sheets" else "There is no such option.")


def _sound(text: str, parse: Callable[[str], object]) -> str:
    try:
        parse(text)
    except MoneyError as error:
        raise AskedWrongError(f"{text!r} {error}") from error
    return text.strip()


def _plan(desk: Desk, wall: Wall, _asked: Asked) -> Any:
    desk.plan(wall)
    return {}


def _adds(desk: Desk, wall: Wall, asked: Asked) -> Any:
    desk.row(wall, _row(asked.get("row")))
    return {}


def _aside(desk: Desk, wall: Wall, asked: Asked) -> Any:
    what = _text(asked, "what")
    if what not in {"till", "compare"}:
        raise AskedWrongError("There is nothing of that name.")
    ident = None if asked.get("plan") is None else _text(asked, "plan")
    desk.aside(wall, what, ident)
    return {}


def _stop(desk: Desk, wall: Wall, asked: Asked) -> Any:
    if desk.planner:
        desk.planner.stop(wall.id, use=asked.get("use") is True)
    return {}


def _take(_desk: Desk, wall: Wall, _asked: Asked) -> Any:
    taken = Drafts(wall.folder).take(now(), lambda plan: keep_for(plan, shelf_path(), now()))
    return {"plan": taken.id}


def _put_away(_desk: Desk, wall: Wall, asked: Asked) -> Any:
    drafts = Drafts(wall.folder)
    taken = drafts.taken(_text(asked, "plan"))
    let_go(read_plan_file(taken.folder / "plan.json"), shelf_path(), now())
    drafts.put_away(taken.id)
    return {}


def _spoil(desk: Desk, wall: Wall, asked: Asked) -> Any:
    taken, mat = Drafts(wall.folder).taken(_text(asked, "plan")), _text(asked, "mat")
    if f"spoiled-{mat}" not in taken.keys:
        raise AskedWrongError("There is nothing of that name.")
    desk.spoil(wall, taken.id, mat)
    return {}


def _tick(desk: Desk, wall: Wall, asked: Asked) -> Any:
    ident, key, done = _text(asked, "plan"), _text(asked, "key"), asked.get("done") is True
    taken = Drafts(wall.folder).tick(ident, key, done=done)
    desk.events.tell("tick", wall=wall.id, plan=ident, key=key, done=done)
    return {"ticks": taken.ticks}


def _book(_desk: Desk, wall: Wall, asked: Asked) -> Any:
    return book_ticked(Drafts(wall.folder).taken(_text(asked, "plan")))


def _unbook(_desk: Desk, wall: Wall, asked: Asked) -> Any:
    drafts = Drafts(wall.folder)
    return {"said": take_back(drafts, drafts.taken(_text(asked, "plan")))}


def _new(desk: Desk, asked: Asked) -> Any:
    return {"wall": desk.walls.make(_text(asked, "name")).id}


def _held(_desk: Desk, asked: Asked) -> Any:
    change = HELD_CHANGES.get(_text(asked, "change"))
    if change is None:
        raise AskedWrongError("There is no such change.")
    return {"said": change(asked)}


def _bring_in(desk: Desk) -> Callable[[Request], Any]:
    """Read a workbook beside the page's own work, as a large one takes seconds."""

    async def answer(request: Request) -> Response:
        asked = await _asked(request)
        name, data = _text(asked, "name"), _text(asked, "data", _LARGEST_BOOK)
        wall, said = await run_in_threadpool(from_workbook, desk.walls, name, data)
        return JSONResponse({"wall": wall.id, "said": list(said)})

    return answer


def _demo(desk: Desk, _asked: Asked) -> Any:
    return {"wall": desk.walls.copy_demo().id}


def _rename(desk: Desk, wall: Wall, asked: Asked) -> Any:
    name = _text(asked, "name")
    _rest(desk, wall)
    return {"wall": renamed(desk.walls, wall, name).id}


def _copy(desk: Desk, wall: Wall, _asked: Asked) -> Any:
    return {"wall": copied(desk.walls, wall).id}


def _bin(desk: Desk, wall: Wall, _asked: Asked) -> Any:
    _rest(desk, wall)
    return {"bin": put_in_bin(desk.walls, wall, now()).id}


def _back(desk: Desk, asked: Asked) -> Any:
    return {"wall": put_back(desk.walls, _text(asked, "bin")).id}


def _rest(desk: Desk, wall: Wall) -> None:
    """See to it that nothing more is written into a folder that is about to move."""
    planner = desk.planner
    if planner and any(planner.has(wall.id, kind) for kind in ("plan", "spoiled")):
        raise NotMovedError(f"{wall.name} is being planned. Wait for the plan, or stop it.")
    if planner:
        planner.drop(wall.id)


def _close(desk: Desk, _asked: Asked) -> Any:
    desk.closing = True
    return {}


def _enter(desk: Desk) -> Callable[[Request], Any]:
    """Take a code that opens the desk once, and give the browser its cookie."""

    async def answer(request: Request) -> Response:
        if not desk.keys.takes(_text(await _asked(request), "code")):
            words = "This address was used already, or is older than a minute. Start again: windowfall desk"
            return PlainTextResponse(words, 403)
        response = JSONResponse({})
        response.set_cookie(desk.keys.cookie_name, desk.keys.cookie, httponly=True, samesite="strict", path="/")
        return response

    return answer


def _again(desk: Desk) -> Callable[[Request], Any]:
    """Give a second start a code of its own, with which it opens this desk."""

    async def answer(request: Request) -> Response:
        path = (await _asked(request)).get("job")
        return JSONResponse({"code": desk.keys.new_code(), "wall": desk.walls.opened(path) if path else None})

    return answer


def _events(desk: Desk) -> Callable[[Request], Any]:
    async def answer(_request: Request) -> Response:
        return StreamingResponse(desk.events.stream(desk.news()), media_type="text/event-stream")

    return answer


def refused(_request: Request, error: Exception) -> Response:
    """Answer in words what could not be done."""
    status = 409 if isinstance(error, ChangedOutsideError) else 422
    return PlainTextResponse(str(error), status)


def mistaken(_request: Request, error: Exception) -> Response:
    """Say that nobody foresaw this, with no traceback."""
    words = f"Windowfall made a mistake, which is not your wall's fault ({type(error).__name__}). Load the page again."
    return PlainTextResponse(words, 500)

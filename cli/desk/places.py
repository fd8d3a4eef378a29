"""The places of the page, each with an address of its own."""

import json
import secrets
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from jinja2 import Environment, PackageLoader, select_autoescape
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from cli.desk.bookings import finish_of, is_all_cut, on_shelf, to_book
from cli.desk.books import as_workbook
from cli.desk.cards import card
from cli.desk.desk import Desk
from cli.desk.drafts import Drafts, Taken
from cli.desk.holding import held_view
from cli.desk.moving import binned
from cli.desk.pins import pins_of
from cli.desk.screens import WARNING, addresses, qr_code
from cli.desk.settings import UNITS, settings_view, unit_of
from cli.desk.shown import net_prices, table_view
from cli.desk.tables import Tables
from cli.desk.waiting import SECTIONS
from cli.desk.walls import Wall
from cli.reports.sentences import left_words
from nesting.bench.cautions import CAUTIONS, Matter, caution
from nesting.data import data_path
from nesting.drawing.fractions import on_one_line
from nesting.model.job import Unit
from nesting.plan_file.read import plan_file_of
from nesting.row_by_row import Look, changed_pieces, drawn_group, look_at
from nesting.shelf.keeping import gone_from_shelf
from nesting.shelf.store import shelf_path

__all__ = ["on_second_screens", "page", "places", "static_files", "ticks_of"]


_FIRST_COSTS = 40

_PAGES = Environment(
    loader=PackageLoader("cli.desk"), autoescape=select_autoescape(), trim_blocks=True, lstrip_blocks=True
)
_PAGES.filters["drawing"] = Markup
_PAGES.filters["size"] = on_one_line
# A browser keeps what is under this address. It is another one at each start, and nobody can know it before.
_PAGES.globals["static"] = f"/static/{secrets.token_urlsafe(9)}"


def places(desk: Desk) -> list[BaseRoute]:
    """Return the addresses of all places of a desk."""
    return [
        Route("/", _on(desk, _walls)),
        Route("/open", _on(desk, _open)),
        Route("/shelf", _shelf(desk)),
        Route("/wall/{wall}/pieces", _of_wall(desk, _pieces)),
        Route("/wall/{wall}/prices", _of_wall(desk, _prices)),
        Route("/wall/{wall}/plan", _of_wall(desk, _plan)),
        Route("/wall/{wall}/costs", _of_wall(desk, _costs)),
        Route("/wall/{wall}/book.xlsx", _book(desk)),
        Route("/wall/{wall}/group/{number:int}", _group(desk)),
        Route("/wall/{wall}/shop", _of_plan(desk, _shop, first=_to_buy)),
        Route("/wall/{wall}/bench", _of_plan(desk, _bench)),
        Route("/wall/{wall}/finish", _of_plan(desk, _finish, first=to_book)),
        Route("/wall/{wall}/screens", _of_wall(desk, _screens)),
        Route("/wall/{wall}/ticks", ticks_of(desk)),
        *static_files(),
    ]


def on_second_screens(desk: Desk) -> list[Route]:
    """Return the addresses of the two places that second screens have."""
    return [
        Route("/wall/{wall}/shop", _of_plan(desk, _shop, first=_to_buy, second=True)),
        Route("/wall/{wall}/bench", _of_plan(desk, _bench, second=True)),
    ]


def static_files() -> list[Mount]:
    """Return the addresses of what all pages are made with: typefaces, styles, scripts."""
    return [
        Mount("/static/{start}/fonts", _Kept(directory=data_path("fonts"))),
        Mount("/static/{start}", _Kept(directory=Path(__file__).parent / "static")),
    ]


class _Kept(StaticFiles):
    """Files that a browser need not ask for again."""

    def file_response(self, *args: Any, **kwargs: Any) -> Response:
        response = super().file_response(*args, **kwargs)
        response.headers["Cache-Control"] = "private, max-age=86400, immutable"
        return response


def ticks_of(desk: Desk) -> Callable[[Request], Response]:
    """Return what is ticked of a plan at the bench, for a page that was away."""

    def answer(request: Request) -> Response:
        wall = desk.walls.wall(request.path_params["wall"])
        return JSONResponse({"ticks": Drafts(wall.folder).taken(request.query_params.get("plan", "")).ticks})

    return answer


def _on(desk: Desk, show: Callable[[Desk], Mapping[str, Any]]) -> Callable[[Request], Response]:
    def answer(_request: Request) -> Response:
        return _own(desk, show.__name__.strip("_"), None, show(desk))

    return answer


def _of_wall(desk: Desk, show: Callable[[Desk, Wall], Mapping[str, Any]]) -> Callable[[Request], Response]:
    def answer(request: Request) -> Response:
        wall = desk.walls.wall(request.path_params["wall"])
        return _own(desk, show.__name__.strip("_"), wall, show(desk, wall))

    return answer


def _of_plan(
    desk: Desk,
    show: Callable[[Drafts, Taken], Mapping[str, Any]],
    *,
    first: Callable[[Taken], object] = lambda _: False,
    second: bool = False,
) -> Callable[[Request], Response]:
    """Show a place of a plan at the bench: the one that the address names, or one for which there is something to do.

    `first` says of a plan whether there is something to do at this place; failing that it is the one that is cut next.

    A second screen has it with a token of its own, and without what it may not do.
    """

    def answer(request: Request) -> Response:
        wall, ident = desk.walls.wall(request.path_params["wall"]), request.query_params.get("plan")
        drafts = Drafts(wall.folder)
        there = drafts.at_the_bench()
        mending_last = sorted(there, key=lambda each: (bool(each.view.get("again")), each.id))
        taken = drafts.taken(ident) if ident else next((each for each in mending_last if first(each)), _next_of(there))
        shown = {**show(drafts, taken), "since": _since(desk, wall, taken)} if taken else {}
        place, shown = show.__name__.strip("_"), {"taken": taken, "there": there, **shown}
        if not second:
            return _own(desk, place, wall, shown)
        screen = desk.screens.screen(request.headers)
        several = len(desk.screens.walls) > 1
        return page(place, wall, screen.token if screen else "", {"second": True, "several": several, **shown})

    return answer


def _next_of(there: Sequence[Taken]) -> Taken | None:
    """Return the plan that is cut next: what cuts a mat again comes after the plan that it mends."""
    is_open = [taken for taken in there if taken.is_open]
    return next((taken for taken in is_open if not taken.view.get("again")), next(iter([*is_open, *there]), None))


def _to_buy(taken: Taken) -> bool:
    """Whether something on the list of a plan that is to be cut is not ticked."""
    lines = {line["key"] for shop in taken.view["shops"] for line in shop["lines"]}
    return taken.is_open and not lines.issubset(taken.ticks)


def _since(desk: Desk, wall: Wall, taken: Taken) -> Mapping[str, Any]:
    """Say what was changed in the tables of a wall since a plan at the bench was made of them."""
    if taken.view.get("again") or Tables(taken.folder).version() == desk.tables(wall).version():
        return {}
    changed = changed_pieces(look_at(taken.folder), desk.look(wall))
    if not changed:
        return {"words": "The tables were changed since, but no mat of this plan: cutting is safe.", "safe": True}
    return {"words": f"Changed since this plan was made: {', '.join(changed)}. Do not cut their mats.", "safe": False}


def _own(desk: Desk, place: str, wall: Wall | None, shown: Mapping[str, Any]) -> Response:
    """Return a page of the desk itself."""
    token = "" if place == "open" else desk.keys.token
    return page(place, wall, token, {"shared": desk.screens.walls, **shown})


def page(place: str, wall: Wall | None, token: str, shown: Mapping[str, Any]) -> Response:
    """Return a page: its template, the wall that it is of, the token of who sees it, and what it shows."""
    return HTMLResponse(_PAGES.get_template(f"{place}.html").render(place=place, wall=wall, token=token, **shown))


def _open(_desk: Desk) -> Mapping[str, Any]:
    return {}


def _walls(desk: Desk) -> Mapping[str, Any]:
    cards = [card(desk.walls, wall) for wall in desk.walls.known()]
    return {"walls": cards, "home": desk.walls.home, "binned": binned(), "units": UNITS}


def _pieces(desk: Desk, wall: Wall) -> Mapping[str, Any]:
    look = desk.look(wall)
    boards = [{"name": board.name, "swatch": board.swatch or ""} for board in look.job.boards]
    table = table_view(desk, wall, "pieces")
    return {"table": table, "boards": boards, "price": desk.price_of(wall), "of": unit_of(desk, wall), "units": UNITS}


def _prices(desk: Desk, wall: Wall) -> Mapping[str, Any]:
    look = desk.look(wall)
    tables = {name: table_view(desk, wall, name) for name in ("offers", "boards", "shops")}
    return {
        "tables": tables,
        "options": desk.options(wall),
        "price": desk.price_of(wall),
        "net": net_prices(desk, wall),
        "boards": look.job.boards,
        "swatches": {board.name: board.swatch for board in look.job.boards},
        "choosing": [piece for piece in look.job.pieces if len(piece.boards) > 1],
        "pinned": {pin.piece: pin.board for pin in pins_of(look.job) if pin.is_sound},
        "headings": {name: SECTIONS[name] for name in tables},
        "of": unit_of(desk, wall),
        "units": UNITS,
        "settings": settings_view(desk, wall),
        "shops": list(dict.fromkeys(offer.shop for offer in look.job.offers)),
    }


def _plan(desk: Desk, wall: Wall) -> Mapping[str, Any]:
    look, tables, drafts = desk.look(wall), desk.tables(wall), Drafts(wall.folder)
    draft, version = drafts.draft(), tables.version()
    sheets = drafts.sheets(draft) if draft else {}
    is_old = draft is not None and draft.version != version
    at_bench = [taken for taken in drafts.at_the_bench() if draft and taken.view["identity"] == draft.view["identity"]]
    return {
        "at_bench": at_bench[0] if at_bench else None,
        "is_cut": bool(look.job.pieces) and not look.faults and is_all_cut(look.job, wall.folder, shelf_path()),
        "draft": draft.view if draft else None,
        "first": _FIRST_COSTS,
        "rounds": sheets.get("rounds"),
        "shown": draft,
        "earlier": drafts.earlier(),
        "of_now": tables.version(choices=False),
        "is_old": is_old,
        "options": desk.options(wall),
        "pins": pins_of(look.job),
        "lefts": {text: left_words(text) for text in look.job.choices.left},
        **_boards_to_pin(look),
        "faults": [str(fault) for fault in look.faults],
        "groups": _groups(look),
        "has_later": any(piece.when.value == "later" for piece in look.job.pieces),
        "has_table": bool(look.job.shelf),
        "gone": _gone(sheets),
        "has_choice": any(len(piece.boards) > 1 for piece in look.job.pieces),
        "busy": desk.is_planning(wall),
        "drawing": desk.is_drawing(wall),
        "asides": {what: drafts.aside(what, version) for what in ("till", "compare")},
    }


def _costs(desk: Desk, wall: Wall) -> Mapping[str, Any]:
    """Return what the last pieces cost, which a page asks for once the first are seen."""
    draft = Drafts(wall.folder).draft()
    return {"costs": draft.view["costs"][_FIRST_COSTS:] if draft else [], **_boards_to_pin(desk.look(wall))}


def _gone(sheets: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the labels of what a draft takes of the user's shelf and is not there any more."""
    if '"kind": "shelf"' not in sheets.get("file", ""):  # most take nothing
        return ()
    return gone_from_shelf(plan_file_of(json.loads(sheets["file"]), Path("plan.json")), shelf_path())


def _boards_to_pin(look: Look) -> Mapping[str, Any]:
    """Return what each piece is pinned to, and for those that have a choice the boards that they can be pinned to."""
    pinned = {pin.piece: pin.board for pin in pins_of(look.job) if pin.is_sound}
    boards = {
        piece.name: tuple(dict.fromkeys((*piece.boards, pinned.get(piece.name, piece.boards[0]))))
        for piece in look.job.pieces
        if piece.boards
    }
    return {"pinned": pinned, "boards_of": {name: its for name, its in boards.items() if len(its) > 1}}


def _groups(look: Look) -> list[str]:
    return list(dict.fromkeys(piece.group for piece in look.job.pieces if piece.group))


def _group(desk: Desk) -> Callable[[Request], Response]:
    """Show the pieces of one group (a room, a customer, a student) on a page that prints by itself."""

    def answer(request: Request) -> Response:
        wall, number = desk.walls.wall(request.path_params["wall"]), request.path_params["number"]
        look, draft = desk.look(wall), Drafts(wall.folder).draft()
        groups = _groups(look)
        if number >= len(groups):
            return PlainTextResponse("There is no such group.", 404)
        name, view = groups[number], draft.view if draft else {"costs": (), "groups": {}}
        pieces = {piece.row: piece for piece in look.job.pieces}
        shown = {
            "group": name,
            "rows": [(pieces[sized.row], sized) for sized in drawn_group(look, name)],
            "costs": [cost for cost in view["costs"] if cost["group"] == name],
            "total": view.get("groups", {}).get(name),
        }
        return _own(desk, "group", wall, shown)

    return answer


def _book(desk: Desk) -> Callable[[Request], Response]:
    def answer(request: Request) -> Response:
        wall = desk.walls.wall(request.path_params["wall"])
        kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
        named = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(wall.name)}.xlsx"}
        return Response(as_workbook(wall), media_type=kind, headers=named)

    return answer


def _shop(drafts: Drafts, taken: Taken) -> Mapping[str, Any]:
    return {"cares": [caution(Matter.KEEPING)], "asides": {"till": drafts.aside("till", taken.id, taken.id)}}


def _bench(_drafts: Drafts, taken: Taken) -> Mapping[str, Any]:
    return {
        "to_buy": bool(taken.view.get("again")) and _to_buy(taken),
        "cares": [care for care in CAUTIONS if care.matter is not Matter.KEEPING],
    }


def _finish(drafts: Drafts, taken: Taken) -> Mapping[str, Any]:
    names = {mat["id"]: f"{mat['id']} {mat['name']}" for each in taken.view["rounds"] for mat in each["mats"]}
    finish, shelf = finish_of(taken), on_shelf(taken)
    others = [(each, to_book(each)) for each in drafts.at_the_bench() if each.id != taken.id]
    return {
        "finish": {what: [names.get(its, its) for its in ids] for what, ids in finish.items()},
        "shelf": shelf,
        "others": [(each, ids) for each, ids in others if ids],
        "is_new": not set(shelf["booked"]).issuperset(finish["divided"] + finish["mats"]),
    }


def _screens(desk: Desk, wall: Wall) -> Mapping[str, Any]:
    screens, state, code = desk.screens, desk.screens.state, desk.screens.code
    there = screens.screens()
    return {
        "state": state,
        "address": screens.address,
        "is_spent": screens.is_spent,
        "code_lasts": screens.code_lasts,
        "wrong": screens.wrong,
        "addresses": () if screens.is_on else addresses(),
        "is_shared": wall.id in screens.walls,
        "code": " ".join((code[:3], code[3:])),
        "picture": qr_code(f"{screens.address}#{code}") if code and screens.is_on else "",
        "waiting": [screen for screen in there if not screen.is_in],
        "allowed": [screen for screen in there if screen.is_in],
        "warning": WARNING,
    }


def _shelf(desk: Desk) -> Callable[[Request], Response]:
    def answer(request: Request) -> Response:
        width, height, ident, unit = map(request.query_params.get, ("width", "height", "wall", "unit"))
        wall = desk.walls.wall(ident) if ident else None  # the way back to the wall that one came from
        if unit is None and wall:
            unit = unit_of(desk, wall)["unit"]
        shown = held_view(width or "", height or "", Unit(unit) if unit and unit in UNITS else None)
        asked = [board.name for board in desk.look(wall).job.boards] if wall else []
        boards = dict.fromkeys([*asked, *(pile["board"] for pile in shown["piles"])])
        return _own(desk, "shelf", wall, {"units": UNITS, "boards": boards, **shown})

    return answer

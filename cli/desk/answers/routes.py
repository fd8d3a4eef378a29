"""The addresses at which something is asked for, and how the desk is opened and closed."""

from collections.abc import Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from cli.desk.answers.asked import Asked, asked_of, table_of, text_of
from cli.desk.answers.choices import OF_CHOICES
from cli.desk.answers.plans import OF_PLANS
from cli.desk.answers.screens import OF_SCREENS
from cli.desk.answers.tables import OF_TABLES
from cli.desk.answers.walls import OF_NO_WALL, OF_WALLS, bring_in
from cli.desk.desk import Desk
from cli.desk.shown import table_view
from cli.desk.walls import Wall

__all__ = ["answers"]


def answers(desk: Desk) -> list[Route]:
    """Return the addresses at which a desk is asked for something other than a place."""
    of_walls = {**OF_TABLES, **OF_CHOICES, **OF_PLANS, **OF_WALLS, **OF_SCREENS}
    of_none = {**OF_NO_WALL, "close": _close}
    return [
        *(_route(f"/wall/{{wall}}/do/{name}", _of_wall(desk, do)) for name, do in of_walls.items()),
        *(_route(f"/do/{name}", _do(desk, do)) for name, do in of_none.items()),
        _route("/do/book", bring_in(desk)),
        _route("/open", _enter(desk)),
        _route("/again", _again(desk)),
        Route("/events", _events(desk)),
        Route("/news", _news(desk)),
        Route("/wall/{wall}/tables/{table}", _table(desk)),
    ]


def _route(path: str, do: Callable[[Request], Any]) -> Route:
    return Route(path, do, methods=["POST"])


def _do(desk: Desk, do: Callable[[Desk, Asked], Any]) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        return JSONResponse(do(desk, await asked_of(request)))

    return answer


def _of_wall(desk: Desk, do: Callable[[Desk, Wall, Asked], Any]) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        asked = await asked_of(request)
        return JSONResponse(do(desk, desk.walls.wall(request.path_params["wall"]), asked))

    return answer


def _table(desk: Desk) -> Callable[[Request], Response]:
    def answer(request: Request) -> Response:
        wall = desk.walls.wall(request.path_params["wall"])
        return JSONResponse(table_view(desk, wall, table_of(request.path_params["table"])))

    return answer


def _close(desk: Desk, _asked: Asked) -> Any:
    desk.closing = True
    return {}


def _enter(desk: Desk) -> Callable[[Request], Any]:
    """Take a code that opens the desk once, and give the browser its cookie."""

    async def answer(request: Request) -> Response:
        if not desk.keys.takes(text_of(await asked_of(request), "code")):
            words = "This address was used already, or is older than a minute. Start again: windowfall desk"
            return PlainTextResponse(words, 403)
        response = JSONResponse({})
        response.set_cookie(desk.keys.cookie_name, desk.keys.cookie, httponly=True, samesite="strict", path="/")
        return response

    return answer


def _again(desk: Desk) -> Callable[[Request], Any]:
    """Give a second start a code of its own, with which it opens this desk."""

    async def answer(request: Request) -> Response:
        path = (await asked_of(request)).get("job")
        return JSONResponse({"code": desk.keys.new_code(), "wall": desk.walls.opened(path) if path else None})

    return answer


def _events(desk: Desk) -> Callable[[Request], Any]:
    async def answer(_request: Request) -> Response:
        return StreamingResponse(desk.events.stream(desk.news), media_type="text/event-stream")

    return answer


def _news(desk: Desk) -> Callable[[Request], Any]:
    async def answer(_request: Request) -> Response:
        return JSONResponse(desk.news())

    return answer

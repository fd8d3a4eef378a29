"""What second screens can open: Shop and Bench of the walls that are shared, at one address, and nothing else."""

import asyncio
import socket
from collections.abc import AsyncIterator, Callable
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from cli.desk.answers.asked import asked_of, text_of
from cli.desk.answers.plans import tick
from cli.desk.answers.refusals import mistaken, refused
from cli.desk.desk import Desk
from cli.desk.listening import MOST_CONNECTIONS, Beside, config_of
from cli.desk.places import on_second_screens, page, static_files, ticks_of
from cli.desk.safety import Guard
from cli.desk.screens import Screen, ScreenRefusedError
from nesting.errors import WindowfallError

__all__ = ["share"]

_LARGEST = 20_000


def share(desk: Desk, address: str) -> None:
    """Listen for second screens at an address of this machine until `desk.screens` is ended.

    Raises
    ------
    ScreenRefusedError
        If nothing can listen there.
    """
    listener = _listener(address, desk.keys.port + 1)
    server = Beside(config_of(Guard(_app(desk), desk.screens, _LARGEST), lifespan=False))
    server.running = asyncio.get_running_loop().create_task(server.serve([listener]))
    desk.screens.begin(listener.getsockname(), server.end)


def _listener(address: str, port: int) -> socket.socket:
    """Listen on the port beside the desk's own, so that what a phone keeps is found again, or else on any."""
    for wanted in (port, 0):
        try:
            return socket.create_server((address, wanted), backlog=MOST_CONNECTIONS)
        except (OSError, OverflowError):
            continue
    raise ScreenRefusedError(f"Nothing can be shared at {address} now. Is this machine still in the network?")


def _app(desk: Desk) -> Starlette:
    return Starlette(
        routes=[
            Route("/", _entrance(desk)),
            Route("/enter", _enter(desk), methods=["POST"]),
            Route("/waiting", _waiting(desk), methods=["POST"]),
            Route("/events", _events(desk)),
            Route("/wall/{wall}/do/tick", _tick(desk), methods=["POST"]),
            Route("/wall/{wall}/ticks", ticks_of(desk)),
            *on_second_screens(desk),
            *static_files(),
        ],
        exception_handlers={WindowfallError: refused, Exception: mistaken},
    )


def _entrance(desk: Desk) -> Callable[[Request], Response]:
    """Ask for the code; who is let in goes on to the wall, or chooses among several."""

    def answer(request: Request) -> Response:
        screen, walls = desk.screens.screen(request.headers), desk.screens.walls
        if screen is None or not screen.is_in:
            return page("second", None, "", {"second": True, "screen": screen, "walls": ()})
        if len(walls) == 1:
            return RedirectResponse(f"/wall/{walls[0]}/shop", 303)
        shown = [desk.walls.wall(wall) for wall in walls]
        return page("second", None, screen.token, {"second": True, "screen": screen, "walls": shown})

    return answer


def _enter(desk: Desk) -> Callable[[Request], Any]:
    """Take a code, and give the device its cookie; what the cookie opens is the owner's to say."""

    async def answer(request: Request) -> Response:
        screen = desk.screens.enter(text_of(await asked_of(request), "code"), _about(request))
        response = JSONResponse({"number": screen.number})
        response.set_cookie(desk.screens.cookie_name, screen.cookie, httponly=True, samesite="strict", path="/")
        return response

    return answer


def _about(request: Request) -> str:
    """Say what a device is, as far as it tells, and where."""
    kind = "phone" if "Mobi" in request.headers.get("user-agent", "") else "tablet or computer"
    return f"a {kind} at {request.client.host if request.client else 'no address'}"


def _waiting(desk: Desk) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        await asked_of(request)
        return JSONResponse({"is": _how(desk.screens.screen(request.headers))})

    return answer


def _how(screen: Screen | None) -> str:
    if screen is None:
        return "out"
    return "in" if screen.is_in else "waiting"


def _events(desk: Desk) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        return StreamingResponse(_lines(desk, request), media_type="text/event-stream")

    return answer


async def _lines(desk: Desk, request: Request) -> AsyncIterator[str]:
    """Yield what a device is told while it is let in; it may have been shut out since its request came."""
    async for line in desk.screens.events.stream(lambda: [{"kind": "here"}]):
        is_last = line.startswith('data: {"kind": "closed"')  # which every device may hear
        if is_last or _how(desk.screens.screen(request.headers)) == "in":
            yield line
        else:
            return


def _tick(desk: Desk) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        asked = await asked_of(request)
        return JSONResponse(tick(desk, desk.walls.wall(request.path_params["wall"]), asked))

    return answer

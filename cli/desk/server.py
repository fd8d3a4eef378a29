"""From the command to a page, and its end: one desk on this machine, on a port that stays the same."""

import asyncio
import contextlib
import http.client
import json
import os
import socket
import tempfile
import webbrowser
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

import uvicorn
from starlette.applications import Starlette

from cli.desk.answers.refusals import mistaken, refused
from cli.desk.answers.routes import answers
from cli.desk.desk import Desk
from cli.desk.files import clear_unfinished, data_folder, read_json, write_json
from cli.desk.listening import MOST_CONNECTIONS, config_of
from cli.desk.places import places
from cli.desk.safety import Guard, Keys
from cli.desk.screens import addresses
from cli.desk.walls import Walls
from nesting.errors import WindowfallError

__all__ = ["PORT", "PortTakenError", "serve"]

PORT = 8347
"""Where the desk is served unless another port is asked for; always the same, so that a bookmark lives."""
_HOST = "127.0.0.1"
_IDLE = 600.0
_LOOK = 0.25
_FIRST_PAINT = 1.0
_PATIENCE = 3.0


class PortTakenError(WindowfallError):
    """Another program has the port."""


def serve(job: Path | None, *, port: int, browser: bool, say: Callable[[str], None]) -> None:
    """Serve the desk until it is closed; where one runs already, open that one.

    Parameters
    ----------
    job : Path or None
        A folder of tables to open on.
    port : int
        Where on this machine.
    browser : bool
        Whether to open the browser; otherwise the address is said.
    say : callable
        Told what the user should know.

    Raises
    ------
    PortTakenError
        If another program has the port.
    """
    opened = _running(port, job)
    if opened is not None:
        _show(port, *opened, browser=browser, say=say)
        return
    try:
        listener = socket.create_server((_HOST, port), backlog=MOST_CONNECTIONS)
    except OSError:
        raise PortTakenError(f"Another program has the port {port} of this machine: give another with --port") from None
    with listener:
        port = listener.getsockname()[1]
        keys = Keys(port)
        desk = Desk(keys, Walls())
        wall = desk.walls.opened(str(job)) if job else None
        if not _others(port):
            clear_unfinished()
        write_json(_state(port), {"again": keys.again, "process": os.getpid()})
        try:
            _show(port, keys.new_code(), wall, browser=browser, say=say)
            with contextlib.suppress(KeyboardInterrupt):  # Ctrl-C is one of the ways to end it
                asyncio.run(_serve(desk, listener))
        finally:
            _state(port).unlink(missing_ok=True)


async def _serve(desk: Desk, listener: socket.socket) -> None:
    server = uvicorn.Server(config_of(_app(desk), lifespan=True))
    watch = asyncio.create_task(_watch(desk, server))
    try:
        await server.serve([listener])
    finally:
        watch.cancel()


def _app(desk: Desk) -> Guard:
    @contextlib.asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        yield
        if desk.planner:
            desk.planner.end()

    app = Starlette(
        routes=[*places(desk), *answers(desk)],
        exception_handlers={WindowfallError: refused, Exception: mistaken},
        lifespan=lifespan,
    )
    return Guard(app, desk.keys)


async def _watch(desk: Desk, server: uvicorn.Server) -> None:
    """End the server when it is closed, or when no page was open for ten minutes; warm the planner before."""
    await asyncio.sleep(_FIRST_PAINT)
    desk.warm()
    while not (desk.closing or server.should_exit):
        idle = desk.events.quiet > _IDLE and not desk.is_busy
        desk.closing = desk.closing or idle
        if desk.screens.is_on:
            desk.screens.end_if_over({wall.id for wall in desk.walls.known()}, addresses())
        await asyncio.sleep(_LOOK)
    desk.screens.end()
    desk.events.tell("closed", words="The desk is closed. You can close this page.")
    desk.events.close()
    server.should_exit = True


def _running(port: int, job: Path | None) -> tuple[str, str | None] | None:
    """Ask a desk that runs already for a code; None where there is none."""
    state = read_json(_state(port), {})
    if "again" not in state:
        return None
    body = json.dumps({"job": str(job.resolve()) if job else None})
    headers = {"Origin": f"http://{_HOST}:{port}", "X-Windowfall-Again": state["again"]}
    line = http.client.HTTPConnection(_HOST, port, timeout=_PATIENCE)
    try:
        line.request("POST", "/again", body, headers)
        answer: Any = json.loads(line.getresponse().read(10_000))
        return str(answer["code"]), answer["wall"]
    except (OSError, ValueError, KeyError, TypeError, http.client.HTTPException):
        return None
    finally:
        line.close()


def _others(port: int) -> bool:
    """Whether a desk runs on another port, which may be writing."""
    states = [path for path in data_folder().glob("desk-*.json") if path != _state(port)]
    ports = [int(number) for path in states if (number := path.stem.removeprefix("desk-")).isdecimal()]
    return any(_listens(other) for other in ports)


def _listens(port: int) -> bool:
    try:
        socket.create_connection((_HOST, port), timeout=_PATIENCE).close()
    except (OSError, OverflowError):
        return False
    return True


def _show(port: int, code: str, wall: str | None, *, browser: bool, say: Callable[[str], None]) -> None:
    """Open the browser by a file that only the user can read, or say the address."""
    address = f"http://{_HOST}:{port}/open#{code}" + (f".{wall}" if wall else "")
    if not browser:
        say(f"The desk is at {address}")
        say("The address works once, within a minute. Ctrl-C ends the desk.")
        return
    page = f'<!doctype html><meta charset="utf-8"><meta http-equiv="refresh" content="0;url={address}">'
    number, name = tempfile.mkstemp(prefix="open-", suffix=".html", dir=data_folder())
    with os.fdopen(number, "w", encoding="utf-8") as file:
        file.write(page)
    if not webbrowser.open(Path(name).as_uri()):
        say(f"No browser could be opened. The desk is at {address}")
    for old in sorted(data_folder().glob("open-*.html"), key=lambda path: path.stat().st_mtime)[:-1]:
        old.unlink(missing_ok=True)


def _state(port: int) -> Path:
    return data_folder() / f"desk-{port}.json"

"""Which requests are answered at all: this machine's, from this page, by its user, and no larger than they may be."""

import asyncio
import hmac
import secrets
from collections.abc import Collection, Iterable
from time import monotonic
from typing import Protocol

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from nesting.reading.limits import LARGEST_CSV

__all__ = ["LARGEST_BODY", "Door", "Guard", "Keys", "cookies_of", "same"]

LARGEST_BODY = 2 * LARGEST_CSV
"""How many bytes a request from the desk's own page may be."""

_READING = frozenset({"GET", "HEAD"})
_CODE_LASTS = 60.0
_BODY_LASTS = 10.0
_SLOW = "The request took longer than ten seconds. Nothing was changed."
_LARGE = "The request is larger than a table can be. Nothing was changed."
_CLOSE = {"Connection": "close"}
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "font-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS = {
    "Content-Security-Policy": _POLICY,
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


class Door(Protocol):
    """Who may call at all, and what is refused to whom."""

    def hosts(self) -> Collection[str]:
        """Return the names under which a browser may call."""

    def refusal(self, path: str, headers: Headers, *, reads: bool) -> tuple[int, str] | None:
        """Return why a request is refused, with its status; None where it may be answered."""


class Keys:
    """The secrets of one run: codes that open it once, the cookie that a code becomes, and the token of a page."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.cookie_name = f"windowfall_{port}"
        self.cookie, self.token, self.again = (secrets.token_urlsafe(32) for _ in range(3))
        self._codes: dict[str, float] = {}

    def new_code(self) -> str:
        """Return a code that opens the desk once within a minute."""
        code = secrets.token_urlsafe(24)
        self._codes[code] = monotonic() + _CODE_LASTS
        return code

    def takes(self, code: str) -> bool:
        """Whether a code opens the desk; it does so once."""
        until = self._codes.pop(code, 0.0)
        self._codes = {other: end for other, end in self._codes.items() if end > monotonic()}
        return until > monotonic()

    def hosts(self) -> tuple[str, str]:
        """Return the names under which a browser may call."""
        return f"127.0.0.1:{self.port}", f"localhost:{self.port}"

    def refusal(self, path: str, headers: Headers, *, reads: bool) -> tuple[int, str] | None:
        """Refuse whoever shows neither the code of this run nor its cookie, and changes without its token."""
        is_again = path == "/again" and same(headers.get("x-windowfall-again", ""), self.again)
        if is_again or path == "/open" or (path.startswith("/static/") and reads):
            return None
        if not any(same(cookie, self.cookie) for cookie in cookies_of(headers, self.cookie_name)):
            return 403, "This page was opened by another start of the desk. Open it again: windowfall desk"
        if not reads and not same(headers.get("x-windowfall-token", ""), self.token):
            return 403, "This page is from an earlier start of the desk. Load it again. Nothing was changed."
        return None


class Guard:
    """What stands before the page: refuses in words what does not come from it.

    Parameters
    ----------
    app : ASGIApp
        What answers.
    door : Door
        Who may ask.
    largest : int
        How many bytes a request may be.
    """

    def __init__(self, app: ASGIApp, door: Door, largest: int = LARGEST_BODY) -> None:
        self._app, self._door, self._largest = app, door, largest

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        refusal = self._refusal(scope)
        if refusal:
            await PlainTextResponse(refusal[1], refusal[0])(scope, receive, sent)
        else:
            await self._app(scope, _bounded(scope, receive, self._largest), sent)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = Headers(scope=scope)
        reads = scope["method"] in _READING
        hosts, origins = headers.getlist("host"), headers.getlist("origin")
        if len(hosts) != 1 or hosts[0] not in self._door.hosts():
            return 421, "This desk answers only under its own address."
        if any(origin != f"http://{hosts[0]}" for origin in origins) or (not reads and not origins):
            return 403, "This request comes from another page. Nothing was changed."
        if not reads and scope["method"] != "POST":
            return 405, "The desk knows no such kind of request."
        return self._door.refusal(scope["path"], headers, reads=reads)


def same(given: str, wanted: str) -> bool:
    """Whether a secret is the right one, in a time that does not tell how much of it is."""
    return hmac.compare_digest(given.encode(), wanted.encode())


def cookies_of(headers: Headers, name: str) -> Iterable[str]:
    """Yield what a request gives as the cookie of this name."""
    for line in headers.getlist("cookie"):
        for pair in line.split(";"):  # the library's own reading of cookies takes minutes for one of many backslashes
            key, _, value = pair.strip().partition("=")
            if key == name:
                yield value


def _bounded(scope: Scope, receive: Receive, largest: int) -> Receive:
    """Count a body as it comes, and wait for it no longer than it may take."""
    left, until, ended = largest, monotonic() + _BODY_LASTS, scope["method"] in _READING

    async def counted() -> Message:
        nonlocal left, ended
        if ended:
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), max(0.0, until - monotonic()))
        except TimeoutError:
            raise HTTPException(408, _SLOW, _CLOSE) from None
        left -= len(message.get("body", b""))
        ended = not message.get("more_body", False)
        if left < 0:
            raise HTTPException(413, _LARGE, _CLOSE)
        return message

    return counted

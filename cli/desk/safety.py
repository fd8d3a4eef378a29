"""Which requests are answered at all: this machine's, from this page, by its user, and no larger than they may be."""

import asyncio
import hmac
import secrets
from collections.abc import Iterable
from http.cookies import CookieError, SimpleCookie
from time import monotonic

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from nesting.reading.limits import LARGEST_CSV

__all__ = ["Guard", "Keys"]

_OPEN = ("/open", "/static/")
_READING = frozenset({"GET", "HEAD"})
_CODE_LASTS = 60.0
_BODY_LASTS = 10.0
_LARGEST_BODY = 2 * LARGEST_CSV
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


class _TooMuchError(Exception):
    """A body that is too large or too slow, with the status and the words of the answer."""

    def __init__(self, status: int, words: str) -> None:
        super().__init__(words)
        self.status, self.words = status, words


class Guard:
    """What stands before the page: refuses in words what does not come from it."""

    def __init__(self, app: ASGIApp, keys: Keys) -> None:
        self._app, self._keys = app, keys

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        began = False

        async def sent(message: Message) -> None:
            nonlocal began
            if message["type"] == "http.response.start":
                began = True
                MutableHeaders(scope=message).update(_HEADERS)
            await send(message)

        refusal = self._refusal(scope)
        try:
            if refusal:
                await PlainTextResponse(refusal[1], refusal[0])(scope, receive, sent)
            else:
                await self._app(scope, _bounded(scope, receive), sent)
        except _TooMuchError as error:
            if not began:
                answer = PlainTextResponse(error.words, error.status, {"Connection": "close"})
                await answer(scope, receive, sent)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers, path = Headers(scope=scope), scope["path"]
        reads = scope["method"] in _READING
        hosts = headers.getlist("host")
        if len(hosts) != 1 or hosts[0] not in self._keys.hosts():
            return 421, "This desk answers only under its own address on this machine."
        origins = headers.getlist("origin")
        if any(origin != f"http://{hosts[0]}" for origin in origins) or (not reads and not origins):
            return 403, "This request comes from another page. Nothing was changed."
        if not reads and scope["method"] != "POST":
            return 405, "The desk knows no such kind of request."
        if path == "/again" and _same(headers.get("x-windowfall-again", ""), self._keys.again):
            return None
        if path.startswith(_OPEN):
            return None
        if not any(_same(cookie, self._keys.cookie) for cookie in _cookies(headers, self._keys.cookie_name)):
            return 403, "This page was opened by another start of the desk. Open it again: windowfall desk"
        if not reads and not _same(headers.get("x-windowfall-token", ""), self._keys.token):
            return 403, "This page is from an earlier start of the desk. Load it again. Nothing was changed."
        return None


def _same(given: str, wanted: str) -> bool:
    return hmac.compare_digest(given.encode(), wanted.encode())


def _cookies(headers: Headers, name: str) -> Iterable[str]:
    for line in headers.getlist("cookie"):
        try:
            jar = SimpleCookie(line)
        except CookieError:
            continue
        if name in jar:
            yield jar[name].value


def _bounded(scope: Scope, receive: Receive) -> Receive:
    """Count a body as it comes, and wait for it no longer than it may take."""
    left, until, ended = _LARGEST_BODY, monotonic() + _BODY_LASTS, scope["method"] in _READING

    async def counted() -> Message:
        nonlocal left, ended
        if ended:
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), max(0.0, until - monotonic()))
        except TimeoutError:
            raise _TooMuchError(408, "The request took longer than ten seconds. Nothing was changed.") from None
        left -= len(message.get("body", b""))
        ended = not message.get("more_body", False)
        if left < 0:
            raise _TooMuchError(413, "The request is larger than a table can be. Nothing was changed.")
        return message

    return counted

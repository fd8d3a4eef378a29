"""How the desk listens: plain HTTP on a socket that is open already, no more connections than it may have."""

import asyncio
import contextlib
from collections.abc import Iterator
from ipaddress import ip_address

import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

__all__ = ["MOST_CONNECTIONS", "Beside", "config_of"]

MOST_CONNECTIONS = 64
"""How many connections are open at once."""

_MOST_OF_ONE = 16
"""How many of them one other machine may have."""

_HEAD_LASTS = 10.0
_LARGEST_HEAD = 16_384


class _Connection(H11Protocol):
    """A connection that is closed where there are too many, or where nothing whole is asked on it for ten seconds."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take a connection, or close it at once."""
        super().connection_made(transport)
        host = self.client[0] if self.client else ""
        its = [other for other in self.connections if (getattr(other, "client", None) or ("",))[0] == host]
        is_other = bool(host) and not ip_address(host).is_loopback
        if len(self.connections) > MOST_CONNECTIONS or (is_other and len(its) > _MOST_OF_ONE):
            transport.abort()
        else:
            self._expect_more()

    def on_response_complete(self) -> None:
        """Wait for the next request no longer than for the first."""
        super().on_response_complete()
        self._expect_more()

    def _expect_more(self) -> None:
        """Close the connection if no other request has begun when the time is up."""
        before = self.cycle

        def look() -> None:
            if self.cycle is before and (before is None or before.response_complete):
                self.transport.abort()

        self.loop.call_later(_HEAD_LASTS, look)


def config_of(app: ASGIApp, *, lifespan: bool) -> uvicorn.Config:
    """Return how an app is served: silently, and without telling what serves it."""
    return uvicorn.Config(
        app,
        lifespan="on" if lifespan else "off",
        ws="none",
        http=_Connection,
        backlog=MOST_CONNECTIONS,
        h11_max_incomplete_event_size=_LARGEST_HEAD,
        log_config=None,
        log_level="critical",
        access_log=False,
        server_header=False,
        date_header=False,
        proxy_headers=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_graceful_shutdown=2,
    )


class Beside(uvicorn.Server):
    """A server beside the first one, to which Ctrl-C is left."""

    running: asyncio.Task[None] | None = None  # what keeps it from being thrown away while it runs

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Capture none."""
        yield

    def end(self) -> None:
        """Listen no more from this moment on; what is being answered is ended a moment later."""
        self.should_exit = True
        if self.started:
            for listening in self.servers:
                listening.close()

"""How the desk listens: plain HTTP on a socket that is open already, no more connections than it may have."""

import asyncio
import contextlib
from collections.abc import Iterator

import uvicorn
from starlette.types import ASGIApp

__all__ = ["MOST_CONNECTIONS", "Beside", "config_of"]

MOST_CONNECTIONS = 64
"""How many connections are open at once."""


def config_of(app: ASGIApp, *, lifespan: bool) -> uvicorn.Config:
    """Return how an app is served: silently, and without telling what serves it."""
    return uvicorn.Config(
        app,
        lifespan="on" if lifespan else "off",
        ws="none",
        http="h11",
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

"""What is told to open pages: one stream for each browser, which its tabs share."""

import asyncio
import json
from collections.abc import AsyncIterator, Callable, Mapping, Sequence
from time import monotonic
from typing import Any

__all__ = ["Events"]

_BEAT = 10.0
_AGAIN = 500  # milliseconds after which a browser opens a stream again that has ended
_MOST_WAITING = 200


class Events:
    """The open streams; `quiet` says how long there was none.

    Parameters
    ----------
    beside : callable, optional
        Told everything too.
    """

    def __init__(self, beside: Callable[[Mapping[str, Any]], None] | None = None) -> None:
        self._beside = beside
        self._streams: set[asyncio.Queue[str | None]] = set()
        self._since = monotonic()

    @property
    def quiet(self) -> float:
        """Seconds for which no page was open."""
        return 0.0 if self._streams else monotonic() - self._since

    def tell(self, kind: str, **what: Any) -> None:
        """Tell all open pages; a stream that takes nothing is closed, and its page opens it again."""
        told = {"kind": kind, **what}
        line = json.dumps(told)
        if self._beside:
            self._beside(told)
        for stream in tuple(self._streams):
            self._put(stream, line)

    def close(self) -> None:
        """End all streams."""
        for stream in tuple(self._streams):
            self._put(stream, None)

    def _put(self, stream: asyncio.Queue[str | None], line: str | None) -> None:
        try:
            stream.put_nowait(line)
        except asyncio.QueueFull:
            self._streams.discard(stream)

    async def stream(self, news: Callable[[], Sequence[dict[str, Any]]]) -> AsyncIterator[str]:
        """Yield the lines of one stream until its page is closed; first what it may have missed before it was open.

        `news` is called once nothing can be missed any more.
        """
        mine: asyncio.Queue[str | None] = asyncio.Queue(_MOST_WAITING)
        self._streams.add(mine)
        try:
            yield f"retry: {_AGAIN}\n\n"
            for told in news():
                yield f"data: {json.dumps(told)}\n\n"
            while mine in self._streams:
                try:
                    line = await asyncio.wait_for(mine.get(), _BEAT)
                except TimeoutError:
                    yield ": still here\n\n"
                    continue
                if line is None:
                    return
                yield f"data: {line}\n\n"
        finally:
            self._streams.discard(mine)
            self._since = monotonic()

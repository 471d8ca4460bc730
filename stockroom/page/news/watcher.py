"""One watcher a server: asks each second for the newest entry and plan, and tells all pages.

A draft writes no entry, so plans are looked at too.
"""

import asyncio
from collections.abc import AsyncIterator, Callable

from starlette.concurrency import run_in_threadpool

from stockroom.refusals import StockroomError

__all__ = ["Latest", "News"]

Latest = tuple[int, int]
"""The numbers of the newest entry and of the newest plan."""
EVERY_SECONDS = 1.0
STILL_HERE_SECONDS = 15.0


class News:
    """What was newest when it was last looked, and who waits for more."""

    def __init__(self, look: Callable[[], Latest]) -> None:
        self._look = look
        self._listeners = 0
        self._latest: Latest = (0, 0)
        self._turn = asyncio.Event()
        self._closed = False

    async def watch(self) -> None:
        """Looks each second while a page listens; a record that is away is looked for again."""
        while not self._closed:
            await asyncio.sleep(EVERY_SECONDS)
            if self._listeners:
                try:
                    self.tell(await run_in_threadpool(self._look))
                except StockroomError:
                    continue

    def tell(self, latest: Latest) -> None:
        """Wakes every page if there is something new."""
        if latest != self._latest:
            self._latest = latest
            self._wake()

    def _wake(self) -> None:
        """Ends this turn of waiting."""
        turn, self._turn = self._turn, asyncio.Event()
        turn.set()

    def close(self) -> None:
        """Ends every stream, so that the server can end at once."""
        self._closed = True
        self._wake()

    async def stream(self) -> AsyncIterator[str]:
        """The news as a page hears them, as events (HTML standard, server-sent events)."""
        self._listeners += 1
        try:
            self.tell(await run_in_threadpool(self._look))
            yield event(self._latest)
            while not self._closed:
                turn = self._turn
                try:
                    async with asyncio.timeout(STILL_HERE_SECONDS):
                        await turn.wait()
                except TimeoutError:
                    yield ": still here\n\n"
                    continue
                if not self._closed:
                    yield event(self._latest)
        finally:
            self._listeners -= 1


def event(latest: Latest) -> str:
    """One event: the newest entry and plan."""
    return f"data: {latest[0]} {latest[1]}\n\n"

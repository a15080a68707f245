"""Server-sent events: every change in the ledger is sent to every open page.

The ledger is read several times a second, so that a change is sent whoever made it, this desk or a command in
another window. A stream ends when the desk does: an open one would keep the server from stopping.

Source: HTML Living Standard, 9.2 Server-sent events.
"""

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from contextlib import suppress

from intake.errors import IntakeError

LOOK_S = 0.25
ALIVE_S = 15.0
"""A comment now and then, so that a lost connection is noticed on both sides."""
WAITING = 200
"""A page with so many events waiting is taken to be closed."""


class Hub:
    """The open streams."""

    def __init__(self) -> None:
        self._queues: set[asyncio.Queue[str | None]] = set()
        self.closing = False

    @property
    def open_streams(self) -> int:
        """Return how many pages listen."""
        return len(self._queues)

    def send(self, event: dict[str, object]) -> None:
        """Send an event to every open page."""
        text = f"id: {event.get('seq', '')}\nevent: change\ndata: {json.dumps(event, ensure_ascii=False)}\n\n"
        for queue in list(self._queues):
            with suppress(asyncio.QueueFull):
                queue.put_nowait(text)

    def close(self) -> None:
        """End all streams; called from the server's thread when it is asked to stop."""
        self.closing = True
        for queue in list(self._queues):
            with suppress(asyncio.QueueFull):
                queue.put_nowait(None)

    async def stream(self) -> AsyncIterator[str]:
        """Yield the events of one page until it goes away or the desk stops."""
        queue: asyncio.Queue[str | None] = asyncio.Queue(WAITING)
        self._queues.add(queue)
        try:
            yield "retry: 1000\n\n"
            while not self.closing:
                try:
                    text = await asyncio.wait_for(queue.get(), ALIVE_S)
                except TimeoutError:
                    text = ": alive\n\n"
                if text is None:
                    return
                yield text
        finally:
            self._queues.discard(queue)


async def watch(hub: Hub, latest: Callable[[int], list[dict[str, object]]], start: int) -> None:
    """Send every new ledger entry to the open pages, until cancelled.

    Args:
        hub: the open pages.
        latest: returns the entries after the one named, oldest first.
        start: the number of the last entry that is not to be sent.
    """
    seen = start
    while True:
        await asyncio.sleep(LOOK_S)
        try:
            events = await asyncio.to_thread(latest, seen)
        except IntakeError:
            continue  # the library is busy or gone for a moment; the next round sends them
        for event in events:
            hub.send(event)
            seen = max(seen, int(str(event["seq"])))

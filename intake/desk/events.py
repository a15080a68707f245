"""Server-sent events: every change in the ledger is sent to every open page.

The ledger is read when the database tells of a change, or several times a second, so that one is sent whoever made it:
this desk, another one on the same server, or a command in another window. A stream ends when the desk does, for an open
one would keep the server from stopping, and with the session of its page. What happens at the door, such as a wrong
code, is told to the pages that it concerns.

Source: HTML Living Standard, 9.2 Server-sent events.
"""

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from contextlib import suppress
from dataclasses import dataclass

from intake.desk.sessions import DeskSession
from intake.errors import IntakeError, LibraryBusyError, ServerLostError

LOOK_S = 1.0
"""The ledger is looked at no less often than that, whether a change was heard of or not."""
PAUSE_S = 0.25
ALIVE_S = 15.0
"""A comment now and then, so that a lost connection is noticed on both sides."""
WAITING = 200
"""A page with so many events waiting is taken to be closed."""


@dataclass(frozen=True, slots=True, eq=False)
class EventStream:
    """One open stream: what waits to be sent on it, None for its end, and whose page listens."""

    queue: asyncio.Queue[str | None]
    loop: asyncio.AbstractEventLoop
    session: DeskSession

    def put(self, text: str | None) -> None:
        """Send a text, from any thread; a page that has too much waiting is taken to be closed."""

        def enter() -> None:
            with suppress(asyncio.QueueFull):
                self.queue.put_nowait(text)

        if not self.loop.is_closed():
            self.loop.call_soon_threadsafe(enter)


class Hub:
    """The open streams."""

    def __init__(self) -> None:
        self._streams: set[EventStream] = set()
        self.closing = False
        self.trouble = ""
        """Why the library cannot be read just now, as a sentence; empty while it can."""

    @property
    def open_streams(self) -> int:
        """Return how many pages listen."""
        return len(self._streams)

    def send(self, event: dict[str, object]) -> None:
        """Send a change in the ledger to every open page."""
        text = f"id: {event.get('seq', '')}\nevent: change\ndata: {json.dumps(event, ensure_ascii=False)}\n\n"
        for stream in list(self._streams):
            stream.put(text)

    def tell_laptop(self, sentence: str) -> None:
        """Say something at the laptop's pages, which load anew what they show of it."""
        self._tell(sentence, lambda session: session.host)

    def tell(self, session_id: str, sentence: str) -> None:
        """Say something at the pages of one session."""
        self._tell(sentence, lambda session: session.id == session_id)

    def tell_trouble(self, sentence: str) -> None:
        """Say at every page why the library cannot be read, or with "" that it can again; each once."""
        if sentence != self.trouble:
            self.trouble = sentence
            for stream in list(self._streams):
                stream.put(_trouble_event(sentence))

    def end(self, session_id: str) -> None:
        """End the streams of one session."""
        for stream in list(self._streams):
            if stream.session.id == session_id:
                stream.put(None)

    def close(self) -> None:
        """End all streams; called from the server's thread when it is asked to stop."""
        self.closing = True
        for stream in list(self._streams):
            stream.put(None)

    async def listen(self, session: DeskSession) -> AsyncIterator[str]:
        """Yield the events of one page until it goes away, its session ends or the desk stops."""
        stream = EventStream(asyncio.Queue(WAITING), asyncio.get_running_loop(), session)
        self._streams.add(stream)
        try:
            yield "retry: 1000\n\n"
            if self.trouble:
                yield _trouble_event(self.trouble)
            while not self.closing:
                try:
                    text = await asyncio.wait_for(stream.queue.get(), ALIVE_S)
                except TimeoutError:
                    text = ": alive\n\n"
                if text is None:
                    return
                yield text
        finally:
            self._streams.discard(stream)

    def _tell(self, sentence: str, whose: Callable[[DeskSession], bool]) -> None:
        text = f"event: door\ndata: {json.dumps({'sentence': sentence}, ensure_ascii=False)}\n\n"
        for stream in list(self._streams):
            if whose(stream.session):
                stream.put(text)


def _trouble_event(sentence: str) -> str:
    return f"event: library\ndata: {json.dumps({'sentence': sentence}, ensure_ascii=False)}\n\n"


async def watch(
    hub: Hub, wait: Callable[[float], bool], latest: Callable[[int], list[dict[str, object]]], start: int
) -> None:
    """Send every new ledger entry to the open pages, until cancelled.

    Args:
        hub: the open pages.
        wait: waits in a thread until the library may have been changed, no longer than so many seconds.
        latest: returns the entries after the one named, oldest first.
        start: the number of the last entry that is not to be sent.
    """
    seen = start
    while True:
        try:
            await asyncio.to_thread(wait, LOOK_S)
            events = await asyncio.to_thread(latest, seen)
        except IntakeError as error:
            is_busy = isinstance(error, LibraryBusyError) and not isinstance(error, ServerLostError)
            if not is_busy:  # its server was lost or its folder unplugged, for example; it may come back
                hub.tell_trouble(str(error))
            await asyncio.sleep(PAUSE_S)
            continue  # the next round sends them
        hub.tell_trouble("")
        for event in events:
            hub.send(event)
            seen = max(seen, int(str(event["seq"])))

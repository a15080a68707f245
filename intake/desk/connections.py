"""The open connections: those of stations, and the few that strangers may hold for a short while.

A connection is a stranger's until a request on it carries a session. Strangers share few places: who takes one more
than there are ends the oldest of the address that holds most, so that a thousand from one address push out each other
and not the phone that comes in now. None of a stranger's connections lasts longer than a page takes to load, whatever
it sends or does not send: half a request, half a handshake, a body byte by byte.
"""

import threading
from collections import Counter
from typing import Protocol

MOST_STRANGERS = 64
"""Far below what a process may have open: 256 on some systems, of which the stations and the library need theirs."""
STRANGER_LASTS_S = 20.0

Client = tuple[str, int]
"""Address and port of the other end, as the server names it too."""


class Connection(Protocol):
    """What a connection can be told, from any thread."""

    def drop(self) -> None:
        """End it at once, whatever is under way on it."""

    def limit(self) -> None:
        """End it once it has lasted as long as a stranger's may."""

    def keep(self) -> None:
        """Let it last as long as it is used."""


class Connections:
    """The open connections of one desk by the other end, the oldest first."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._strangers: dict[Client, Connection] = {}
        self._stations: dict[Client, tuple[Connection, str]] = {}

    @property
    def strangers(self) -> int:
        """Return how many connections no session was shown on."""
        return len(self._strangers)

    def opened(self, client: Client, connection: Connection) -> None:
        """Take a new connection in, and end another where there are too many."""
        with self._lock:
            self._strangers[client] = connection
            pushed_out = self._one_too_many()
        connection.limit()
        if pushed_out is not None:
            pushed_out.drop()

    def closed(self, client: Client) -> None:
        """Forget a connection."""
        with self._lock:
            self._strangers.pop(client, None)
            self._stations.pop(client, None)

    def known(self, client: Client, session_id: str) -> None:
        """Note that a session was shown on a connection."""
        with self._lock:
            connection = self._strangers.pop(client, None)
            if connection is None and client in self._stations:
                connection = self._stations[client][0]
            if connection is None:
                return
            self._stations[client] = (connection, session_id)
        connection.keep()

    def drop(self, session_id: str) -> None:
        """End every connection of a session at once: it was sent away."""
        for connection in self._of(session_id):
            connection.drop()

    def release(self, session_id: str) -> None:
        """Treat the connections of a session as strangers': it signed out, and its last answer is on its way."""
        with self._lock:
            released = {client: conn for client, (conn, whose) in self._stations.items() if whose == session_id}
            for client in released:
                del self._stations[client]
            self._strangers.update(released)
        for connection in released.values():
            connection.limit()

    def drop_strangers(self) -> None:
        """End every connection that no session was shown on: the desk stops."""
        with self._lock:
            strangers = list(self._strangers.values())
        for connection in strangers:
            connection.drop()

    def _of(self, session_id: str) -> list[Connection]:
        with self._lock:
            return [connection for connection, whose in self._stations.values() if whose == session_id]

    def _one_too_many(self) -> Connection | None:
        """Take out the oldest connection of the address that holds most."""
        if len(self._strangers) <= MOST_STRANGERS:
            return None
        ((most, _),) = Counter(address for address, _ in self._strangers).most_common(1)
        return self._strangers.pop(next(client for client in self._strangers if client[0] == most))

"""Hearing of changes on a server: each entry of the ledger is told to all that listen (LISTEN, NOTIFY)."""

import time
from typing import TYPE_CHECKING, Any

from intake.edges.store.engines.server_connection import connect
from intake.edges.store.engines.server_schema import CHANNEL

if TYPE_CHECKING:
    import psycopg

PAUSE_S = 1.0
"""Between attempts to reach a server that was lost."""


class ServerListener:
    """Listens on a connection of its own, and makes it anew where it was lost."""

    def __init__(self, parameters: dict[str, Any]) -> None:
        self._parameters = parameters
        self._session: psycopg.Connection[Any] | None = None

    def wait(self, seconds: float) -> bool:
        """Wait for a change; return whether there was one, or may have been while nobody listened."""
        import psycopg  # noqa: PLC0415 - an optional part

        try:
            if self._session is None:
                self._session = connect(self._parameters, autocommit=True)
                self._session.execute(f"LISTEN {CHANNEL}")
                return True  # what was entered before is not told
            return any(True for _ in self._session.notifies(timeout=seconds, stop_after=1))
        except psycopg.Error:
            self.close()
            time.sleep(min(PAUSE_S, seconds))
            return False

    def close(self) -> None:
        """Hear no more."""
        if self._session is not None:
            self._session.close()
            self._session = None

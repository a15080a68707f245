"""A connection from its first byte: entered among the desk's connections, then TLS where the desk speaks it, then HTTP.

The server would shake hands over TLS before it says that there is a connection, and would let a stranger take a minute
for it; here the connection counts from the start.
"""

import asyncio
import ssl
from collections.abc import Callable
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

from intake.desk.connections import STRANGER_LASTS_S, Client, Connections


class DoorProtocol(asyncio.Protocol):
    """The server's side of one connection until HTTP takes over.

    Args:
        connections: where it is entered.
        tls: how to speak TLS; None for none.
        http: makes what speaks HTTP on it, given what is to be called once the connection is lost.
        loop: the server's event loop.
    """

    def __init__(
        self,
        connections: Connections,
        tls: ssl.SSLContext | None,
        http: Callable[[Callable[[], object]], H11Protocol],
        loop: asyncio.AbstractEventLoop,
    ) -> None:
        self.connections = connections
        self.tls = tls
        self.http = http(self.leave)
        self.loop = loop
        self.client: Client | None = None
        self._transport: asyncio.Transport | None = None
        self._timer: asyncio.TimerHandle | None = None
        self._shaking: asyncio.Task[None] | None = None
        self._early = bytearray()

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Enter the connection, and begin."""
        assert isinstance(transport, asyncio.Transport)  # noqa: S101 - the server listens on a stream socket
        peer = transport.get_extra_info("peername")
        if not peer:
            transport.abort()  # it is gone already
            return
        self._transport = transport
        self.client = (str(peer[0]), int(peer[1]))
        self.connections.opened(self.client, self)
        if self.tls is None:
            transport.set_protocol(self.http)
            self.http.connection_made(transport)
        else:
            transport.pause_reading()
            self._shaking = self.loop.create_task(self._shake_hands(transport, self.tls))

    def data_received(self, data: bytes) -> None:
        """Keep what comes with the last word of the handshake until HTTP has taken over."""
        self._early += data

    def connection_lost(self, exc: Exception | None) -> None:  # noqa: ARG002 - given by the event loop
        """Forget a connection that was lost before HTTP took over."""
        self.leave()

    async def _shake_hands(self, transport: asyncio.Transport, tls: ssl.SSLContext) -> None:
        try:
            secured = await self.loop.start_tls(
                transport, self, tls, server_side=True, ssl_handshake_timeout=STRANGER_LASTS_S
            )
        except (OSError, ssl.SSLError):
            secured = None
        if secured is None or secured.is_closing():
            transport.abort()
            self.leave()
            return
        self._transport = secured
        self.http.connection_made(secured)
        secured.set_protocol(self.http)
        if self._early:
            self.http.data_received(bytes(self._early))

    def leave(self) -> None:
        """Forget the connection: it is lost."""
        self._cancel_timer()
        if self.client is not None:
            self.connections.closed(self.client)

    def drop(self) -> None:
        """See `Connection`."""
        if self._transport is not None:
            self._in_loop(self._transport.abort)

    def limit(self) -> None:
        """See `Connection`."""
        self._in_loop(self._start_timer)

    def keep(self) -> None:
        """See `Connection`."""
        self._in_loop(self._cancel_timer)

    def _start_timer(self) -> None:
        self._cancel_timer()
        self._timer = self.loop.call_later(STRANGER_LASTS_S, self.drop)

    def _cancel_timer(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None

    def _in_loop(self, call: Callable[[], object]) -> None:
        if not self.loop.is_closed():
            self.loop.call_soon_threadsafe(call)


class DeskHttp(H11Protocol):
    """HTTP on a connection that says when it is lost."""

    def __init__(self, lost: Callable[[], object], **server: Any) -> None:
        super().__init__(**server)
        self._lost = lost

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the connection."""
        super().connection_lost(exc)
        self._lost()


def door_factory(connections: Connections, tls: ssl.SSLContext | None) -> Callable[..., DoorProtocol]:
    """Return what makes the protocol of each new connection, called as the server calls its own."""

    def make(**server: Any) -> DoorProtocol:
        loop = server["_loop"] or asyncio.get_running_loop()
        return DoorProtocol(connections, tls, lambda lost: DeskHttp(lost, **server), loop)

    return make

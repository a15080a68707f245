"""Start and stop the desk's server."""

import signal
import socket
from collections.abc import Callable
from types import FrameType

import uvicorn

from intake.desk.app import make_app
from intake.desk.request_state import Desk
from intake.edges.certificates import Certificates

PATIENCE_S = 2
"""Requests that are under way when the desk is stopped have this long to end."""


class Server(uvicorn.Server):
    """A server that ends its open event streams when it is asked to stop; they would keep it waiting."""

    def __init__(self, config: uvicorn.Config, desk: Desk) -> None:
        super().__init__(config)
        self.desk = desk

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:  # noqa: ARG002 - given by the signal
        """Stop: first the streams, then the server; asked twice, at once. The signal is not raised anew afterwards."""
        self.desk.hub.close()
        self.force_exit = self.should_exit and sig == signal.SIGINT
        self.should_exit = True


def make_server(desk: Desk, certificates: Certificates | None = None) -> Server:
    """Return the server of a desk, not yet running."""
    config = uvicorn.Config(
        make_app(desk),
        log_level="warning",
        access_log=False,
        server_header=False,
        ws="none",
        lifespan="on",
        timeout_graceful_shutdown=PATIENCE_S,
        ssl_certfile=str(certificates.chain) if certificates else None,
        ssl_keyfile=str(certificates.key) if certificates else None,
    )
    return Server(config, desk)


def serve(
    desk: Desk, listening: socket.socket, certificates: Certificates | None, *, started: Callable[[], object]
) -> None:
    """Serve until the person stops it; `started` is called once the socket takes requests."""
    server = make_server(desk, certificates)
    started()
    server.run(sockets=[listening])

"""Open a desk (its socket, its keys, its certificates, the link that opens it), serve it, and stop it."""

import signal
import socket
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import uvicorn

from intake.desk import desk_startup
from intake.desk.app import make_app
from intake.desk.pairing import Authenticator
from intake.desk.request_state import Desk, Endpoint

OWN_NAMES = ("localhost", desk_startup.THIS_MACHINE)


@dataclass(frozen=True, slots=True)
class Opened:
    """A desk that is ready to be served."""

    desk: Desk
    listening: socket.socket
    certificates: desk_startup.Certificates | None
    link: str


def open_desk(
    library: desk_startup.Library,
    decoders: Sequence[desk_startup.Decoder],
    *,
    port: int,
    lan: bool,
    tls: bool,
    keys: Path | None = None,
) -> Opened:
    """Make a desk ready.

    Args:
        library: the library it works on.
        decoders: see `intake.reading.decoders.available`.
        port: its port; 0 for any free one.
        lan: let other machines of the household in.
        tls: serve over TLS.
        keys: folder of the desk's own keys; None takes the one in the user's data folder.

    Raises:
        UsageError: the port cannot be used.
        FileError: the folder of the keys cannot be written.
    """
    folder = keys or desk_startup.default_folder()
    key = desk_startup.session_key(folder)
    house = desk_startup.house_address() if lan else None
    names = (*OWN_NAMES, *((house, *desk_startup.host_names()) if house else ()))
    certificates = desk_startup.prepare_certificates(folder, names, desk_startup.now()) if tls else None
    listening = desk_startup.listen(port, everywhere=lan)
    taken: int = listening.getsockname()[1]
    scheme = "https" if tls else "http"
    endpoint = Endpoint(
        hosts=frozenset(f"{name}:{taken}" for name in names),
        port=taken,
        phone=f"{scheme}://{house}:{taken}" if house else None,
        secure=tls,
        fingerprint=certificates.fingerprint if certificates else "",
        authority=certificates.authority.read_bytes() if certificates else b"",
    )
    authenticator = Authenticator(key, desk_startup.now, desk_startup.random_token())
    desk = Desk(
        library=library,
        authenticator=authenticator,
        endpoint=endpoint,
        decoders=decoders,
        new_key=lambda: desk_startup.session_key(folder, new=True),
    )
    link = f"{scheme}://{desk_startup.THIS_MACHINE}:{taken}/enter?key={authenticator.link_key}"
    return Opened(desk, listening, certificates, link)


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


def make_server(desk: Desk, certificates: desk_startup.Certificates | None = None) -> Server:
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
    desk: Desk,
    listening: socket.socket,
    certificates: desk_startup.Certificates | None,
    *,
    started: Callable[[], object],
) -> None:
    """Serve until the person stops it; `started` is called once the socket takes requests."""
    server = make_server(desk, certificates)
    started()
    server.run(sockets=[listening])

"""Open a desk (its socket, its sessions, its certificates, the link that opens it), serve it, and stop it."""

import logging
import signal
import socket
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import uvicorn

from intake.desk import desk_startup
from intake.desk.app import make_app
from intake.desk.door_protocol import door_factory
from intake.desk.pairing import Authenticator
from intake.desk.request_state import Desk, Endpoint
from intake.desk.sessions import SessionClock, Sessions
from intake.flow.lookup.status import library_status
from intake.flow.unpacking.cover_evidence import CoverLookup

OWN_NAMES = ("localhost", desk_startup.THIS_MACHINE)


@dataclass(frozen=True, slots=True)
class Opened:
    """A desk that is ready to be served; `link` opens it once."""

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
    on_link: Callable[[str], object] | None = None,
) -> Opened:
    """Make a desk ready.

    Args:
        library: the library it works on.
        decoders: see `intake.reading.decoders.available`.
        port: its port; 0 for any free one.
        lan: let other machines of the household in.
        tls: serve over TLS.
        keys: folder of the desk's own keys; None takes the one in the user's data folder.
        on_link: called with the next link of this machine once the one before was used.

    Raises:
        StoreError: the library cannot be read.
        UsageError: the port cannot be used.
        FileError: the folder of the keys cannot be read or written.
    """
    with library.reading() as records:
        library_status(records)  # what the start of the server needs: else its link would be dead
    folder = keys or desk_startup.default_folder()
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
    start = f"{scheme}://{desk_startup.THIS_MACHINE}:{taken}/enter?key="
    authenticator = _authenticator(folder, taken, lambda key: on_link(f"{start}{key}") if on_link else None)
    desk = Desk(
        library=library, authenticator=authenticator, endpoint=endpoint, decoders=decoders, covers=CoverLookup(library)
    )
    return Opened(desk, listening, certificates, f"{start}{authenticator.link_key}")


def _authenticator(folder: Path, port: int, on_link: Callable[[str], object]) -> Authenticator:
    """Return who lets browsers in; desks on several ports keep their sessions apart, as their cookies are."""
    path = folder / f"sessions-{port}.json"
    clock = SessionClock(desk_startup.now, desk_startup.steady_s)
    kept = Sessions(clock, desk_startup.read_private(path), lambda data: desk_startup.write_private(path, data))
    return Authenticator(kept, clock, on_link)


SEE_LOG = (
    "The desk had an unexpected error; the details are in its log: logs/desk.log in the library's folder or, where the "
    "library is on a server, in the folder that 'intake status' names."
)
PATIENCE_S = 2
"""Requests that are under way when the desk is stopped have this long to end."""
TAKEN_AT_A_TIME = 16
"""Connections that are taken up before what came on them is read: few, so that a crowd that comes at once does not push
out a phone among it before its request was looked at."""
QUEUE = 2048
"""Connections that the system lets wait; of more it drops the first packet, and the other end tries again later."""


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

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start; how many connections wait is set anew, as the server takes it to be how many it takes up at a time."""
        await super().startup(sockets)
        for listening in sockets or []:
            listening.listen(QUEUE)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Stop without waiting for strangers."""
        self.desk.connections.drop_strangers()
        await super().shutdown(sockets)


def see_log(record: logging.LogRecord) -> bool:
    """Say in one line that a request failed: `intake.desk.app.failed` has logged it with its traceback."""
    if record.exc_info:
        record.msg, record.args, record.exc_info, record.exc_text = SEE_LOG, (), None, None
    return True


def make_server(desk: Desk, certificates: desk_startup.Certificates | None = None) -> Server:
    """Return the server of a desk, not yet running."""
    tls = desk_startup.server_context(certificates) if certificates else None
    config = uvicorn.Config(
        make_app(desk),
        log_level="warning",
        access_log=False,
        server_header=False,
        http=door_factory(desk.connections, tls),  # type: ignore[arg-type] # the server calls it as it would a class
        loop="asyncio",
        backlog=TAKEN_AT_A_TIME,
        ws="none",
        lifespan="on",
        timeout_graceful_shutdown=PATIENCE_S,
    )
    return Server(config, desk)


def serve(
    desk: Desk,
    listening: socket.socket,
    certificates: desk_startup.Certificates | None,
    *,
    started: Callable[[], object],
    has_log: bool,
) -> None:
    """Serve until the person stops it.

    Args:
        desk: the desk.
        listening: its socket.
        certificates: for TLS.
        started: is called once the socket takes requests.
        has_log: whether the package's log is kept, so that the terminal need not show what is in it.
    """
    server = make_server(desk, certificates)
    errors = logging.getLogger("uvicorn.error")
    if has_log:
        errors.addFilter(see_log)
    try:
        started()
        server.run(sockets=[listening])
    finally:
        errors.removeFilter(see_log)

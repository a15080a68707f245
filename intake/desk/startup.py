"""What a desk needs before it can be served: its socket, its keys, its certificates, the link that opens it."""

import socket
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from intake.desk.pairing import Authenticator
from intake.desk.request_state import Desk, Endpoint
from intake.edges import certificates, clock, desk_folder, network, random_tokens
from intake.edges.certificates import Certificates
from intake.edges.store.library import Library
from intake.reading.decoders import Decoder

OWN_NAMES = ("localhost", network.THIS_MACHINE)


@dataclass(frozen=True, slots=True)
class Opened:
    """A desk that is ready to be served."""

    desk: Desk
    listening: socket.socket
    certificates: Certificates | None
    link: str


def open_desk(
    library: Library, decoders: Sequence[Decoder], *, port: int, lan: bool, tls: bool, keys: Path | None = None
) -> Opened:
    """Make a desk ready.

    Args:
        library: what it works at.
        decoders: see `intake.reading.decoders.available`.
        port: 0 takes a free one.
        lan: let other machines of the household in.
        tls: serve over TLS.
        keys: folder of the desk's own keys; None takes the one in the user's data folder.

    Raises:
        UsageError: the port cannot be used.
        FileError: the folder of the keys cannot be written.
    """
    folder = keys or desk_folder.default_folder()
    key = desk_folder.session_key(folder)
    house = network.house_address() if lan else None
    names = (*OWN_NAMES, *((house, *network.host_names()) if house else ()))
    held = certificates.prepare(folder, names, clock.now()) if tls else None
    listening = network.listen(port, everywhere=lan)
    taken: int = listening.getsockname()[1]
    scheme = "https" if tls else "http"
    way = Endpoint(
        hosts=frozenset(f"{name}:{taken}" for name in names),
        port=taken,
        phone=f"{scheme}://{house}:{taken}" if house else None,
        secure=tls,
        fingerprint=held.fingerprint if held else "",
        authority=held.authority.read_bytes() if held else b"",
    )
    door = Authenticator(key, clock.now, random_tokens.token())
    desk = Desk(
        library=library,
        door=door,
        way=way,
        decoders=decoders,
        new_key=lambda: desk_folder.session_key(folder, new=True),
    )
    link = f"{scheme}://{network.THIS_MACHINE}:{taken}/enter?key={door.link_key}"
    return Opened(desk, listening, held, link)

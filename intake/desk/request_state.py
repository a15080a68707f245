"""The desk that a request works with, and the session that the guard recognised."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from starlette.requests import Request

from intake.desk.approvals import Approvals
from intake.desk.connections import Connections
from intake.desk.desk_startup import Decoder, Library
from intake.desk.events import Hub
from intake.desk.made_papers import MadePapers
from intake.desk.pairing import Authenticator
from intake.desk.sessions import DeskSession
from intake.desk.uploads import Uploads
from intake.flow.unpacking.cover_evidence import CoverLookup


@dataclass(frozen=True, slots=True, kw_only=True)
class Endpoint:
    """How the desk is reached.

    Attributes:
        hosts: what the Host header may say ("127.0.0.1:8710"), in small letters.
        phone: the address a phone opens ("http://192.168.1.20:8710"); None where the desk is on this machine only.
        secure: whether it is reached over TLS.
        fingerprint: of the certificate, as browsers show it.
        authority: the certificate of the household's authority, PEM, for phones that install it.
    """

    hosts: frozenset[str]
    port: int
    phone: str | None = None
    secure: bool = False
    fingerprint: str = ""
    authority: bytes = b""

    @property
    def cookie(self) -> str:
        """Return the name of the session's cookie; cookies of one host are shared by all its ports.

        Over TLS its prefix binds it to this host and to TLS (draft RFC 6265bis, 4.1.3.2).
        """
        return f"{'__Host-' if self.secure else ''}intake_{self.port}"

    @property
    def origins(self) -> frozenset[str]:
        """Return what the Origin header may say."""
        scheme = "https" if self.secure else "http"
        return frozenset(f"{scheme}://{host}" for host in self.hosts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """One running desk.

    Attributes:
        covers: compares pictures with the photographs of copies; one for all stations, as it keeps an index.
    """

    library: Library
    authenticator: Authenticator
    endpoint: Endpoint
    decoders: Sequence[Decoder]
    covers: CoverLookup
    hub: Hub = field(default_factory=Hub)
    connections: Connections = field(default_factory=Connections)
    approvals: Approvals = field(default_factory=Approvals)
    uploads: Uploads = field(default_factory=Uploads)
    papers: MadePapers = field(default_factory=MadePapers)


def desk_of(request: Request) -> Desk:
    """Return the desk that a request came to."""
    desk: Desk = request.app.state.desk
    return desk


def session_of(request: Request) -> DeskSession:
    """Return the session of a request that the guard let through."""
    session: DeskSession = request.state.session
    return session


def address_of(request: Request) -> str:
    """Return the address that a request came from; empty where the connection does not say."""
    return request.client.host if request.client else ""

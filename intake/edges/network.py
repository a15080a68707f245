"""The household's network: the addresses of this machine, and the socket that the desk listens on."""

import errno
import socket

from intake.errors import UsageError

THIS_MACHINE = "127.0.0.1"
EVERYWHERE = "0.0.0.0"  # noqa: S104 - only where the person asks for it
NOWHERE = "192.0.2.1"
"""An address set aside for examples (RFC 5737): asking for the way there sends nothing."""


def house_address() -> str | None:
    """Return the address of this machine in the household's network; None where there is no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect((NOWHERE, 9))
        except OSError:
            return None
        address: str = probe.getsockname()[0]
    return None if address.startswith("127.") or address == EVERYWHERE else address


def host_names() -> tuple[str, ...]:
    """Return the names this machine may be called by in the household's network."""
    name = socket.gethostname().split(".")[0].lower()
    return (name, f"{name}.local") if name and name.isascii() else ()


def listen(port: int, *, everywhere: bool) -> socket.socket:
    """Open the socket that the desk listens on.

    Args:
        port: 0 takes a free one.
        everywhere: let other machines of the network in; else only this one.

    Raises:
        UsageError: the port is taken or not allowed.
    """
    # The protocol is named, for only then asyncio sends small answers at once; unnamed, each would wait 40 ms.
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((EVERYWHERE if everywhere else THIS_MACHINE, port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        why = "is taken by another program" if error.errno == errno.EADDRINUSE else f"cannot be used ({error.strerror})"
        raise UsageError(f"Port {port}", why, "name another with --port, or end the desk that runs already") from error
    return listening

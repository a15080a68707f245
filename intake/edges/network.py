"""The household's network: the addresses of this machine, and the socket that the desk listens on."""

import errno
import socket

from intake.errors import UsageError

THIS_MACHINE = "127.0.0.1"
EVERYWHERE = "0.0.0.0"  # noqa: S104 - only where the person asks for it
NOWHERE = "192.0.2.1"
"""An address reserved for documentation (RFC 5737); connecting a UDP socket to it sends nothing."""


def house_address() -> str | None:
    """Return the address of this machine in the household's network; None if there is no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect((NOWHERE, 9))
        except OSError:
            return None
        address: str = probe.getsockname()[0]
    return None if address.startswith("127.") or address == EVERYWHERE else address


def host_names() -> tuple[str, ...]:
    """Return the names under which this machine may be reached in the household's network."""
    name = socket.gethostname().split(".")[0].lower()
    return (name, f"{name}.local") if name and name.isascii() else ()


def listen(port: int, *, everywhere: bool) -> socket.socket:
    """Open the socket that the desk listens on.

    Args:
        port: the port, or 0 for a free one.
        everywhere: whether other machines of the network may connect, or only this one.

    Raises:
        UsageError: the port is in use or not allowed.
    """
    # The protocol is given because asyncio sends small answers at once only then; otherwise each is delayed by 40 ms.
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((EVERYWHERE if everywhere else THIS_MACHINE, port))
        listening.listen()
    except OSError as error:
        listening.close()
        why = (
            "is in use by another program" if error.errno == errno.EADDRINUSE else f"cannot be used ({error.strerror})"
        )
        raise UsageError(f"Port {port}", why, "use another with --port, or stop the desk that is running") from error
    return listening

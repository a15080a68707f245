"""Faults of a PostgreSQL server as errors for a person, with the words that SQLite's have.

Distinguished by SQLSTATE (PostgreSQL's documentation, Appendix A), never by the words of a message. A connection that
cannot be made, or was lost, has none; what the server or the network said of it is given as the reason.
"""

from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from intake.edges.server_address import HIDDEN, ServerAddress
from intake.edges.store.backup_notes import archive_way
from intake.edges.store.engines.faults import CHECK, crowded_error, reference_error, writer_words
from intake.errors import IntakeError, LibraryBusyError, RefusedError, ServerLostError, StoreError
from intake.units.advice import advice

REPEAT = "repeat the step"

_WHY_AND_REMEDY = {
    "53100": ("cannot grow: the disk of the server is full, and nothing was changed", f"make room there and {REPEAT}"),
    "25006": ("may only be read", "name a server that takes changes"),
    "42501": (
        "may not be used so by this user of the server",
        "give the user the right: whoever made the library owns its tables",
    ),
    "42P01": ("is damaged: a table of it is not there", "{archive_way}"),
    "42703": ("is damaged: a column of it is not there", "{archive_way}"),
    "0A000": ("was brought up to date by another version of this program", "close the program and start it anew"),
    "XX001": ("is damaged: the server reports data that cannot be read", "{archive_way}"),
    "XX002": ("is damaged: the server reports an index that cannot be read", "{archive_way}"),
    "58030": ("cannot be read or written: the disk of the server reports an error", "check the disk of the server"),
}
_BUSY = {
    "55P03": writer_words(None),
    "40001": "was changed by another station at the same moment, and nothing was changed here",
    "40P01": "was changed by another station at the same moment, and nothing was changed here",
    "57014": "is too busy: the server ended the step, and nothing was changed",
    "53300": "is busy: the server takes no more connections",
    "25P03": "waited too long for this program, and nothing was changed",
}
_LOST = ("08", "57P")


def is_lost(fault: BaseException | None) -> bool:
    """Return whether a fault is that of a connection that was lost or could not be made."""
    state = getattr(fault, "sqlstate", None)
    return isinstance(fault, psycopg.OperationalError) and (state is None or state.startswith(_LOST))


def lost_error(address: ServerAddress, fault: BaseException | None) -> ServerLostError:
    """Return the error for a server that cannot be reached."""
    right = "host, port, database, user and password" + (
        " and what the URL says of TLS" if "ssl" in address.url else ""
    )
    remedy = f"see whether the server runs and has room on its disk, and whether {right} are right; then repeat"
    why = f"cannot be reached ({_reason(address, fault)}), and nothing was changed"
    return ServerLostError(f"The library {address}", why, remedy)


def _reason(address: ServerAddress, fault: BaseException | None) -> str:
    """Return what the server or the client library said, in short: its further lines are guesses and repetitions."""
    said = str(fault or "").strip().partition("\n")[0]
    reason = said.rpartition(" failed: ")[2].removeprefix("FATAL:").strip() or "no answer"
    for secret in address.secrets:
        reason = reason.replace(secret, HIDDEN)
    return reason


def server_error(address: ServerAddress, fault: BaseException | None) -> IntakeError:
    """Return the error for a fault of the server."""
    library, state = f"The library {address}", getattr(fault, "sqlstate", None) or ""
    if is_lost(fault):
        return lost_error(address, fault)
    if state.startswith("23"):
        return reference_error()
    if state.startswith("22") or isinstance(fault, psycopg.DataError):
        said = str(fault).splitlines()[0]
        return RefusedError("This step", f"has a value that cannot be stored ({said})", "correct it")
    if state == "54000":
        return RefusedError("This step", "has a text that is too long for an index of the server", "shorten it")
    if state in _BUSY:
        return LibraryBusyError(library, _BUSY[state], f"wait a moment and {REPEAT}")
    said = str(fault).splitlines()[0] if str(fault) else "no reason given"
    why, remedy = _WHY_AND_REMEDY.get(state, (f"cannot be used ({said})", advice(*CHECK)))
    return StoreError(library, why, remedy.format(archive_way=archive_way(address)))


@contextmanager
def server_worded(address: ServerAddress) -> Iterator[None]:
    """Raise faults of the server inside the block as errors for a person."""
    try:
        yield
    except DBAPIError as error:
        raise server_error(address, error.orig) from error
    except psycopg.Error as error:
        raise server_error(address, error) from error
    except PoolTimeoutError as error:
        raise crowded_error(address) from error
    except UnicodeEncodeError as error:
        why = "has a character that no text has (half of a pair)"
        raise RefusedError("This step", why, "correct it") from error

"""Connections to a PostgreSQL server: how each is made and set, and how many there may be."""

from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from sqlalchemy import Engine, create_engine, event

from intake.edges.server_address import HIDDEN, ServerAddress
from intake.errors import StoreError, UsageError

if TYPE_CHECKING:
    import psycopg

POOL = 5
MOST = 20
"""Connections of one program; a server as it is installed takes 100 of all programs together."""
LOCK_WAIT_S = 30
_SETTINGS = (
    f"SET lock_timeout = '{LOCK_WAIT_S}s'",
    "SET tcp_keepalives_idle = 10",
    "SET tcp_keepalives_interval = 5",
    "SET tcp_keepalives_count = 3",
    "SET synchronous_commit = on",
    "SET jit = off",
)
_DEFAULTS = {
    "connect_timeout": "5",
    "keepalives_idle": "10",
    "keepalives_interval": "5",
    "keepalives_count": "3",
    "application_name": "intake",
}


def require_client(address: ServerAddress) -> None:
    """Refuse what is no address, and a library on a server where the client library is not installed.

    Raises:
        StoreError: it is not.
        UsageError: a password could not be told from the rest of the address.
    """
    if not address.is_readable:
        raise _no_url(address)
    if find_spec("psycopg") is None:
        why = "is on a PostgreSQL server, and the part of this program for it is not installed"
        raise StoreError(f"The library {address}", why, "run: pip install 'book-intake[server]'")


def _no_url(address: ServerAddress) -> UsageError:
    remedy = (
        "write it as postgresql://USER@HOST:PORT/DATABASE, in a name or password %40 for @, %3A for a colon, %2F for "
        "a slash; after a ? only parameters of PostgreSQL, such as sslmode=require, and pictures=FOLDER"
    )
    scheme = str(address).partition("://")[0]
    return UsageError(f"The library {scheme}://{HIDDEN}", "is no URL of a PostgreSQL database", remedy)


def parameters_of(address: ServerAddress) -> dict[str, Any]:
    """Return the parameters of a connection, ours where the URL has none.

    Raises:
        StoreError: the client library is not installed.
        UsageError: it is not a URL that the client library can read.
    """
    require_client(address)
    import psycopg  # noqa: PLC0415 - an optional part
    from psycopg.conninfo import conninfo_to_dict  # noqa: PLC0415 - as above

    try:
        given = conninfo_to_dict(address.for_client)
    except (psycopg.Error, UnicodeError):  # its words may have the password
        raise _no_url(address) from None
    return {**_DEFAULTS, **given, "client_encoding": "utf8"}


def connect(parameters: dict[str, Any], *, autocommit: bool = False) -> "psycopg.Connection[Any]":
    """Make a connection of one's own."""
    import psycopg  # noqa: PLC0415 - as above

    connection = psycopg.connect(**parameters, autocommit=True)
    for setting in _SETTINGS:
        connection.execute(setting)
    connection.autocommit = autocommit
    return connection


def server_engine(address: ServerAddress) -> Engine:
    """Return an engine for a library on a server; nothing is opened yet.

    Raises:
        StoreError, UsageError: see `parameters_of`.
    """
    parameters = parameters_of(address)
    engine = create_engine(
        "postgresql+psycopg://",
        creator=lambda: connect(parameters),
        isolation_level="READ COMMITTED",
        pool_pre_ping=True,
        pool_size=POOL,
        max_overflow=MOST - POOL,
        pool_timeout=LOCK_WAIT_S,
        hide_parameters=True,
    )

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        if connection.get_execution_options().get("takes_turn", False):
            from intake.edges.store.engines.server_schema import LEDGER_LOCK  # noqa: PLC0415 - by whoever migrates

            connection.exec_driver_sql("SELECT pg_advisory_xact_lock(%s, %s)", LEDGER_LOCK)

    return engine

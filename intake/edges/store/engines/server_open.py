"""Opening the database of a library on a PostgreSQL server, and bringing it up to date; or only looking at it."""

import shlex
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, text

from intake.edges.atomic_write import make_folder
from intake.edges.server_address import ServerAddress
from intake.edges.store.engines.postgresql import PostgresqlEngine
from intake.edges.store.engines.server_connection import server_engine
from intake.edges.store.engines.server_faults import server_worded
from intake.edges.store.migrate import newest_revision, refuse_newer, revision_of
from intake.errors import StoreError

OLDEST = 13
NEW = (
    "check the name, or make a library there: intake --library {address} import editions LIST.csv (or: serve --new; or "
    "from an archive: restore BOOKS.zip --to {address})"
)

_STATE = text("""
    SELECT current_setting('server_version_num')::integer / 10000 AS version,
           current_setting('server_version') AS named,
           current_setting('server_encoding') AS encoding,
           pg_is_in_recovery() OR current_setting('default_transaction_read_only')::boolean AS read_only,
           (SELECT count(*) FROM pg_class
            WHERE relkind = 'r' AND relnamespace = current_schema()::regnamespace) AS tables,
           to_regclass('alembic_version') IS NOT NULL
           AND coalesce(to_regclass('ledger'), to_regclass('edition_word')) IS NOT NULL AS is_library""")
_MAY_WRITE = text("SELECT has_table_privilege('ledger', 'INSERT')")


@dataclass(frozen=True, slots=True)
class ServerState:
    """What a database is before it is opened as a library.

    Attributes:
        revision: of its tables; None where there are none.
        read_only: whether this user may only read it.
    """

    revision: str | None
    read_only: bool

    @property
    def is_library(self) -> bool:
        """Return whether it is a library."""
        return self.revision is not None

    @property
    def is_current(self) -> bool:
        """Return whether its tables are those of this version of the program."""
        return self.revision == newest_revision()


def state_of(address: ServerAddress, connection: Connection) -> ServerState:
    """Look at a database.

    Raises:
        StoreError: it is another program's, or the server is too old or keeps other characters.
    """
    database, found = f"The database {address}", connection.execute(_STATE).one()
    if found.version < OLDEST:
        why = f"is on a PostgreSQL server of version {found.named}, and {OLDEST} or later is needed"
        raise StoreError(database, why, "update the server; nothing was changed")
    if found.encoding != "UTF8":
        why = f"keeps its texts as {found.encoding}, and not every title can be written so"
        raise StoreError(
            database, why, "make one with the encoding UTF8: createdb --encoding UTF8 --template template0"
        )
    if found.tables and not found.is_library:
        raise StoreError(database, "is not a library: its tables are another program's", "name an empty database")
    if not found.is_library:
        return ServerState(None, found.read_only)
    read_only = found.read_only or not connection.scalar(_MAY_WRITE)
    return ServerState(revision_of(connection), read_only)


def look_at(address: ServerAddress) -> ServerState:
    """Look at a database; nothing is changed.

    Raises:
        StoreError: it cannot be reached, or see `state_of`.
    """
    engine = server_engine(address)
    try:
        with server_worded(address), engine.connect() as connection:
            return state_of(address, connection)
    finally:
        engine.dispose()


def open_server(address: ServerAddress, *, create: bool, migrates: bool = True) -> PostgresqlEngine:
    """Open the database of a library and bring it up to date.

    Args:
        address: of the database, which is there.
        create: make a new library in an empty one.
        migrates: bring it up to date; else one of an older version is refused.

    Raises:
        StoreError: it is not a library, was made by a newer version, or cannot be used; nothing was changed.
    """
    state = look_at(address)
    refuse_newer(address, state.revision)
    if not state.is_library and create and state.read_only:
        why = "is empty, and this user may only read it"
        raise StoreError(f"The database {address}", why, "give the user the right to make tables, or name another")
    if not state.is_library and not create:
        remedy = NEW.format(address=shlex.quote(str(address)))
        raise StoreError(f"The database {address}", "is not a library: the database is empty", remedy)
    if not state.is_current and (state.read_only or not migrates):
        why = "was made by another version of this program, and must be brought up to date first"
        raise StoreError(f"The library {address}", why, "open it once with the right to write: intake check")
    opened = PostgresqlEngine(address, read_only=state.read_only)
    try:
        with server_worded(address):
            if not state.is_current:
                opened.migrate()
        _prepare(address.folder)
    except BaseException:
        opened.close()
        raise
    return opened


def _prepare(folder: Path) -> None:
    try:
        make_folder(folder, mode=0o700)
    except OSError as error:
        why = f"cannot be made ({error.strerror}); settings, backups and logs of a library on a server are kept there"
        raise StoreError(f"The folder {folder}", why, "make it, so that this user may write into it") from error

"""Whether a database itself is whole, by what each can tell."""

from collections.abc import Iterator

from sqlalchemy import Connection

from intake.edges.store.engines.server_check import check_server
from intake.edges.store.engines.sqlite_check import check_database
from intake.model.findings import LibraryFinding


def check_own_database(connection: Connection) -> Iterator[LibraryFinding]:
    """Yield everything that is wrong with a database, its tables, indexes and triggers."""
    return check_database(connection) if connection.dialect.name == "sqlite" else check_server(connection)

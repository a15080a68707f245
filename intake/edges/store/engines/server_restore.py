"""Making a library on a server from an archive, in a database that is empty: whole, or not at all."""

from pathlib import Path

import psycopg
from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from intake.edges.server_address import ServerAddress
from intake.edges.store.archive import Manifest
from intake.edges.store.archive_reading import OpenArchive, is_picture, opened_archive
from intake.edges.store.archive_restore import compare_tables, fill_tables
from intake.edges.store.engines.server_connection import server_engine
from intake.edges.store.engines.server_faults import server_worded
from intake.edges.store.engines.server_open import look_at
from intake.edges.store.engines.server_pictures import insert_picture
from intake.edges.store.engines.server_schema import settle
from intake.edges.store.migrate import Migration, migrate_in
from intake.errors import FileError, StoreError


def restore_to_server(file: Path, address: ServerAddress) -> Manifest:
    """Make a library from an archive, in one transaction.

    Args:
        file: the archive.
        address: of an empty database.

    Raises:
        FileError: the archive cannot be read, is damaged, or is of a library that no server would hold.
        StoreError: the database is not empty, or cannot be written; there is no library.
    """
    state = look_at(address)
    if state.is_library or state.read_only:
        why = "may only be read" if state.read_only else "has a library already"
        remedy = "name an empty one, in which this user may make tables: createdb --owner USER NAME"
        raise StoreError(f"The database {address}", why, remedy)
    engine = server_engine(address)
    try:
        with opened_archive(file, address) as archive, server_worded(address), engine.connect() as connection:
            with connection.execution_options(writes=True, takes_turn=True).begin():
                migrate_in(connection, Migration(address, after=settle, to=archive.manifest.revision))
                connection.exec_driver_sql("SET CONSTRAINTS ALL DEFERRED")  # rows come before those that they refer to
                _fill(archive, connection)
            return archive.manifest
    finally:
        engine.dispose()


def _fill(archive: OpenArchive, connection: Connection) -> None:
    try:
        fill_tables(archive, connection)
        compare_tables(archive, connection)
        for name in filter(is_picture, archive.manifest.files):
            insert_picture(connection, name, b"".join(archive.chunks(name)))
        connection.exec_driver_sql("SET CONSTRAINTS ALL IMMEDIATE")
    except (DBAPIError, psycopg.Error) as error:
        fault = error.orig if isinstance(error, DBAPIError) else error
        if not isinstance(fault, psycopg.DataError | psycopg.IntegrityError | psycopg.ProgrammingError):
            raise
        said = str(fault).splitlines()[0]
        why = f"is of a library that is not whole: it has what no server keeps ({said}), and nothing was made"
        remedy = "restore it into a folder, and see there what 'intake check' says"
        raise FileError(str(archive.file), why, remedy) from error

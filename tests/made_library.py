"""Libraries that many tests begin with are made once by each process that runs tests, and copied for each test.

A fixture of the session or of a module makes one and closes it, so that nothing that a test replaces has a part in it;
the fixture of the test opens a copy.
"""

import shutil
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from functools import cache
from pathlib import Path

from intake.edges.clock import now as clock_now
from intake.edges.server_address import LibraryPlace, ServerAddress
from intake.edges.store.library import Library, open_library
from intake.edges.store.migrate import DATABASE
from intake.edges.store.tables import metadata
from tests.servers import DATABASES, address_of, execute

on_server = False
"""Whether the libraries are on a PostgreSQL server (`pytest --database postgresql`), each in a database of its own."""


@cache
def _empty_database() -> str:
    name = DATABASES.make()
    DATABASES.kept.append(name)
    open_library(address_of(name), create=True).close()
    return name


@cache
def _empty() -> tempfile.TemporaryDirectory[str]:
    """Return the folder of an empty library, by every step of the store's own."""
    made = tempfile.TemporaryDirectory(prefix="intake-tests-", ignore_cleanup_errors=True)
    open_library(Path(made.name), create=True).close()
    return made


def copy_library(made: Path, folder: Path, *, now: Callable[[], datetime] = clock_now) -> Library:
    """Open a copy of a closed library.

    Args:
        made: the folder of the library.
        folder: where the copy will be.
        now: the clock of the copy's ledger.
    """
    if on_server:
        return _copy_database(DATABASES.by_folder[made], folder, now)
    shutil.copytree(made, folder)
    return open_library(folder, now=now)


def new_library(folder: Path, *, now: Callable[[], datetime] = clock_now) -> Library:
    """Open a new, empty library; how one is made is for the tests of the store."""
    if on_server:
        return _copy_database(_empty_database(), folder, now)
    return copy_library(Path(_empty().name), folder, now=now)


def _copy_database(made: str, folder: Path, now: Callable[[], datetime]) -> Library:
    name = DATABASES.by_folder[folder] = DATABASES.make(made)
    return open_library(address_of(name), now=now)


def place_in(folder: Path) -> LibraryPlace:
    """Return what names a test's library in a folder, made or not: on a server, a database, which is empty at first."""
    if not on_server:
        return folder
    if folder not in DATABASES.by_folder:
        DATABASES.by_folder[folder] = DATABASES.make()
    return address_of(DATABASES.by_folder[folder])


def name_in(folder: Path) -> str:
    """Return the same as a command line or the environment has it."""
    place = place_in(folder)
    return getattr(place, "url", str(place))


def copy_beside(made: Path, folder: Path) -> None:
    """Copy a folder of a test and the library in it, its "library"; both exist, or are made."""
    shutil.copytree(made, folder, dirs_exist_ok=True)
    if on_server:
        DATABASES.copy(made / "library", folder / "library")


def content(place: LibraryPlace) -> dict[str, object]:
    """Return everything that a library has, to compare it: the bytes of its database, or the rows on a server."""
    if isinstance(place, Path):
        return {file.name: file.read_bytes() for file in place.glob("*.sqlite3")}
    with open_library(place) as library, library.reading() as records:
        rows = ((table.name, records.connection.execute(table.select()).all()) for table in metadata.sorted_tables)
        return {name: sorted(map(str, of_table)) for name, of_table in rows}


def alter(library: Library, *statements: str) -> None:
    """Alter the database as another program would: with the database's own client alone."""
    if isinstance(library.place, ServerAddress):
        for statement in statements:
            execute(statement, str(library.place).rpartition("/")[2])
        return
    with closing(sqlite3.connect(library.folder / DATABASE)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


def url_of(library: Library) -> str:
    """Return what names a library on the command line of another process."""
    return getattr(library.place, "url", str(library.place))

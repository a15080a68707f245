"""A library to look at without changing a byte of its folder: for a dry run.

Where there is no library, it is an empty one, and where a step of `migrate` is due, an up-to-date copy; both are gone
afterwards. A database whose log lies beside it is opened for reading only, for SQLite merges the two when the last
connection that may write closes. What may change is the file `-shm` beside the log, in which SQLite notes who reads.
"""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from intake.edges.clock import now as clock_now
from intake.edges.server_address import LibraryPlace, ServerAddress
from intake.edges.store.engines.choosing import is_library, open_engine
from intake.edges.store.engines.faults import worded
from intake.edges.store.engines.opening import refuse_foreign, refuse_lost_file
from intake.edges.store.engines.sqlite import copy_database, engine_for, has_log
from intake.edges.store.engines.sqlite_engine import SqliteEngine
from intake.edges.store.library import Library, open_library
from intake.edges.store.migrate import DATABASE, is_current
from intake.errors import StoreError


@contextmanager
def untouched(place: LibraryPlace, *, now: Callable[[], datetime] = clock_now) -> Iterator[Library]:
    """Open a library for reading; its folder is afterwards as it was.

    One on a server must be up to date.

    Raises:
        StoreError: the library cannot be used.
    """
    if isinstance(place, ServerAddress):
        if not is_library(place):
            with empty_library(now=now) as library:
                yield library
            return
        with closing(Library(open_engine(place, now, migrates=False), now)) as library:
            yield library
        return
    folder, file = place, place / DATABASE
    refuse_lost_file(folder)
    if not file.is_file():
        with empty_library(now=now) as library:
            yield library
        return
    engine = engine_for(file, read_only=has_log(file))
    with closing(Library(SqliteEngine(folder, engine, now), now)) as library:
        with worded(folder):
            refuse_foreign(engine, folder)
            up_to_date = is_current(engine)
        if up_to_date:
            yield library
            return
    with _updated_copy(folder, now) as library:
        yield library


@contextmanager
def empty_library(*, now: Callable[[], datetime] = clock_now) -> Iterator[Library]:
    """Make a library that is gone at the end of the block."""
    with (
        tempfile.TemporaryDirectory(prefix="intake-", ignore_cleanup_errors=True) as folder,
        open_library(Path(folder), create=True, now=now) as library,
    ):
        yield library


@contextmanager
def _updated_copy(folder: Path, now: Callable[[], datetime]) -> Iterator[Library]:
    with tempfile.TemporaryDirectory(prefix="intake-", ignore_cleanup_errors=True) as copy:
        with worded(folder):
            copy_database(folder / DATABASE, Path(copy) / DATABASE)
        try:
            library = open_library(Path(copy), now=now)
        except StoreError as error:
            raise StoreError(f"The library {folder}", error.why, error.remedy) from error
        with library:
            yield library

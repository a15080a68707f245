"""Libraries that many tests begin with are made once by each process that runs tests, and copied for each test.

A fixture of the session or of a module makes one and closes it, so that nothing that a test replaces has a part in it;
the fixture of the test opens a copy.
"""

import shutil
import tempfile
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path

from intake.edges.clock import now as clock_now
from intake.edges.store.library import Library, open_library
from tests.servers import DATABASES, address_of

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


def url_of(library: Library) -> str:
    """Return what names a library on the command line of another process."""
    return getattr(library.place, "url", str(library.place))

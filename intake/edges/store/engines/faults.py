"""Faults of the database and the file system as errors for a person.

Distinguished by SQLite's result codes (https://www.sqlite.org/rescode.html), never by the words of a message: by the
extended one where that tells more, else by its low eight bits, the primary code.
"""

import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from intake.edges.server_address import LibraryPlace
from intake.edges.store.backup_notes import archive_way, ways_back
from intake.edges.store.engines.turns import WriterNote
from intake.edges.store.migrate import DATABASE
from intake.errors import IntakeError, LibraryBusyError, RefusedError, StoreError
from intake.units.advice import advice

_WHY_AND_REMEDY = {
    sqlite3.SQLITE_FULL: ("cannot grow: the disk is full, and nothing was changed", "make room and repeat the step"),
    sqlite3.SQLITE_READONLY: ("may only be read", "make the folder and the files in it writable"),
    sqlite3.SQLITE_CANTOPEN: ("cannot be opened for writing", "make the folder and the files in it writable"),
    sqlite3.SQLITE_PERM: ("may not be opened", "ask for the right to read and write the folder"),
    sqlite3.SQLITE_IOERR: ("cannot be read or written: the disk reports an error", "check the disk; then {ways_back}"),
    # A full disk is reported so while a file beside the database, which the log needs, is made longer.
    sqlite3.SQLITE_IOERR_SHMSIZE: (
        "cannot be used: the disk is full or reports an error, and nothing was changed",
        "make room, or check the disk, and repeat the step",
    ),
    sqlite3.SQLITE_CORRUPT: ("is damaged", "{ways_back}"),
    sqlite3.SQLITE_NOTADB: (
        "is not a library: library.sqlite3 is not a database",
        "name another folder; if it was a library, {archive_way}",
    ),
}

CHECK = ("run 'intake check', which tells what is wrong and what to do", "check the library, to see what is wrong")


def writer_words(note: WriterNote | None) -> str:
    """Say who writes to a library."""
    if note is None:
        return "is being written by another station or program"
    station = f"station {note.station}" if note.station else "another step"
    return f"is being written by {station} (process {note.process}) since {note.since:%H:%M:%S} UTC"


def busy_error(place: LibraryPlace, note: WriterNote | None) -> LibraryBusyError:
    """Return the error for a turn to write that did not come in time."""
    return LibraryBusyError(f"The library {place}", writer_words(note), "wait a moment and repeat the step")


def crowded_error(place: LibraryPlace) -> LibraryBusyError:
    """Return the error for a connection that did not come free in time."""
    return LibraryBusyError(f"The library {place}", "is busy with too many requests", "repeat the step")


def reference_error() -> RefusedError:
    """Return the error for a step that would break a reference."""
    return RefusedError(
        "This step",
        "would remove a record that others refer to, or refer to one that is not in the library",
        "look at the records again and repeat the step",
    )


def other_plan_error() -> RefusedError:
    """Return the error for a plan in parts while another one is being applied."""
    return RefusedError(
        "Another large list or plan", "is being entered just now", "wait until it is done, then repeat the step"
    )


def unreadable_error(folder: Path) -> StoreError | None:
    """Return the error for a library whose folder or database this user may not read; None for any other."""
    file = folder / DATABASE
    may = partial(os.access, effective_ids=os.access in os.supports_effective_ids)
    if may(folder, os.R_OK | os.X_OK) and (not file.is_file() or may(file, os.R_OK)):
        return None
    return StoreError(f"The library {folder}", "may not be read by this user", "ask for the right to read it")


def refuse_unreadable_folder(folder: Path) -> None:
    """Refuse a library whose folder or database this user may not read.

    Raises:
        StoreError: it is there, and may not be read.
    """
    if folder.is_dir() and (unreadable := unreadable_error(folder)):
        raise unreadable


def fault_words(fault: BaseException | None) -> str:
    """Say what a fault of the database is; a damaged page in a word that is not the database's own."""
    code = getattr(fault, "sqlite_errorcode", sqlite3.SQLITE_OK)
    if code & 0xFF == sqlite3.SQLITE_CORRUPT:
        return "pages of its file are damaged"
    if match := re.fullmatch("no such (table|column): ([a-z_.]+)", str(fault)):
        return f"its {match[1]} '{match[2]}' is missing"
    return str(fault)


def store_error(folder: Path, fault: BaseException | None) -> IntakeError:
    """Return the error for a fault of the database of the library in a folder."""
    if isinstance(fault, sqlite3.IntegrityError):
        return reference_error()
    code = getattr(fault, "sqlite_errorcode", None)
    if not isinstance(code, int):
        code = sqlite3.SQLITE_OK
    if code & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return busy_error(folder, None)
    if code & 0xFF == sqlite3.SQLITE_CANTOPEN and (unreadable := unreadable_error(folder)):
        return unreadable
    default = (f"cannot be used ({fault_words(fault)})", advice(*CHECK))
    why, remedy = _WHY_AND_REMEDY.get(code, _WHY_AND_REMEDY.get(code & 0xFF, default))
    return StoreError(
        f"The library {folder}", why, remedy.format(ways_back=ways_back(folder), archive_way=archive_way(folder))
    )


@contextmanager
def worded(folder: Path) -> Iterator[None]:
    """Raise faults of the database inside the block as errors for a person."""
    try:
        yield
    except DBAPIError as error:
        raise store_error(folder, error.orig) from error
    except sqlite3.Error as error:
        raise store_error(folder, error) from error
    except PoolTimeoutError as error:
        raise crowded_error(folder) from error

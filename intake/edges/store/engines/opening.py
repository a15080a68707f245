"""What a folder is before it is opened as a library: none, a new one, one that lost a file, one that may only be read.

Nothing is written here but a new database's empty file, which only its owner may read.
"""

import os
import shlex
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError

from intake.edges.atomic_write import make_folder
from intake.edges.server_address import LibraryPlace, ServerAddress
from intake.edges.store.archive_members import is_unpacked_archive
from intake.edges.store.backup_notes import AT_DESK, BACKUPS, archive_way, unpacked_way, way_with_loss, ways_after_loss
from intake.edges.store.check_mark import check_mark, mark_not_whole, mark_of
from intake.edges.store.cut_ledger import check_against_notes, outlives_archive, quick_fault
from intake.edges.store.engines.sqlite import has_log, was_merged
from intake.edges.store.folder_notes import read_notes
from intake.edges.store.migrate import DATABASE, is_current, is_foreign
from intake.edges.store.queries.chain_check import ledger_end
from intake.edges.store.queries.dangling import first_dangling
from intake.edges.store.queries.place_circles import circle_error, first_circle
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import CHECK, KINDS, kind_words
from intake.errors import StoreError

NEW = (
    "check the name, or make a new library there: intake --library {folder} import editions LIST.csv (or: serve --new)"
)
TRACES = ("pictures", BACKUPS)
"""Folders that only a library has made; they stay when its database is lost."""


def prepare_folder(folder: Path, *, create: bool) -> None:
    """Make the folder and the empty file of a new library, or refuse what is none.

    Raises:
        StoreError: there is no library and none is to be made, or a file of it was lost; nothing was changed.
    """
    file = folder / DATABASE
    refuse_lost_file(folder)
    is_new = not file.exists() or file.stat().st_size == 0
    if is_new and not create and not has_log(file):
        raise _no_library(folder, file)
    if not is_new or not create:
        return
    try:
        existed = folder.is_dir()
        make_folder(folder, mode=0o700)
        if existed and not any(folder.iterdir()):
            folder.chmod(0o700)
        if not file.exists():
            os.close(os.open(file, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    except FileExistsError as error:
        if not file.is_file():  # else another station made it in this moment
            raise _cannot_make(folder, error) from error
    except OSError as error:
        raise _cannot_make(folder, error) from error


def _cannot_make(folder: Path, error: OSError) -> StoreError:
    return StoreError(f"The folder {folder}", f"cannot be made ({error.strerror})", "name another folder")


def _no_library(folder: Path, file: Path) -> StoreError:
    remedy = NEW.format(folder=shlex.quote(str(folder)))
    if file.exists():
        return StoreError(f"The folder {folder}", f"is not a library: its {DATABASE} is empty", remedy)
    if folder.is_dir():
        return StoreError(f"The folder {folder}", f"is not a library: it has no {DATABASE}", remedy)
    return StoreError(f"The library {folder}", "does not exist", remedy)


def refuse_lost_file(folder: Path) -> None:
    """Refuse a library whose database or log was deleted; SQLite would go on without a word.

    Raises:
        StoreError: it was.
    """
    library, file = f"The library {folder}", folder / DATABASE
    if file.is_dir():
        raise StoreError(library, f"has lost its database: {DATABASE} is a folder", archive_way(folder))
    is_empty = not file.exists() or file.stat().st_size == 0
    if not file.exists() and is_unpacked_archive(folder):
        why = "is no library, but an archive that was unpacked"
        raise StoreError(f"The folder {folder}", why, f"make a library of it: {unpacked_way(folder)}")
    if is_empty and any((folder / name).is_dir() for name in TRACES):
        is_what = "is empty" if file.exists() else "is not there"
        why = f"has lost its database: {DATABASE} {is_what}; its other files are there"
        raise StoreError(library, why, archive_way(folder))
    if not file.exists() and has_log(file):
        why = f"has lost its database: the log {DATABASE}-wal is there without {DATABASE}"
        raise StoreError(library, why, f"put {DATABASE} back beside its log, or {archive_way(folder)}")
    notes = file.with_name(f"{DATABASE}-shm")
    if notes.exists() and not has_log(file) and not was_merged(notes):
        why = f"has lost its log: {DATABASE}-wal was deleted, and with it the latest entries that were not merged yet"
        remedy = f"put it back, or go on without it: delete {notes}, then run 'intake check', which tells what is lost"
        raise StoreError(library, why, (remedy, AT_DESK))


def is_read_only(folder: Path) -> bool:
    """Tell whether this user may only read the library in a folder."""
    effective = os.access in os.supports_effective_ids
    return not all(os.access(path, os.W_OK, effective_ids=effective) for path in (folder, folder / DATABASE))


def read_only_error(place: LibraryPlace) -> StoreError:
    """Return the error for a step that would write to a library that may only be read."""
    remedy = "make the folder and its files writable, or copy the folder and work in the copy"
    if isinstance(place, ServerAddress):
        remedy = "name a server that takes changes, and a user of it who has the right"
    return StoreError(f"The library {place}", "may only be read", remedy)


def refuse_dangling(reader: LibraryReader) -> None:
    """Refuse a library in which a record refers to one that is not there; a list would pass it over without a word.

    Raises:
        StoreError: one does, or a place is inside itself.
    """
    found = first_dangling(reader)
    if found is None:
        return
    if found.is_there and (circle := first_circle(reader.connection)):
        raise circle_error(circle)
    field = found.column.removesuffix("_id").replace("_", " ")
    why = f"is damaged: its {field} is {found.value[:60]!a}, which is not in the library"
    key = found.key[:60] if found.key.isprintable() else ascii(found.key[:60])
    raise StoreError(f"{kind_words(KINDS[found.table])} {key}", why, CHECK)


def lost_entries(engine: Engine, folder: Path, *, marks: Callable[[], datetime] | None = None) -> StoreError | None:
    """Return the error for a library whose ledger has not what its folder notes of it; None for any other.

    Its log was deleted, or another database was put in its place: what is written now would take the numbers of what
    was lost, and the note of it would be overwritten. What else shows that a ledger is not whole, a gap in its numbers
    or records that it never had, is marked (`intake.edges.store.check_mark`) and keeps nobody from writing.

    Args:
        engine: of its database.
        folder: of the library.
        marks: the clock of the mark; None where nothing is to be marked.
    """
    finding, outlives, notes = None, False, read_notes(folder)
    with engine.connect() as connection, suppress(DBAPIError):  # of a damaged ledger, of which a check tells
        reader = LibraryReader(connection, notes)
        finding = next(check_against_notes(reader), None)
        if finding is not None:
            outlives = outlives_archive(reader, folder)
        elif marks is not None and check_mark(folder) is None and (fault := quick_fault(reader)):
            mark_not_whole(folder, mark_of(marks(), ledger_end(reader).seq, [fault]))
    if finding is None:
        return None
    why = f"has lost entries, or another database is in its place ({finding.detail}), so nothing more is written"
    without = f"put back the database that was there, or make a library of what this one has: {way_with_loss(folder)}"
    remedy = ways_after_loss(folder, without, outlives_archive=outlives)
    return StoreError(f"The library {folder}", why, (remedy, AT_DESK))


def identity_of(file: Path) -> tuple[int, int]:
    """Return what tells a file from another that took its name; zeros where it is not there."""
    try:
        found = file.stat()
    except OSError:
        return (0, 0)
    return (found.st_dev, found.st_ino)


def refuse_gone(file: Path, identity: tuple[int, int]) -> None:
    """Refuse to go on where the folder or the database of an open library is gone: what is open still would be read.

    Raises:
        StoreError: it was moved, deleted or unplugged.
    """
    if identity_of(file) == identity:
        return
    if not file.parent.is_dir():
        remedy = "put it back or plug in its disk, and try again; if it was moved, start anew with its new place"
        raise StoreError(f"The library's folder {file.parent}", "is not there any more", remedy)
    refuse_replaced(file, identity)


def refuse_replaced(file: Path, identity: tuple[int, int]) -> None:
    """Refuse to write where the database or its log was deleted or replaced under an open library.

    Raises:
        StoreError: it was; what would be written now would be lost.
    """
    if identity_of(file) != identity or not has_log(file):
        lost = "its database" if identity_of(file) != identity else "its log"
        why = f"was changed under the program: {lost} was deleted or replaced, so nothing more is written"
        raise StoreError(f"The library {file.parent}", why, f"close the program; then {archive_way(file.parent)}")


def refuse_foreign(engine: Engine, folder: Path) -> None:
    """Refuse a database that is not a library's.

    Raises:
        StoreError: it is another program's.
    """
    if is_foreign(engine):
        why = f"is not a library: its {DATABASE} is another program's"
        raise StoreError(f"The folder {folder}", why, "name another folder")


def refuse_outdated(engine: Engine, folder: Path) -> None:
    """Refuse a database that would have to be brought up to date first.

    Raises:
        StoreError: it is of another version.
    """
    if not is_current(engine):
        why = "was made by another version of this program, and may only be read"
        raise StoreError(f"The library {folder}", why, "copy its folder to where you may write, and open the copy")

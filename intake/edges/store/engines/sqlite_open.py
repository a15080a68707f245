"""Opening the database in a folder, and bringing it up to date; or only looking at it."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, Engine

from intake.edges.atomic_write import save_whole
from intake.edges.store.backup_notes import BACKUPS
from intake.edges.store.engines.faults import refuse_unreadable_folder, worded
from intake.edges.store.engines.opening import (
    is_read_only,
    lost_entries,
    prepare_folder,
    refuse_foreign,
    refuse_outdated,
)
from intake.edges.store.engines.sqlite import copy_database, engine_for, has_log, use_wal
from intake.edges.store.engines.sqlite_engine import SqliteEngine
from intake.edges.store.migrate import DATABASE, MIGRATIONS, Migration, migrate


def is_folder_library(folder: Path) -> bool:
    """Return whether a folder is a library.

    Raises:
        StoreError: this user may not read it.
    """
    refuse_unreadable_folder(folder)
    file = folder / DATABASE
    return file.is_file() and (file.stat().st_size > 0 or has_log(file))


def migrate_folder(engine: Engine, folder: Path, now: datetime, *, migrations: Path = MIGRATIONS) -> None:
    """Bring the database in a folder up to date; one with records is copied first.

    Raises:
        StoreError: the database was made by a newer version.
    """

    def copy_first(_connection: Connection, newest: str) -> None:
        # No other process can write between this copy and the end of the step.
        copy = folder / BACKUPS / f"{now:%Y%m%dT%H%M%S}-before-{newest}.sqlite3"
        save_whole(copy, lambda part: copy_database(folder / DATABASE, part))

    migrate(engine, Migration(folder, before=copy_first, steps=migrations))


def open_folder(folder: Path, *, create: bool, now: Callable[[], datetime]) -> SqliteEngine:
    """Open the database in a folder and bring it up to date.

    Raises:
        StoreError: it is not a library, was made by a newer version, or cannot be used; nothing was changed.
    """
    refuse_unreadable_folder(folder)
    prepare_folder(folder, create=create)
    file = folder / DATABASE
    read_only = is_read_only(folder)
    engine = engine_for(file, read_only=read_only)
    try:
        with worded(folder):
            refuse_foreign(engine, folder)
            if read_only:
                refuse_outdated(engine, folder)
            else:
                migrate_folder(engine, folder, now())
                use_wal(file)
                engine.dispose()  # connections opened before do not know of the log yet
            lost = lost_entries(engine, folder, marks=None if read_only else now)
    except BaseException:
        engine.dispose()
        raise
    return SqliteEngine(folder, engine, now, read_only=read_only, lost=lost)

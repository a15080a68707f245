"""The shape of the database, brought up to date step by step; the steps are in `migrations/versions`.

A step is a module with `revision`, `down_revision` and `upgrade()`, as Alembic reads them; its file is named after its
revision (`r0002_other_numbers.py`), so that a library which is up to date opens without Alembic being loaded. Whoever
adds a step makes it alter the database to what `tables` says; a test compares the two.
"""

import logging
import re
import sqlite3
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import OperationalError

from intake.edges.atomic_write import save_whole
from intake.edges.store.backup_notes import way_back
from intake.edges.store.sqlite import copy_database, undecoded
from intake.errors import StoreError

logger = logging.getLogger(__name__)

DATABASE = "library.sqlite3"
MIGRATIONS = Path(__file__).with_name("migrations")


def migrate(engine: Engine, folder: Path, now: datetime, *, to: str = "", migrations: Path = MIGRATIONS) -> None:
    """Bring the database of a library up to date, in one transaction; a library with records is copied first.

    Args:
        engine: of the database.
        folder: the folder of the library, as a person knows it.
        now: the moment that names the copy.
        to: the revision; "" for the newest.
        migrations: the folder of the steps.

    Raises:
        StoreError: the database was made by a newer version.
    """
    with engine.connect() as connection:
        current = revision_of(connection)
    if current == (to or newest_revision(migrations)):
        return
    # Half of the time that a short command takes, and needed once for each new version of the program.
    from alembic.operations import Operations  # noqa: PLC0415
    from alembic.runtime.migration import MigrationContext  # noqa: PLC0415
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    script = ScriptDirectory(str(migrations))
    newest = to or script.get_current_head()
    _refuse_odd_revision(folder, current, {step.revision for step in script.walk_revisions()})
    if current is None and _has_tables(engine):
        raise _odd_revision(folder, "none")
    with engine.connect() as connection, connection.execution_options(writes=True).begin():
        current = revision_of(connection)
        if current == newest:  # another station was quicker
            return
        if current is not None:
            # No other process can write between this copy and the end of the step.
            copy = folder / "backups" / f"{now:%Y%m%dT%H%M%S}-before-{newest}.sqlite3"
            save_whole(copy, lambda part: copy_database(folder / DATABASE, part))
        context = MigrationContext.configure(connection)
        with Operations.context(context):
            try:
                for step in reversed(list(script.iterate_revisions(newest, current or "base"))):
                    step.module.upgrade()
            except (OperationalError, ValueError) as error:
                if (
                    getattr(getattr(error, "orig", None), "sqlite_errorcode", sqlite3.SQLITE_ERROR)
                    != sqlite3.SQLITE_ERROR
                ):
                    raise  # the disk is full, or the like
                raise _odd_revision(folder, current or "none") from error
        context.stamp(script, to or "head")
    logger.info("brought the library from revision %s to %s", current or "none", newest)


def _refuse_odd_revision(folder: Path, current: str | None, known: set[str]) -> None:
    if current is None or current in known:
        return
    if not (re.fullmatch("[0-9]{4}", current) and current > max(known)):
        raise _odd_revision(folder, current)
    why = f"was made by a newer version of this program (its revision is {current})"
    raise StoreError(f"The library {folder}", why, "update the program; nothing was changed")


def _odd_revision(folder: Path, current: str) -> StoreError:
    """Return the error for a database whose tables are not those of the revision that it names."""
    why = f"is damaged: its tables are not those of its revision ({ascii(current)[1:-1]}), and nothing was changed"
    return StoreError(f"The library {folder}", why, way_back(folder))


def _has_tables(engine: Engine) -> bool:
    return bool(inspect(engine).get_table_names())


def newest_revision(migrations: Path = MIGRATIONS) -> str:
    """Return the revision of the latest step, by the names of the files."""
    return max(path.stem[1:].partition("_")[0] for path in (migrations / "versions").glob("r*.py"))


def is_current(engine: Engine) -> bool:
    """Return whether a database has the tables of this version of the program."""
    with engine.connect() as connection:
        return revision_of(connection) == newest_revision()


def revision_of(connection: Connection) -> str | None:
    """Return the revision of a database, None for an empty one."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    with undecoded(connection):
        revision = connection.scalar(text("SELECT version_num FROM alembic_version"))
    return None if revision is None else str(revision)


def is_foreign(engine: Engine) -> bool:
    """Return whether a database has tables, none of which is a library's."""
    names = inspect(engine).get_table_names()
    return bool(names) and "alembic_version" not in names

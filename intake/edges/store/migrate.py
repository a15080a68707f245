"""The shape of the database, brought up to date step by step; the steps are in `migrations/versions`.

A step is a module with `revision`, `down_revision` and `upgrade()`, as Alembic reads them; its file is named after its
revision (`r0002_other_numbers.py`), so that a library which is up to date opens without Alembic being loaded. Whoever
adds a step makes it alter the database to what `tables` says; a test compares the two.
"""

import logging
import re
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import OperationalError

from intake.edges.server_address import LibraryPlace
from intake.edges.store.backup_notes import way_back
from intake.edges.store.engines.sqlite import undecoded
from intake.errors import StoreError

logger = logging.getLogger(__name__)

DATABASE = "library.sqlite3"
MIGRATIONS = Path(__file__).with_name("migrations")


@dataclass(frozen=True)
class Migration:
    """What brings the database of a library up to date.

    Attributes:
        place: the folder or the address of the library, as a person knows it.
        before: is called with the newest revision before a database with tables is altered.
        after: is called after the last step.
        to: the revision; "" for the newest.
        steps: the folder of the steps.
    """

    place: LibraryPlace
    before: Callable[[Connection, str], None] | None = None
    after: Callable[[Connection], None] | None = None
    to: str = ""
    steps: Path = MIGRATIONS


def migrate(engine: Engine, migration: Migration) -> None:
    """Bring the database of a library up to date, in one transaction.

    Raises:
        StoreError: the database was made by a newer version.
    """
    with engine.connect() as connection:
        current = revision_of(connection)
        if current == (migration.to or newest_revision(migration.steps)):
            return
        _refuse_odd_revision(migration.place, current, _revisions(migration.steps))
        if current is None and inspect(connection).get_table_names():
            raise _odd_revision(migration.place, "none")
    with engine.connect() as connection, connection.execution_options(writes=True, takes_turn=True).begin():
        migrate_in(connection, migration)


def migrate_in(connection: Connection, migration: Migration) -> None:
    """Bring a database up to date in a transaction that is open, and has the lock of whoever writes; see `migrate`."""
    # Half of the time that a short command takes, and needed once for each new version of the program.
    from alembic.operations import Operations  # noqa: PLC0415
    from alembic.runtime.migration import MigrationContext  # noqa: PLC0415
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    script = ScriptDirectory(str(migration.steps))
    newest = migration.to or script.get_current_head() or ""
    current = revision_of(connection)
    if current == newest:  # another station was quicker
        return
    if current is not None and migration.before is not None:
        migration.before(connection, newest)
    context = MigrationContext.configure(connection)
    with Operations.context(context):
        try:
            for step in reversed(list(script.iterate_revisions(newest, current or "base"))):
                step.module.upgrade()
        except (OperationalError, ValueError) as error:
            fault = getattr(error, "orig", None)
            if fault is not None and getattr(fault, "sqlite_errorcode", None) != sqlite3.SQLITE_ERROR:
                raise  # the disk is full, or the like
            raise _odd_revision(migration.place, current or "none") from error
    context.stamp(script, migration.to or "head")
    if migration.after is not None:
        migration.after(connection)
    logger.info("brought the library from revision %s to %s", current or "none", newest)


def refuse_newer(place: LibraryPlace, current: str | None) -> None:
    """Refuse a database of a newer version of the program, or of none.

    Raises:
        StoreError: it is one.
    """
    if current is not None and current > newest_revision():
        _refuse_odd_revision(place, current, _revisions(MIGRATIONS))


def refuse_newer_number(place: LibraryPlace, current: str | None) -> None:
    """Refuse a database whose revision is a later number; one that is none is of a damaged library.

    Raises:
        StoreError: it is.
    """
    if current is not None and re.fullmatch("[0-9]{4}", current):
        refuse_newer(place, current)


def _refuse_odd_revision(place: LibraryPlace, current: str | None, known: set[str]) -> None:
    if current is None or current in known:
        return
    if not (re.fullmatch("[0-9]{4}", current) and current > max(known)):
        raise _odd_revision(place, current)
    why = f"was made by a newer version of this program (its revision is {current})"
    raise StoreError(f"The library {place}", why, "update the program; nothing was changed")


def _odd_revision(place: LibraryPlace, current: str) -> StoreError:
    """Return the error for a database whose tables are not those of the revision that it names."""
    named = "which it does not name" if current == "none" else ascii(current)[1:-1]
    why = f"is damaged: its tables are not those of its revision ({named}), and nothing was changed"
    return StoreError(f"The library {place}", why, way_back(place))


def _revisions(migrations: Path) -> set[str]:
    return {path.stem[1:].partition("_")[0] for path in (migrations / "versions").glob("r*.py")}


def newest_revision(migrations: Path = MIGRATIONS) -> str:
    """Return the revision of the latest step, by the names of the files."""
    return max(_revisions(migrations))


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

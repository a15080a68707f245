"""Making a library anew from the ledger of a damaged one: every record is in it, in full.

Only what the chain of the ledger proves is taken; a ledger that is damaged itself is refused, for then an archive is
the way back.
"""

import os
import secrets
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime
from hashlib import file_digest
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, column, insert, select
from sqlalchemy import table as bare_table
from sqlalchemy.exc import DBAPIError

from intake.edges.store.archive import AT_ONCE
from intake.edges.store.archive_restore import put_in_place, refuse_if_taken, unchecked_engine
from intake.edges.store.archive_writing import PICTURE_PATH
from intake.edges.store.backup_notes import archive_way
from intake.edges.store.faults import worded
from intake.edges.store.migrate import DATABASE, migrate
from intake.edges.store.queries.chain_check import LedgerEnd, ledger_end, verify_chain
from intake.edges.store.queries.counter_check import highest_numbers
from intake.edges.store.queries.replay import ReplayCount, replay, stories
from intake.edges.store.reader import LibraryReader
from intake.edges.store.row_forms import RowForm
from intake.edges.store.sqlite import engine_for, use_wal
from intake.edges.store.tables import TABLES, counter, ledger, ledger_change
from intake.errors import StoreError


@dataclass(frozen=True, slots=True)
class RebuiltLibrary:
    """What was made.

    Attributes:
        entries: number of the latest entry of the ledger.
        head: its digest.
        records: how many records there are.
        pictures: how many pictures were copied.
        left_out: files among the pictures that are not what their names say, and were not copied.
    """

    entries: int
    head: str
    records: int
    pictures: int
    left_out: tuple[str, ...]


def rebuild(damaged: Path, folder: Path, now: datetime) -> RebuiltLibrary:
    """Make a library from the ledger of another, which is left as it is.

    Args:
        damaged: the folder of the other.
        folder: where to; nothing may be there but an empty folder.
        now: names copies; there are none.

    Raises:
        StoreError: the ledger is damaged, or the place is not empty or cannot be written; nothing was made.
    """
    refuse_if_taken(folder)
    part = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        part.mkdir(mode=0o700, parents=True)
        os.close(os.open(part / DATABASE, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
        with ExitStack() as stack, worded(folder):
            source = engine_for(damaged / DATABASE, read_only=True)
            stack.callback(source.dispose)
            target = unchecked_engine(part / DATABASE)
            stack.callback(target.dispose)
            migrate(target, part, now)
            with target.connect() as connection:
                with connection.execution_options(writes=True).begin():
                    _copy_ledger(damaged, stack.enter_context(_reading(damaged, source)), connection)
                    _fill(connection)
                with connection.begin():
                    end, records = _proved(connection, damaged)
            use_wal(part / DATABASE)
        pictures, left_out = _copy_pictures(damaged, part)
        put_in_place(part, folder)
        return RebuiltLibrary(end.seq, end.digest, records, pictures, left_out)
    except OSError as error:
        why = f"cannot be made ({error.strerror or error})"
        raise StoreError(f"The library {folder}", why, "make room, or name another place") from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _damaged_ledger(damaged: Path, why: str) -> StoreError:
    return StoreError(f"The ledger of {damaged}", f"is damaged too ({why}), and nothing was made", archive_way(damaged))


@contextmanager
def _reading(damaged: Path, source: Engine) -> Iterator[Connection]:
    """Open the damaged database; what cannot be read in it is told as such."""
    try:
        with source.connect() as connection, connection.begin() as snapshot:
            try:
                yield connection
            finally:
                snapshot.rollback()
    except DBAPIError as error:
        raise _damaged_ledger(damaged, str(error.orig)) from error


def _copy_ledger(damaged: Path, source: Connection, target: Connection) -> None:
    """Copy the tables of the ledger row by row, in the order in which they lie, and never by an index."""
    try:
        for table in (ledger, ledger_change):
            rows = bare_table(table.name, *(column(name) for name in table.columns.keys()))  # noqa: SIM118 - its values are columns
            found = source.execute(select(*rows.c).order_by(column("rowid")).execution_options(yield_per=AT_ONCE))
            _insert(target, rows, (dict(row._mapping) for row in found))
    except DBAPIError as error:
        raise _damaged_ledger(damaged, str(error.orig)) from error


def _insert(target: Connection, rows: Any, values: Iterable[Mapping[str, object]]) -> None:
    remaining = iter(values)
    while lot := list(islice(remaining, AT_ONCE)):
        target.execute(insert(rows), lot)


def _fill(target: Connection) -> None:
    """Write every record as the ledger left it, and the counters of numbers."""
    reader = LibraryReader(target)
    for kind in TABLES:
        form = RowForm.of(kind)
        _insert(target, form.rows, _rows(reader, form))
    _insert(target, counter, highest_numbers(reader))


def _rows(reader: LibraryReader, form: RowForm) -> Iterator[dict[str, object]]:
    for story in stories(reader, form, None):
        if story.after is not None:
            yield dict(zip(form.columns, form.cells(story.after), strict=True))


def _proved(connection: Connection, damaged: Path) -> tuple[LedgerEnd, int]:
    """Check what was made as `intake check` does."""
    reader, count = LibraryReader(connection), ReplayCount()
    broken = verify_chain(reader)
    if broken is not None:
        raise _damaged_ledger(damaged, f"from entry {broken} on")
    for finding in replay(reader, None, count):
        raise _damaged_ledger(damaged, f"{finding.kind.value}: {finding.table} {finding.key}")
    return ledger_end(reader), count.rows


def _copy_pictures(damaged: Path, part: Path) -> tuple[int, tuple[str, ...]]:
    copied, left_out = 0, []
    for path in sorted((damaged / "pictures").rglob("*")):
        if not path.is_file() or path.is_symlink():
            continue
        name = path.relative_to(damaged).as_posix()
        match = PICTURE_PATH.fullmatch(name)
        with path.open("rb") as file:
            is_right = match is not None and file_digest(file, "sha256").hexdigest() == match[2]
        if not is_right:
            left_out.append(name)
            continue
        target = part / name
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        shutil.copyfile(path, target)
        target.chmod(0o600)
        copied += 1
    return copied, tuple(left_out)

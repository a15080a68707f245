"""Making a library anew from the ledger of a damaged one: every record is in it, in full.

Only what the chain of the ledger proves is taken; a ledger that is damaged itself is refused, for then an archive is
the way back.
"""

import os
import secrets
import shutil
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, column, insert, select
from sqlalchemy import table as bare_table
from sqlalchemy.exc import DBAPIError

from intake.edges.atomic_write import remedy_of
from intake.edges.store.archive import AT_ONCE
from intake.edges.store.archive_pictures import take_pictures
from intake.edges.store.archive_restore import put_in_place, refuse_if_taken, unchecked_engine
from intake.edges.store.backup_notes import (
    archive_way,
    latest_archive,
    way_with_loss,
    ways_after_loss,
    ways_after_lost_pictures,
)
from intake.edges.store.beside_ledger import MOST_NAMED, BesideLedger, beside_ledger, record_names
from intake.edges.store.cut_ledger import check_against_notes, outlives_archive
from intake.edges.store.engines.faults import fault_words, unreadable_error, worded
from intake.edges.store.engines.opening import prepare_folder
from intake.edges.store.engines.sqlite import engine_for, use_wal
from intake.edges.store.folder_notes import FolderNotes, read_notes
from intake.edges.store.migrate import DATABASE, Migration, migrate, refuse_newer_number, revision_of
from intake.edges.store.picture_check import refuse_unreadable
from intake.edges.store.picture_rescue import copy_pictures
from intake.edges.store.queries.chain_check import LedgerEnd, ledger_end, verify_chain
from intake.edges.store.queries.counter_check import highest_numbers
from intake.edges.store.queries.replay import ReplayCount, replay, stories
from intake.edges.store.reader import LibraryReader
from intake.edges.store.row_forms import RowForm
from intake.edges.store.tables import TABLES, counter, ledger, ledger_change
from intake.errors import FileError, StoreError
from intake.model.sightings import Picture
from intake.units.counts import counted, some_of


@dataclass(frozen=True, slots=True)
class RebuiltLibrary:
    """What was made.

    Attributes:
        entries: number of the latest entry of the ledger.
        head: its digest.
        records: how many records there are.
        pictures: how many pictures were copied.
        left_out: files among the pictures that are neither what their names say nor what a record names.
        renamed: files that had another name, and were found by their content.
        doubled: second files of pictures, which were not copied.
        beside: what the tables of the damaged library held that its ledger does not have.
        taken: how many pictures were taken out of an archive, for their files were lost or damaged.
        missing: SHA-256 of the pictures that are recorded and could be found nowhere.
        archive: the archive that was looked in; None for none.
        archive_fault: why it could not be; "" where it could.
        has_backup: whether it has all entries of the last backup that the damaged library notes.
        cut: what the notes of the damaged library's folder tell of entries that its ledger does not have, a line each.
    """

    entries: int
    head: str
    records: int
    pictures: int
    left_out: tuple[str, ...]
    renamed: tuple[str, ...]
    doubled: tuple[str, ...]
    beside: BesideLedger
    taken: int
    missing: tuple[str, ...]
    archive: Path | None
    archive_fault: str
    has_backup: bool
    cut: tuple[str, ...]


def rebuild(
    damaged: Path, folder: Path, *, accept_loss: bool = False, pictures_from: Path | None = None
) -> RebuiltLibrary:
    """Make a library from the ledger of another, which is left as it is.

    Args:
        damaged: the folder of the other.
        folder: where to; nothing may be there but an empty folder.
        accept_loss: make it even where the ledger was cut, the tables have records that it does not have, or pictures
            are lost.
        pictures_from: an archive with pictures whose files are lost or damaged; None for the latest that is known.

    Raises:
        StoreError: there is no library, or one of a newer version, its ledger is damaged or cut, pictures are lost, or
            the place is not empty or cannot be written; nothing was made.
        FileError: the archive named cannot be read; nothing was made.
    """
    refuse_if_taken(folder)
    _refuse_inside(damaged, folder)
    _refuse_no_library(damaged)
    refuse_unreadable(damaged)
    notes = read_notes(damaged)
    part = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        part.mkdir(mode=0o700, parents=True)
        os.close(os.open(part / DATABASE, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
        with ExitStack() as stack, worded(folder):
            source = engine_for(damaged / DATABASE, read_only=True)
            stack.callback(source.dispose)
            target = unchecked_engine(part / DATABASE)
            stack.callback(target.dispose)
            migrate(target, Migration(part))
            with target.connect() as connection:
                with connection.execution_options(writes=True).begin():
                    opened = stack.enter_context(_reading(damaged, source))
                    _refuse_newer(damaged, opened)
                    _copy_ledger(damaged, opened, connection)
                    _fill(connection)
                with connection.begin():
                    end, records = _proved(connection, damaged)
                    beside = beside_ledger(opened, connection)
                    noting = LibraryReader(connection, notes)
                    cut = tuple(finding.detail for finding in check_against_notes(noting))
                    if not accept_loss:
                        _refuse_loss(damaged, noting, cut, beside)
                    noted = LibraryReader(connection, FolderNotes(backup=notes.backup))
                    has_backup = not list(check_against_notes(noted))
                    recorded = {picture.sha256: picture for picture in LibraryReader(connection).all(Picture)}
            use_wal(part / DATABASE)
        files = copy_pictures(damaged, part, recorded)
        archive = pictures_from or latest_archive(damaged)
        lost = recorded.keys() - files.copied
        taken, fault = _take_pictures(archive, lost, part, must=pictures_from is not None)
        missing = tuple(sorted(lost - taken))
        if missing and not accept_loss:
            raise _lost_pictures(damaged, [recorded[sha256] for sha256 in missing], archive)
        put_in_place(part, folder)
        return RebuiltLibrary(
            end.seq,
            end.digest,
            records,
            len(files.copied | taken),
            files.left_out,
            files.renamed,
            files.doubled,
            beside,
            len(taken),
            missing,
            archive,
            fault,
            has_backup,
            cut,
        )
    except OSError as error:
        why = f"cannot be made ({error.strerror or error})"
        raise StoreError(f"The library {folder}", why, remedy_of(error)) from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _refuse_inside(damaged: Path, folder: Path) -> None:
    if damaged.resolve() in folder.resolve().parents:
        raise StoreError(f"The place {folder}", "is inside the damaged library", "name a folder outside of it")


def _refuse_no_library(damaged: Path) -> None:
    if unreadable := unreadable_error(damaged):
        raise unreadable
    prepare_folder(damaged, create=False)


def _refuse_newer(damaged: Path, source: Connection) -> None:
    """Refuse a library of a newer version: its ledger may tell what this program does not know."""
    with suppress(DBAPIError):  # that table alone may be damaged
        refuse_newer_number(damaged, revision_of(source))


def _lost_pictures(damaged: Path, lost: Sequence[Picture], archive: Path | None) -> StoreError:
    """Return the error for pictures that are in no file."""
    named = some_of([f"{picture.sha256[:12]}… ({picture.title})" for picture in lost], MOST_NAMED)
    nor = f", nor {archive}" if archive is not None else ""
    why = f"has lost {counted(len(lost), 'picture')} that no file of it has{nor}, and nothing was made: {named}"
    return StoreError(f"The library {damaged}", why, ways_after_lost_pictures(damaged))


def _refuse_loss(damaged: Path, made: LibraryReader, cut: Sequence[str], beside: BesideLedger) -> None:
    """Refuse to make a library that would lose what the damaged one, or its last backup, is known to have."""
    without = f"accept the loss, which is then named: {way_with_loss(damaged)}"
    remedy = ways_after_loss(damaged, without, outlives_archive=outlives_archive(made, damaged))
    if cut:
        why = f"was cut or replaced ({cut[0]}), so what came after would be lost, and nothing was made"
        raise StoreError(f"The ledger of {damaged}", why, remedy)
    if beside.unknown:
        why = (
            f"does not have {counted(len(beside.unknown), 'record')} of its tables ({record_names(beside.unknown)}), "
            "which would be lost, and nothing was made; it was cut, or they were added by hand"
        )
        raise StoreError(f"The ledger of {damaged}", why, remedy)


def _take_pictures(archive: Path | None, lost: set[str], part: Path, *, must: bool) -> tuple[set[str], str]:
    """Take lost pictures out of an archive; where it cannot be read, that is told, or refused if it was named."""
    if archive is None or not lost:
        return set(), ""
    try:
        return take_pictures(archive, lost, part), ""
    except FileError as error:
        if must:
            raise
        return set(), error.why


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
        raise _damaged_ledger(damaged, fault_words(error.orig)) from error


def _copy_ledger(damaged: Path, source: Connection, target: Connection) -> None:
    """Copy the tables of the ledger row by row, in the order in which they lie, and never by an index."""
    try:
        for table in (ledger, ledger_change):
            rows = bare_table(table.name, *(column(name) for name in table.columns.keys()))  # noqa: SIM118 - its values are columns
            found = source.execute(select(*rows.c).order_by(column("rowid")).execution_options(yield_per=AT_ONCE))
            _insert(target, rows, (dict(row._mapping) for row in found))
    except DBAPIError as error:
        raise _damaged_ledger(damaged, fault_words(error.orig)) from error


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

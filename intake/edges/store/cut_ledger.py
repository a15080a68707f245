"""Whether the ledger was cut or emptied, as far as its own folder can tell.

The chain of a ledger whose end was cut off is sound. What tells is that something else has more: the note of the last
entry that was written, the last backup that is noted, the counters of numbers together with the tables, or tables with
records beside a ledger without an entry.
"""

from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from intake.edges.store.backup_notes import latest_archive
from intake.edges.store.queries.chain_check import LedgerEnd, digest_of_entry, is_end_sound, ledger_end
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.edges.store.queries.ledger_gaps import first_gap, newest_unknown
from intake.edges.store.queries.replay import has_records
from intake.edges.store.reader import LibraryReader
from intake.edges.store.row_forms import UNREADABLE
from intake.edges.store.rows import table_words
from intake.model.changes import LedgerEntry
from intake.model.findings import FindingKind, LibraryFinding


def check_against_notes(reader: LibraryReader) -> Iterator[LibraryFinding]:
    """Yield whether the ledger does not have what its folder notes of it."""
    (last, noted), end = reader.notes, ledger_end(reader)
    if last is not None and end.seq < last.seq:
        yield _cut(end.seq, f"it ends at entry {end.seq}, and entry {last.seq} was written")
    elif last is not None and last.seq and _digest_of(reader, last.seq, end) != last.digest:
        yield _cut(0, f"entry {last.seq} is another than the one that was written")
    if noted is None or not noted.entries:
        return
    what = f"the backup {noted.file} of {noted.made:%Y-%m-%d} has entry {noted.entries}"
    if end.seq < noted.entries:
        yield _cut(end.seq, f"it ends at entry {end.seq}, and {what}")
    elif _digest_of(reader, noted.entries, end) != noted.head:
        yield _cut(0, f"{what}, which is another here")


def _digest_of(reader: LibraryReader, seq: int, end: LedgerEnd) -> str | None:
    """Return the digest of an entry; the last one is mostly asked for, each time a library is opened, and is known."""
    return end.digest if seq == end.seq else digest_of_entry(reader, seq)


def outlives_archive(reader: LibraryReader, folder: Path) -> bool:
    """Return whether the ledger has all that the latest archive of its folder has, and more.

    Args:
        reader: opened with the notes of the folder.
        folder: of the library.
    """
    noted = reader.notes.backup
    if noted is None or latest_archive(folder) != Path(noted.file):
        return False
    return ledger_end(reader).seq > noted.entries and digest_of_entry(reader, noted.entries) == noted.head


def entries_after_archive(records: LibraryReader, folder: Path, most: int) -> tuple[LedgerEntry, ...]:
    """Return the latest entries that the latest archive does not have, as far as they can be read."""
    noted, archive = records.notes.backup, latest_archive(folder)
    if noted is None or archive is None or Path(noted.file).name != archive.name:
        return ()
    with suppress(DBAPIError, *UNREADABLE):
        latest = latest_entries(records, most)
        return tuple(entry for entry in reversed(latest) if entry.seq > noted.entries)
    return ()


def end_fault(reader: LibraryReader) -> LibraryFinding | None:
    """Return whether the ledger was cut, emptied or altered, as far as that is known without reading all of it.

    Every paper and export can ask this; `intake check` reads all.

    Args:
        reader: opened with the notes of its folder.
    """
    for finding in check_against_notes(reader):
        return finding
    end = ledger_end(reader)
    if not end.seq and has_records(reader):
        return _cut(0, "it has no entry, and the tables have records")
    if not is_end_sound(reader):
        return LibraryFinding(FindingKind.ENTRY_BROKEN, "ledger", str(end.seq), last_good=max(end.seq - 1, 0))
    return quick_fault(reader)


def quick_fault(reader: LibraryReader) -> LibraryFinding | None:
    """Return what two questions tell: whether an entry is missing in the middle, or was cut off behind a new record."""
    gap = first_gap(reader)
    if gap is not None:
        return LibraryFinding(FindingKind.ENTRY_BROKEN, "ledger", str(gap), last_good=gap - 1)
    unknown = newest_unknown(reader)
    if unknown is None:
        return None
    if unknown.was_given:
        name = f"{table_words(unknown.table)} {unknown.key}"
        return _cut(ledger_end(reader).seq, f"it does not have {name}, which is in its table")
    return LibraryFinding(FindingKind.ROW_UNKNOWN, unknown.table, unknown.key)


def check_against_tables(found: Iterable[LibraryFinding], entries: int) -> Iterator[LibraryFinding]:
    """Yield whether records that the ledger does not have were made by the program.

    That is so where the ledger has no entry at all, or where the counter of their kind has passed the ledger too: who
    adds a row by hand leaves the counter as it is.

    Args:
        found: by the replay and by the check of the counters.
        entries: of the ledger.
    """
    found = tuple(found)
    unknown = {finding.table for finding in found if finding.kind is FindingKind.ROW_UNKNOWN}
    skipped = {finding.key.removeprefix("serial ") for finding in found if finding.kind is FindingKind.NUMBERS_SKIPPED}
    if unknown and not entries:
        yield _cut(0, "it has no entry, and the tables have records")
    elif both := sorted(unknown & skipped):
        kinds = ", ".join(table_words(name) for name in both)
        yield _cut(entries, f"its last numbers are lower than those given, and the tables have the records ({kinds})")


def _cut(last_good: int, detail: str) -> LibraryFinding:
    return LibraryFinding(FindingKind.LEDGER_CUT, "ledger", last_good=last_good, detail=detail)

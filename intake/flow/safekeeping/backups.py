"""Backups: one archive by a command, and one at each day's first change where a setting of the library says so."""

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from intake.edges.store import backup_notes
from intake.edges.store.archive_restore import restore_archive
from intake.edges.store.archive_writing import ArchiveResult, write_archive
from intake.edges.store.backup_notes import (
    BACKUPS,
    BackupNote,
    daily_file,
    drop_oldest,
    keep_daily,
    kept_daily,
    last_backup,
    note_backup,
)
from intake.edges.store.library import Library
from intake.edges.store.rebuild import rebuild
from intake.errors import FileError
from intake.units.counts import counted

KEPT_DAILY = 14


@dataclass(frozen=True, slots=True)
class RestoredLibrary:
    """What was made from an archive or a ledger: its latest entry, head and pictures, and the files left out."""

    entries: int
    head: str
    pictures: int
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BackupState:
    """How the library is backed up.

    Attributes:
        last: the archive that was written last; None for none.
        keep: how many daily archives are kept; 0 where none is written.
    """

    last: BackupNote | None
    keep: int


def back_up(library: Library, file: Path, now: datetime) -> ArchiveResult:
    """Write a library into a new archive and note it; see `write_archive`."""
    result = write_archive(library, file, now)
    made = result.manifest
    note_backup(library.folder, BackupNote(now, str(file.absolute()), made.entries, made.head))
    return result


def back_up_daily(library: Library, now: datetime, today: date) -> Path | None:
    """Write the archive of a day, if the library changed in this process, it is wanted, and it is not there yet.

    Returns:
        The archive; None where none was due.

    Raises:
        FileError: it cannot be written.
        StoreError: the folder of the backups cannot be written.
    """
    keep, file = kept_daily(library.folder), daily_file(library.folder, today)
    if not keep or not library.was_written or file.exists():
        return None
    library.was_written = False
    try:
        back_up(library, file, now)
    except FileError:
        if file.exists():  # another station was quicker
            return None
        raise
    drop_oldest(library.folder, keep)
    return file


def set_daily(folder: Path, keep: int) -> None:
    """Set how many daily archives are kept; 0 for none; see `keep_daily`."""
    keep_daily(folder, keep)


def restore(source: Path, folder: Path, now: datetime) -> RestoredLibrary:
    """Make a library from an archive, or from the ledger of a damaged library; see `restore_archive` and `rebuild`.

    Args:
        source: the archive, or the folder of the damaged library.
        folder: where to.
        now: the moment.
    """
    if source.is_dir():
        made = rebuild(source, folder, now)
        return RestoredLibrary(made.entries, made.head, made.pictures, made.left_out)
    manifest = restore_archive(source, folder, now)
    pictures = len(manifest.files) - len(manifest.tables)
    return RestoredLibrary(manifest.entries, manifest.head, pictures, ())


def way_back(folder: Path) -> str:
    """Return how to get a damaged library back, as a remedy."""
    return backup_notes.way_back(folder)


def backup_state(folder: Path) -> BackupState:
    """Return how the library in a folder is backed up."""
    return BackupState(last_backup(folder), kept_daily(folder))


def backup_words(state: BackupState, entries: int, now: datetime, *, with_place: bool = True) -> str:
    """Return the state of the backups as one sentence.

    Args:
        state: of the library.
        entries: number of the latest entry of its ledger.
        now: the moment.
        with_place: name the archive, for a person at the machine where it is.
    """
    daily = f"A daily one is kept in its folder '{BACKUPS}' ({counted(state.keep, 'day')})." if state.keep else ""
    if state.last is None:
        return " ".join(filter(None, ["There is no backup yet.", daily]))
    days = (now.date() - state.last.made.date()).days
    age = {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
    later = max(entries - state.last.entries, 0)
    since = f", {counted(later, 'entry', 'entries')} since" if later else ", nothing changed since"
    gone = "" if Path(state.last.file).is_file() else " (it is not there now)"
    place = f": {state.last.file}{gone}" if with_place else ""
    return " ".join(filter(None, [f"Last backup {age}{place}{since}.", daily]))

"""Backups: one archive by a command, and one at each day's first change where a setting of the library says so."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from intake.edges.server_address import LibraryPlace, ServerAddress, folder_of
from intake.edges.store.archive import Manifest
from intake.edges.store.archive_members import is_unpacked_archive
from intake.edges.store.archive_reading import opened_archive
from intake.edges.store.archive_restore import restore_archive, restore_without_damaged
from intake.edges.store.archive_writing import ArchiveResult, altered_pictures, write_archive
from intake.edges.store.backup_notes import (
    BACKUPS,
    BackupNote,
    archive_with_more,
    daily_file,
    drop_oldest,
    keep_daily,
    kept_daily,
    last_backup,
    note_archive_with_more,
    note_backup,
)
from intake.edges.store.library import Library, open_library
from intake.edges.store.migrate import DATABASE
from intake.edges.store.queries.chain_check import ledger_end
from intake.edges.store.rebuild import RebuiltLibrary, rebuild
from intake.errors import FileError, StoreError, UsageError
from intake.flow.safekeeping.check_library import check_without_pictures
from intake.flow.safekeeping.not_whole import keep_mark
from intake.model.findings import FindingKind, LibraryFinding
from intake.units.advice import advice
from intake.units.counts import counted

NONE = "There is no backup yet."


@dataclass(frozen=True, slots=True)
class RestoredLibrary:
    """What was made.

    Attributes:
        entries: number of the latest entry.
        head: its digest.
        pictures: how many files.
        rebuilt: what else is to be told where it was made from a ledger; None where from an archive.
        unnamed: what lies in the archive, and its manifest does not name.
        is_cut: whether its list of members was cut off.
        left_out: pictures that are damaged in the archive, by their names.
        altered: pictures that were altered before they were archived, by their names; they are there as they were.
        missing: SHA-256 of the pictures whose file was missing when the archive was written.
        findings: what a check of all but the pictures finds of a library made from an archive, notes left out.
    """

    entries: int
    head: str
    pictures: int
    rebuilt: RebuiltLibrary | None
    unnamed: tuple[str, ...] = ()
    is_cut: bool = False
    left_out: tuple[str, ...] = ()
    altered: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    findings: tuple[LibraryFinding, ...] = ()

    @property
    def is_whole(self) -> bool:
        """Tell whether the archive was of a library that was whole, but for what was left out of it."""
        return not (self.altered or self.missing or self.findings)


@dataclass(frozen=True, slots=True)
class BackupState:
    """How the library is backed up.

    Attributes:
        last: the archive that was written last of the library while it was whole; None for none.
        not_whole: the last one of it while it was not whole; None for none.
        keep: how many daily archives are kept; 0 where none is written.
        more: an archive with entries that the library lacks, for it was made with a loss; None for none.
    """

    last: BackupNote | None
    not_whole: BackupNote | None
    keep: int
    more: BackupNote | None = None


def back_up(library: Library, file: Path, now: datetime) -> ArchiveResult:
    """Write a library into a new archive and note it, with whether the library is whole; see `write_archive`.

    The last archive of a whole library stays noted when one of a library that is not whole is written after it.
    """
    result = write_archive(library, file, now, check_without_pictures)
    _note(library, result, file, now)
    return result


def back_up_beside(library: Library, now: datetime) -> tuple[Path, ArchiveResult]:
    """Write an archive into the library's own folder, beside the daily ones, under the moment; see `back_up`."""
    file = library.folder / BACKUPS / f"{now:%Y-%m-%d}T{now:%H%M%S}.zip"
    file.parent.mkdir(exist_ok=True)
    return file, back_up(library, file, now)


def archives_beside(folder: Path) -> tuple[Path, ...]:
    """Return the archives in the library's own folder, the latest first."""
    return tuple(sorted((folder / BACKUPS).glob("*.zip"), reverse=True))


def _note(library: Library, result: ArchiveResult, file: Path, now: datetime) -> None:
    made = result.manifest
    altered = [LibraryFinding(FindingKind.PICTURE_ALTERED, "picture", Path(name).stem) for name in result.altered]
    missing = [LibraryFinding(FindingKind.PICTURE_MISSING, "picture", sha256) for sha256 in made.missing]
    keep_mark(library, (*result.findings, *altered, *missing), made.entries)
    note_backup(library.folder, BackupNote(now, str(file.absolute()), made.entries, made.head), whole=result.is_whole)


def back_up_daily(library: Library, now: datetime, today: date) -> Path | None:
    """Write the archive of a day, if the library changed in this process, it is wanted, and it is not there yet.

    Of a library that is not whole, it has another name, so that it pushes no better one out.

    Returns:
        The archive; None where none was due.

    Raises:
        FileError: it cannot be written.
        StoreError: the folder of the backups cannot be written.
    """
    keep, file = kept_daily(library.folder), daily_file(library.folder, today)
    other = daily_file(library.folder, today, whole=False)
    if not keep or not library.was_written or file.exists() or other.exists():
        return None
    library.was_written = False
    try:
        result = write_archive(library, file, now, check_without_pictures)
    except FileError:
        if file.exists():  # another station was quicker
            return None
        raise
    if not result.is_whole:
        file = file.replace(other)
    _note(library, result, file, now)
    drop_oldest(library.folder, keep)
    return file


def set_daily(folder: Path, keep: int) -> None:
    """Set how many daily archives are kept; 0 for none; see `keep_daily`."""
    keep_daily(folder, keep)


def restore(
    source: Path, place: LibraryPlace, *, accept_loss: bool = False, pictures_from: Path | None = None
) -> RestoredLibrary:
    """Make a library from an archive, or from the ledger of a damaged library; see `restore_archive` and `rebuild`.

    A library that was made from an archive is checked, but for its pictures, and notes that archive as its last backup.
    What was made from a ledger knows the last backup of the damaged library; where that has entries which the ledger
    lacks, as an archive that has more.

    Args:
        source: the archive, a folder into which one was unpacked, or the folder of the damaged library.
        place: where to: a folder, or an empty database, into which only an archive can be restored.
        accept_loss: of a damaged library: even where its ledger does not have everything; of an archive: without the
            pictures that are damaged in it.
        pictures_from: for a damaged library: an archive with pictures that it lost.

    Raises:
        UsageError: what is damaged is to be made anew on a server.
        FileError, StoreError: see there.
    """
    if source.is_dir() and not (is_unpacked_archive(source) and not (source / DATABASE).exists()):
        if isinstance(place, ServerAddress):
            why = "is a folder, and only an archive can be restored into a database on a server"
            raise UsageError(str(source), why, "make it anew in a folder, back that up, and restore the archive")
        made = rebuild(source, place, accept_loss=accept_loss, pictures_from=pictures_from)
        last, more = last_backup(source), archive_with_more(source)
        if last is not None and made.has_backup:
            note_backup(place, last)
        elif last is not None:
            more = last
        if more is not None:
            note_archive_with_more(place, more)
        return RestoredLibrary(made.entries, made.head, made.pictures, made)
    manifest, left_out = _unpacked(source, place, accept_loss=accept_loss)
    with opened_archive(source, place) as archive:
        unnamed, is_cut = archive.unnamed, archive.members.is_cut
    restored = RestoredLibrary(
        entries=manifest.entries,
        head=manifest.head,
        pictures=len(manifest.files) - len(manifest.tables) - len(left_out),
        rebuilt=None,
        unnamed=unnamed,
        is_cut=is_cut,
        left_out=left_out,
        altered=tuple(name for name in altered_pictures(manifest.files) if name not in left_out),
        missing=tuple(manifest.missing),
        findings=_findings_in(place),
    )
    if not left_out and not is_cut and source.is_file():
        with suppress(ValueError):  # whoever made the archive wrote another moment
            made_at = datetime.fromisoformat(manifest.made)
            note = BackupNote(made_at, str(source.absolute()), manifest.entries, manifest.head)
            note_backup(folder_of(place), note, whole=restored.is_whole)
    return restored


def _unpacked(source: Path, place: LibraryPlace, *, accept_loss: bool) -> tuple[Manifest, tuple[str, ...]]:
    """Make a library from an archive; return what that has, and the pictures that were left out as damaged."""
    if not accept_loss:
        return restore_archive(source, place), ()
    if isinstance(place, ServerAddress):
        why = "may have lost pictures, and only what is whole can be restored into a database on a server"
        raise UsageError(str(source), why, "restore it into a folder, back that up, and restore the archive")
    return restore_without_damaged(source, place)


def _findings_in(place: LibraryPlace) -> tuple[LibraryFinding, ...]:
    """Return what is wrong, but for its pictures, with a library that was just made from an archive."""
    try:
        with open_library(place) as library, library.reading(damaged=True) as records:
            found = check_without_pictures(records)
            keep_mark(library, found, ledger_end(records).seq)
    except StoreError as error:
        return (LibraryFinding(FindingKind.DATABASE_DAMAGED, detail=error.why),)
    return tuple(finding for finding in found if not finding.kind.is_note)


def backup_state(folder: Path) -> BackupState:
    """Return how the library in a folder is backed up."""
    return BackupState(
        last_backup(folder), last_backup(folder, whole=False), kept_daily(folder), archive_with_more(folder)
    )


def backup_words(state: BackupState, entries: int, now: datetime, *, with_place: bool = True) -> str:
    """Return the state of the backups as one sentence.

    Args:
        state: of the library.
        entries: number of the latest entry of its ledger.
        now: the moment.
        with_place: name the archive, for a person at the machine where it is.
    """
    daily = f"A daily one is kept in its folder '{BACKUPS}' ({counted(state.keep, 'day')})." if state.keep else ""
    other = " ".join(
        filter(None, [_more_words(state, with_place=with_place), _not_whole_words(state, with_place=with_place)])
    )
    if state.last is None:
        none = "There is no backup yet of the whole library." if state.not_whole else NONE
        return " ".join(filter(None, [none, other, daily]))
    days = (now.date() - state.last.made.date()).days
    age = {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
    since = _since(entries, state.last.entries)
    gone = "" if Path(state.last.file).is_file() else " (it is not there now)"
    place = f": {state.last.file}{gone}" if with_place else ""
    return " ".join(filter(None, [f"Last backup {age}{place}{since}.", other, daily]))


def _since(entries: int, backed_up: int) -> str:
    if entries < backed_up:
        return (
            f"; it has entry {backed_up}, and the ledger ends at entry {entries}, so it was cut: "
            + advice("run 'intake check'", "check the library")
            + ", and keep the backup"
        )
    if entries > backed_up:
        return f", {counted(entries - backed_up, 'entry', 'entries')} since"
    return ", nothing changed since"


def _more_words(state: BackupState, *, with_place: bool) -> str:
    note = state.more
    if note is None:
        return ""
    gone = "" if Path(note.file).is_file() else " (it is not there now)"
    place = f" {note.file}{gone}" if with_place else ""
    has = f"the archive{place} of {note.made:%Y-%m-%d} has its entries up to {note.entries}"
    return f"This library was made with a loss: {has}; keep it."


def _not_whole_words(state: BackupState, *, with_place: bool) -> str:
    other = state.not_whole
    if other is None or (state.last is not None and state.last.made > other.made):
        return ""
    place = f": {other.file}" if with_place else ""
    return f"On {other.made:%Y-%m-%d} one of a library that was not whole was written{place}; " + advice(
        "run 'intake check'.", "check the library."
    )

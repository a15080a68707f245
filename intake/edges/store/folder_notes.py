"""What a library's folder notes of the end of its ledger, read together before the ledger is looked at.

Others go on writing while a library is checked: a note that was read later would be of an entry unknown to the check.
"""

from pathlib import Path
from typing import NamedTuple

from intake.edges.store.backup_notes import BackupNote, last_backup
from intake.edges.store.last_entry import NotedEntry, noted_entry


class FolderNotes(NamedTuple):
    """The last entry that was written, and the last backup of the whole library; None where none is noted."""

    last: NotedEntry | None = None
    backup: BackupNote | None = None


NO_NOTES = FolderNotes()


def read_notes(folder: Path) -> FolderNotes:
    """Return what the folder of a library notes."""
    return FolderNotes(noted_entry(folder), last_backup(folder))

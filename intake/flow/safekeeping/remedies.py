"""What to do about what a check found: nothing is advised that cannot work, or that would lose anything unsaid."""

from collections.abc import Set as AbstractSet

from intake.edges.server_address import LibraryPlace, ServerAddress, folder_of
from intake.edges.store.archive_pictures import pictures_in
from intake.edges.store.backup_notes import (
    archive_way,
    carried_way,
    latest_archive,
    way_back,
    way_with_loss,
    way_with_pictures,
    ways_after_loss,
)
from intake.model.changes import LedgerEntry
from intake.model.findings import CheckReport, FindingKind

_LOSSY = {FindingKind.LEDGER_CUT, FindingKind.ROW_UNKNOWN}
_OF_RECORDS = {FindingKind.ROW_ALTERED, FindingKind.ROW_MISSING, FindingKind.WORD_INDEX_WRONG}
_PICTURES = {FindingKind.PICTURE_MISSING, FindingKind.PICTURE_ALTERED, FindingKind.PICTURE_UNREADABLE}


def remedy(folder: LibraryPlace, report: CheckReport) -> str:
    """Return what to do about a library that is not whole.

    Args:
        folder: of the library, or its address.
        report: of the check.
    """
    wrong = [finding for finding in report.findings if not finding.kind.is_note]
    kinds = {finding.kind for finding in wrong}
    if _ledger_is_broken(report):
        return f"take no more steps in it, for they would be lost, and {archive_way(folder)}"
    if isinstance(folder, ServerAddress) and kinds != {FindingKind.HEAD_UNKNOWN}:
        return carried_way(folder) if kinds <= _OF_RECORDS else archive_way(folder)
    if kinds & _LOSSY:
        without = f"make it anew with the loss of what the ledger does not have: {way_with_loss(folder)}"
        return ways_after_loss(folder, without, outlives_archive=report.outlives_archive)
    return _without_loss(folder, kinds, {finding.key for finding in wrong if finding.kind in _PICTURES})


def _ledger_is_broken(report: CheckReport) -> bool:
    kinds = {finding.kind for finding in report.findings}
    return not report.is_chain_sound or FindingKind.HISTORY_CONTRADICTS in kinds


def lost_by_archive(report: CheckReport) -> tuple[LedgerEntry, ...]:
    """Return the latest entries that are lost where only the latest archive is a way back, as far as they are read."""
    return report.after_archive if _ledger_is_broken(report) else ()


def _without_loss(folder: LibraryPlace, kinds: AbstractSet[FindingKind], lost: AbstractSet[str]) -> str:
    if kinds == {FindingKind.HEAD_UNKNOWN}:
        return f"compare the head once more with where it is written; if it is right, {archive_way(folder)}"
    if kinds == {FindingKind.PICTURE_UNREADABLE}:
        return "ask for the right to read these files, or check the disk, and check again"
    if not lost:
        return way_back(folder)
    archive = latest_archive(folder_of(folder))
    return way_with_pictures(folder, archive if archive is not None and lost & pictures_in(archive) else None)

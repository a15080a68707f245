"""A mark that a check found a library not whole, kept in its folder until a check finds it whole again.

    .not-whole    {"found": "2026-05-01T09:30:00.000000+00:00", "entries": 129, "count": 3, "is_of_ledger": false,
                   "first": {"kind": "record altered", "table": "edition", "key": "4", "last_good": 7, "detail": "",
                             "title": ""}}

Who works on in such a library may lose what is booked. Of one on a server the mark lies in the folder of this machine:
other machines do not see it until they check.
"""

import json
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from intake.edges.atomic_write import save_own
from intake.edges.store.rows import utc_text
from intake.model.findings import FindingKind, LibraryFinding

NOT_WHOLE = ".not-whole"
_OF_LEDGER = {
    FindingKind.DATABASE_DAMAGED,
    FindingKind.ENTRY_BROKEN,
    FindingKind.LEDGER_CUT,
    FindingKind.HISTORY_CONTRADICTS,
}


@dataclass(frozen=True, slots=True)
class CheckMark:
    """That a library is not whole.

    Attributes:
        found: when.
        entries: number of the latest entry of its ledger at that moment.
        count: how many things were found.
        first: the first of them, without its cells.
        is_of_ledger: whether one is of the ledger or the database, so that what is booked now may be lost: all else
            comes back from the ledger.
    """

    found: datetime
    entries: int
    count: int
    first: LibraryFinding
    is_of_ledger: bool


def mark_of(found: datetime, entries: int, wrong: Sequence[LibraryFinding]) -> CheckMark:
    """Return the mark of a library in which something is wrong."""
    is_of_ledger = any(finding.kind in _OF_LEDGER for finding in wrong)
    return CheckMark(found, entries, len(wrong), wrong[0], is_of_ledger)


def mark_not_whole(folder: Path, mark: CheckMark) -> None:
    """Mark a library as not whole; where its folder may only be read, nothing is marked."""
    first = mark.first
    plain = {
        "found": utc_text(mark.found),
        "entries": mark.entries,
        "count": mark.count,
        "is_of_ledger": mark.is_of_ledger,
        "first": {
            "kind": first.kind.value,
            "table": first.table,
            "key": first.key,
            "last_good": first.last_good,
            "detail": first.detail,
            "title": first.title,
        },
    }
    with suppress(OSError):
        save_own(folder / NOT_WHOLE, json.dumps(plain).encode())


def check_mark(folder: Path) -> CheckMark | None:
    """Return the mark of a library; None where no check found anything, or the mark cannot be read."""
    try:
        plain = json.loads((folder / NOT_WHOLE).read_bytes())
        first = plain["first"]
        finding = LibraryFinding(
            FindingKind(first["kind"]),
            str(first["table"]),
            str(first["key"]),
            last_good=int(first["last_good"]),
            detail=str(first["detail"]),
            title=str(first["title"]),
        )
        found = datetime.fromisoformat(plain["found"])
        counts = int(plain["entries"]), int(plain["count"])
        return CheckMark(found, *counts, finding, bool(plain["is_of_ledger"])) if found.tzinfo else None
    except (OSError, ValueError, TypeError, LookupError):
        return None


def remove_mark(folder: Path) -> None:
    """Forget that a library was not whole."""
    with suppress(OSError):
        (folder / NOT_WHOLE).unlink(missing_ok=True)

"""Check a library: database, chain of the ledger, every record against the ledger, every picture against its SHA-256.

What this proves: the library agrees with its own ledger, and the ledger with itself. Whoever can write the folder could
have cut off the end of the ledger, or computed it anew from some entry on; that is found only by comparing it with a
head that was printed, or written down elsewhere, before.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from intake.edges.store.backup_notes import archive_with_more
from intake.edges.store.cut_ledger import (
    check_against_notes,
    check_against_tables,
    entries_after_archive,
    outlives_archive,
)
from intake.edges.store.engines.database_check import check_own_database
from intake.edges.store.engines.guarded import guarded
from intake.edges.store.last_entry import LAST_ENTRY, is_garbled
from intake.edges.store.library import Library
from intake.edges.store.picture_check import PictureCount
from intake.edges.store.queries.chain_check import entry_of_digest, ledger_end, verify_chain
from intake.edges.store.queries.counter_check import check_counters
from intake.edges.store.queries.record_titles import title_of
from intake.edges.store.queries.replay import ReplayCount, replay
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import KINDS
from intake.errors import UsageError
from intake.flow.safekeeping.not_whole import keep_mark
from intake.model.findings import CheckReport, FindingKind, LibraryFinding
from intake.units.advice import advice

MOST_KEPT = 1000
"""Findings of one kind that are kept; the others are counted."""
MOST_TITLED = 100
"""Findings that say of which book they are."""
MOST_NAMED = 20
"""Entries that are named where an archive does not have them."""


def check_library(library: Library, *, against: str = "") -> CheckReport:
    """Check everything, as it is at one moment; a library that is not whole is marked so (`not_whole`).

    Args:
        library: to check; others go on writing meanwhile.
        against: a head that was printed earlier, 64 hexadecimal digits; spaces and capitals do not matter. "" for none.

    Raises:
        UsageError: the head is not one.
        StoreError: the library cannot be read at all.
    """
    head = head_of(against) if against else ""
    kept: list[LibraryFinding] = []
    counts: Counter[FindingKind] = Counter()
    rows, files = ReplayCount(), PictureCount()
    with library.reading(damaged=True) as records:
        end = ledger_end(records)
        printed_at = entry_of_digest(records, head) if head and end.seq else None
        for finding in _once(_all_findings(library, records, rows, files)):
            counts[finding.kind] += 1
            if counts[finding.kind] <= MOST_KEPT:
                kept.append(finding)
        kept[:MOST_TITLED] = [_titled(records, finding) for finding in kept[:MOST_TITLED]]
        after = entries_after_archive(records, library.folder, MOST_NAMED)
        outlives = rows.is_chain_sound and outlives_archive(records, library.folder)
    if head and printed_at is None:
        kept.append(LibraryFinding(FindingKind.HEAD_UNKNOWN, key=head))
    more = {kind: count - MOST_KEPT for kind, count in counts.items() if count > MOST_KEPT}
    kept += check_against_tables(kept, end.seq)
    kept.sort(key=lambda finding: finding.kind is not FindingKind.LEDGER_CUT)  # what explains most of the others
    kept = _capped(kept)
    keep_mark(library, kept, end.seq)
    return CheckReport(
        findings=tuple(kept),
        more=more,
        entries=end.seq,
        head=end.digest,
        rows=rows.rows,
        pictures=files.files,
        printed_at=printed_at,
        is_chain_sound=rows.is_chain_sound,
        outlives_archive=outlives,
        after_archive=after,
    )


def _titled(records: LibraryReader, finding: LibraryFinding) -> LibraryFinding:
    if finding.table not in KINDS:
        return finding
    return replace(finding, title=title_of(records.connection, finding.table, finding.key))


def _capped(found: list[LibraryFinding]) -> list[LibraryFinding]:
    """Name no entry as the last good one that comes after one that is broken."""
    broken = [finding.last_good for finding in found if finding.kind is FindingKind.ENTRY_BROKEN]
    last = min(broken, default=None)
    if last is None:
        return found
    return [replace(finding, last_good=min(finding.last_good, last)) for finding in found]


def head_of(text: str) -> str:
    """Return a head as the ledger writes it.

    Raises:
        UsageError: it is not 64 hexadecimal digits.

    >>> head_of("AB " * 32) == "ab" * 32
    True
    """
    head = re.sub(r"\s", "", text).casefold()
    if not re.fullmatch("[0-9a-f]{64}", head):
        why = "is not the head of a ledger, which has 64 digits from 0 to 9 and a to f"
        raise UsageError(
            f"'{text}'",
            why,
            advice(
                "copy all of it from the list, or check the list itself with 'intake verify'",
                "copy all of it from the list, or check the printed list itself",
            ),
        )
    return head


def _all_findings(
    library: Library, records: LibraryReader, rows: ReplayCount, files: PictureCount
) -> Iterator[LibraryFinding]:
    yield from _without_pictures(records, rows)
    yield from guarded(lambda: library.pictures.check(records, files))
    yield from library.store.check_modes()
    if is_garbled(library.folder):
        yield LibraryFinding(FindingKind.NOTE_GARBLED, key=LAST_ENTRY)
    if (more := archive_with_more(library.folder)) is not None:
        detail = f"the archive {more.file} of {more.made:%Y-%m-%d} has its entries up to {more.entries}"
        yield LibraryFinding(FindingKind.MADE_WITH_LOSS, detail=detail)


def check_without_pictures(records: LibraryReader) -> list[LibraryFinding]:
    """Return what is wrong with everything but the pictures, notes included, in a transaction that is open."""
    findings = list(_once(_without_pictures(records, ReplayCount())))
    findings += check_against_tables(findings, ledger_end(records).seq)
    return sorted(findings, key=lambda finding: finding.kind is not FindingKind.LEDGER_CUT)


def _once(findings: Iterable[LibraryFinding]) -> Iterator[LibraryFinding]:
    """Yield findings, what the database itself reports only once: every check of a damaged page meets the same."""
    told: set[LibraryFinding] = set()
    for finding in findings:
        if finding.kind is not FindingKind.DATABASE_DAMAGED:
            yield finding
        elif finding not in told:
            told.add(finding)
            yield finding


def _without_pictures(records: LibraryReader, rows: ReplayCount) -> Iterator[LibraryFinding]:
    yield from check_own_database(records.connection)
    yield from guarded(lambda: _ledger_findings(records, rows))
    yield from guarded(lambda: check_against_notes(records))
    yield from guarded(lambda: check_counters(records))


def _ledger_findings(records: LibraryReader, rows: ReplayCount) -> Iterator[LibraryFinding]:
    broken = verify_chain(records)
    rows.is_chain_sound = broken is None
    if broken is not None:
        yield LibraryFinding(FindingKind.ENTRY_BROKEN, "ledger", str(broken), last_good=broken - 1)
    yield from replay(records, broken, rows)

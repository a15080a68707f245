"""Words for what a check found."""

import shlex
from collections.abc import Iterator, Mapping

from intake.edges.server_address import LibraryPlace, ServerAddress
from intake.edges.store.rows import table_words
from intake.model.findings import CheckReport, FindingKind, LibraryFinding
from intake.units.advice import Advice, advice, worded
from intake.units.counts import counted

SHOWN = 20
MOST_CELLS = 4
LONGEST_VALUE = 60

_GARBLED = (
    "cannot be read, after a power cut or by a hand that altered it, so it tells nothing of lost entries until the "
    "next step writes it anew"
)

_WORDS: Mapping[FindingKind, str | Advice] = {
    FindingKind.DATABASE_DAMAGED: "the database is damaged",
    FindingKind.SCHEMA_ALTERED: "the database is not as this program makes it",
    FindingKind.REFERENCE_BROKEN: "refers to a record that is not there",
    FindingKind.PLACE_INSIDE_ITSELF: "is inside itself",
    FindingKind.WORD_INDEX_WRONG: "the index of words is not that of the books, so a search may miss some",
    FindingKind.COUNTER_WRONG: "is wrong, so a number could be given twice",
    FindingKind.ENTRY_BROKEN: "is missing or does not agree with its digest; nothing after it is proved",
    FindingKind.LEDGER_CUT: "was cut, emptied or replaced",
    FindingKind.HISTORY_CONTRADICTS: "the ledger contradicts itself",
    FindingKind.ROW_ALTERED: "is not as the ledger left it",
    FindingKind.ROW_MISSING: "is in the ledger, but not in its table",
    FindingKind.ROW_UNKNOWN: "is in its table, but not in the ledger",
    FindingKind.PICTURE_MISSING: "its file is missing",
    FindingKind.PICTURE_ALTERED: "its file was altered",
    FindingKind.PICTURE_UNREADABLE: "its file cannot be read",
    FindingKind.HEAD_UNKNOWN: (
        "is the head of no entry: the end of the ledger was cut off, the ledger was computed anew, or the head is "
        "another library's"
    ),
    FindingKind.STRAY_FILE: "is a file without a record: its picture was taken back, or a step was cut off",
    FindingKind.NUMBER_FREE_AGAIN: "a number that was taken back can be given again",
    FindingKind.NUMBERS_SKIPPED: (
        "some numbers are those of no record in the ledger: a step was cut off, or the count was raised by hand"
    ),
    FindingKind.NOTE_GARBLED: (
        f"{_GARBLED}; a list printed earlier tells: 'intake verify LIST'",
        f"{_GARBLED}; a list printed earlier tells: 'Check a printed list'",
    ),
    FindingKind.MADE_WITH_LOSS: "the library was made with a loss",
    FindingKind.OPEN_TO_OTHERS: (
        "may be read by other users of this machine; 'chmod -R go= FOLDER' closes it",
        "may be read by other users of the desk's computer: let only its own user read that folder",
    ),
}

_OF_COUNTERS = {FindingKind.COUNTER_WRONG, FindingKind.NUMBER_FREE_AGAIN, FindingKind.NUMBERS_SKIPPED}
_COLUMNS = {"words": "text for searches"}

_WITNESS = (
    "Whoever can write {where} could have cut off the end of the ledger or computed it anew: that is found only "
    "against a head printed earlier, {how}. "
)
_AGAINST = (
    "with 'intake check --against HEAD' or 'intake verify LIST'",
    "which is typed beside 'Check the library', or that a printed list carries ('Check a printed list')",
)
_ADDED = "An entry that was added in the proper way looks like any other."
PROVES = (
    "The latest entries may lie in the log beside the database: where it was deleted, "
    f"that shows only as long as the note of the last entry is there. {_ADDED}"
)
"""What a chain without an outside witness does not prove."""
PROVES_ON_SERVER = (
    f"The server's own files were not looked at: its administrator can, with pg_amcheck and pg_checksums. {_ADDED}"
)
"""The same of a library on a server."""


def finding_words(finding: LibraryFinding) -> str:
    """Return one finding as a line: what it is about, what is wrong, the last good entry.

    >>> finding_words(LibraryFinding(FindingKind.ROW_MISSING, "copy", "A1", last_good=4))
    'copy A1: is in the ledger, but not in its table; last good entry: 4'
    """
    subject = " ".join(filter(None, (table_words(finding.table), finding.key)))
    if finding.kind in _OF_COUNTERS:
        subject = f"count of {table_words(finding.key.removeprefix('serial '))} numbers"
    words = worded(_WORDS[finding.kind]).replace("FOLDER", shlex.quote(finding.key))
    if finding.cells:
        words += f" ({'; '.join(_cells(finding))})"
    if finding.detail:
        words += f" ({finding.detail})"
    if not finding.kind.is_note and finding.last_good:
        words += f"; last good entry: {finding.last_good}"
    return f"{subject}: {words}" if subject else f"{words[:1].upper()}{words[1:]}"


def _cells(finding: LibraryFinding) -> Iterator[str]:
    for cell in finding.cells[:MOST_CELLS]:
        name = _COLUMNS.get(cell.column, cell.column.replace("_", " "))
        yield f"{name} is {_value(cell.stored)}, by the ledger {_value(cell.expected)}"
    if len(finding.cells) > MOST_CELLS:
        yield f"and {counted(len(finding.cells) - MOST_CELLS, 'more column')}"


def _value(value: object) -> str:
    text = "empty" if value is None else ascii(value) if _has_stray_bytes(value) else repr(value)
    return text if len(text) <= LONGEST_VALUE else f"{text[:LONGEST_VALUE]}…"


def _has_stray_bytes(value: object) -> bool:
    return isinstance(value, str) and any("\ud800" <= character <= "\udfff" for character in value)


def report_lines(report: CheckReport, shown: int | None = SHOWN) -> list[str]:
    """Return a report as lines.

    Args:
        report: of the check.
        shown: how many findings are listed; None for all that were kept.
    """
    lines = [_line(finding) for finding in report.findings[:shown]]
    hidden = len(report.findings) - len(lines)
    if hidden:
        lines.append(f"… and {hidden} more{advice('; --all shows them', '')}")
    lines += [f"… and {counted(count, 'more finding')}: {worded(_WORDS[kind])}" for kind, count in report.more.items()]
    looked = f"{counted(report.rows, 'record')} and {counted(report.pictures, 'picture')} were compared"
    if report.is_sound:
        lines.append(f"The library is whole: {looked} with the ledger and its digests.")
    else:
        lines.append(f"The library is not whole; {looked}.")
    if report.printed_at is not None:
        later = report.entries - report.printed_at
        since = f"{counted(later, 'entry was', 'entries were')} added since"
        lines.append(f"The head printed earlier is that of entry {report.printed_at}; {since}.")
    lines.append(f"The ledger has {counted(report.entries, 'entry', 'entries')}; its head is {report.head}.")
    return lines


def caveat(report: CheckReport, place: LibraryPlace) -> str:
    """Return what a check of a library does not prove, for the end, after everything that is to be done."""
    agrees = "This shows that the library agrees with its ledger. " if report.is_sound else ""
    where, proves = ("its database", PROVES_ON_SERVER) if isinstance(place, ServerAddress) else ("its folder", PROVES)
    return f"{agrees}{_WITNESS.format(where=where, how=advice(*_AGAINST))}{proves}"


def _line(finding: LibraryFinding) -> str:
    words = finding_words(finding)
    return f"Note: {words}" if finding.kind.is_note else words

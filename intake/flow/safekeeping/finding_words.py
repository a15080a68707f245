"""Words for what a check found."""

import shlex
from collections.abc import Iterator, Mapping, Sequence

from intake.edges.server_address import LibraryPlace, ServerAddress
from intake.edges.store.rows import table_words
from intake.model.findings import CheckReport, FindingKind, LibraryFinding
from intake.units.advice import Advice, advice, worded
from intake.units.counts import counted, noun, some_of

SHOWN = 20
MOST_NAMED = 3
"""Files of a kind that are named in one note."""
_GROUPED = (FindingKind.STRAY_FILE, FindingKind.SECOND_FILE)
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
    FindingKind.PICTURE_RENAMED: "its file has another name",
    FindingKind.PICTURE_ALTERED: "its file was altered",
    FindingKind.PICTURE_UNREADABLE: "its file cannot be read",
    FindingKind.HEAD_UNKNOWN: (
        "is the head of no entry: the end of the ledger was cut off, the ledger was computed anew, or the head is "
        "another library's"
    ),
    FindingKind.STRAY_FILE: (
        "no record names it: its picture was taken back, a step was cut off, its record was lost, or it is of another "
        "library; where you do not need it, move it out of the folder"
    ),
    FindingKind.SECOND_FILE: "is a second file of a picture that is there; move it out of the folder",
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

_WITNESS = "that the ledger's end was not cut off or the ledger computed anew: a head printed earlier shows it ({how})"
_AGAINST = (
    "'intake check --against HEAD' or 'intake verify LIST'",
    "typed beside 'Check the library', or on a list: 'Check a printed list'",
)
_SERVER = "; nor the server's own files, which its administrator can check (pg_amcheck, pg_checksums)"


def finding_words(finding: LibraryFinding) -> str:
    """Return one finding as a line: what it is about, what is wrong, the last good entry.

    >>> finding_words(LibraryFinding(FindingKind.ROW_MISSING, "copy", "A1", last_good=4))
    'copy A1: is in the ledger, but not in its table; last good entry: 4'
    """
    subject = " ".join(filter(None, (table_words(finding.table), finding.key)))
    if finding.title:
        subject += f" ('{finding.title}')"
    if finding.kind in _OF_COUNTERS:
        subject = f"count of {table_words(finding.key.removeprefix('serial '))} numbers"
    words = worded(_WORDS[finding.kind]).replace("FOLDER", shlex.quote(finding.key))
    if finding.cells:
        words += f" ({'; '.join(_cells(finding))})"
    if finding.kind is FindingKind.PICTURE_RENAMED:
        words += f": it is {finding.detail}"
    elif finding.detail:
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
    if isinstance(value, bytes):
        return f"{counted(len(value), 'byte')} that {noun(len(value), 'is', 'are')} no text"
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
    plain = [finding for finding in report.findings if finding.kind in _GROUPED and not finding.detail]
    grouped = [] if shown is None else plain
    findings = [finding for finding in report.findings if finding not in grouped]
    lines = [_line(finding) for finding in findings[:shown]]
    hidden = len(findings) - len(lines)
    for kind in _GROUPED:
        lines += _group(kind, [finding.key for finding in grouped if finding.kind is kind])
    if hidden:
        lines.append(f"… and {hidden} more{advice('; --all shows them', '')}")
    lines += [f"… and {counted(count, 'more finding')}: {worded(_WORDS[kind])}" for kind, count in report.more.items()]
    if report.printed_at is not None:
        later = report.entries - report.printed_at
        since = f"{counted(later, 'entry was', 'entries were')} added since"
        lines.append(f"The head printed earlier is that of entry {report.printed_at}; {since}.")
    lines.append(f"The ledger has {counted(report.entries, 'entry', 'entries')}; its head is {report.head}.")
    return lines


def verdict_words(report: CheckReport) -> str:
    """Return whether the library is whole, as a sentence of its own for where it is seen."""
    looked = f"{counted(report.rows, 'record')} and {counted(report.pictures, 'picture')} were compared"
    if report.is_sound:
        return f"The library is whole: {looked} with the ledger and its digests."
    return f"The library is not whole; {looked}."


def _group(kind: FindingKind, keys: Sequence[str]) -> Iterator[str]:
    """Yield one note of all files of a kind, with some of them by name."""
    if len(keys) <= MOST_NAMED:
        yield from (_line(LibraryFinding(kind, key=key)) for key in keys)
        return
    named = some_of(keys, MOST_NAMED) + advice(" (--all names them)", "")
    yield f"Note: {counted(len(keys), 'file')} among the pictures ({named}), of each: {worded(_WORDS[kind])}"


def caveat(place: LibraryPlace) -> str:
    """Return what a check of a library does not prove, in one line."""
    server = _SERVER if isinstance(place, ServerAddress) else ""
    return f"Not shown by this check: {_WITNESS.format(how=advice(*_AGAINST))}{server}."


def _line(finding: LibraryFinding) -> str:
    words = finding_words(finding)
    return f"Note: {words}" if finding.kind.is_note else words

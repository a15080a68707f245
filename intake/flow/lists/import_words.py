"""What an import did, or would do, as lines for a person; the same at the terminal and at the desk."""

from collections.abc import Iterator, Sequence
from datetime import date

from intake.flow.lists.import_list import ImportResult, RowUnit
from intake.flow.lists.list_words import (
    alike_sentence,
    doubt_sentences,
    left_room_sentences,
    merged_sentences,
    outdated_sentence,
    repeated_sentence,
    undated_sentence,
    unlisted_sentence,
    withdrawn_sentence,
)
from intake.flow.lists.outcome_words import (
    consigned_sentence,
    emptied_sentence,
    outcome_words,
    overwritten_sentences,
    record_counts,
)
from intake.flow.lists.remark_words import remark_lines
from intake.flow.lists.row_words import bad_row_sentence
from intake.units.advice import advice
from intake.units.counts import counted


def import_lines(
    name: str,
    result: ImportResult,
    *,
    today: date,
    dry_run: bool = False,
    refused: bool = False,
    most: int | None = None,
) -> Iterator[str]:
    """Yield what an import did, row by row where that was kept, and which rows cannot be used.

    Args:
        name: of the file.
        result: of the import.
        today: the day of values that carry none.
        dry_run: nothing was changed.
        refused: nothing is imported, because of the rows that cannot be used.
        most: rows of one kind that are named; None for all.
    """
    unit = "line" if result.unit is RowUnit.ROW else RowUnit.RECORD
    for row in result.rows:
        yield f"{name} {unit} {row.line}: {outcome_words(row)}"
    yield from _fault_lines(name, unit, result, most)
    for remark in remark_lines(result.remarks):
        yield f"{name}: {remark}"
    for words in _told(result, unit, today):
        yield from _cut([f"{name}{sentence}" for sentence in words], most)
    if result.left:
        why = "recorded otherwise since the list was last imported"
        how = "" if result.rows else advice(" (--rows shows them)", " (shown row by row if you ask for that)")
        yield f"{name}: {counted(result.left, 'cell')} left, {why}{how}"
    if not refused:
        yield f"{name}: {_count_words(result, dry_run=dry_run)}"
        for reference, boxes in result.consigned.items():
            yield consigned_sentence(reference, boxes, dry_run=dry_run)


def _count_words(result: ImportResult, *, dry_run: bool) -> str:
    verb = "would make" if dry_run else "made"
    entry = f" ({_entries(result.entries)})" if result.entries else ""
    skipped = f", {counted(len(result.bad_rows), result.unit)} left out" if result.bad_rows else ""
    same = f"{counted(result.unchanged, result.unit)} unchanged{_gone(result)}{skipped}"
    return f"{verb} {record_counts(result.made_of)}, altered {record_counts(result.altered_of)}, {same}{entry}"


def _told(result: ImportResult, unit: str, today: date) -> Iterator[list[str]]:
    """Yield what a person is told of the rows that can be used, after the file's name; each list may be cut."""
    yield [f" {unit} {row.line}: {words}" for row in result.overwritten for words in overwritten_sentences(row)]
    yield [f" {outdated_sentence(row, unit)}" for row in result.outdated]
    yield [f": {repeated_sentence(first, others, unit)}" for first, others in result.repeated.items()]
    yield [f": {alike_sentence(first, others, unit)}" for first, others in result.alike.items()]
    yield [f": {words}" for words in merged_sentences(result.merged, unit)]
    yield [f": {withdrawn_sentence(line, accession, unit)}" for line, accession in result.withdrawn]
    yield [f": {words}" for words in left_room_sentences(result.rooms, unit)]
    yield [f": {words}" for words in doubt_sentences(result.doubts, unit)]
    yield [f": {undated_sentence(result.undated, today)}"] if result.undated else []
    yield [f": {emptied_sentence(result.emptied)}"] if result.emptied else []
    is_whole = not result.bad_rows
    yield [f": {unlisted_sentence(one, unit, is_whole=is_whole)}" for one in result.unlisted]
    yield [f": {unlisted_sentence(one, unit, is_whole=is_whole)}" for one in result.unlisted_editions]


def _fault_lines(name: str, unit: str, result: ImportResult, most: int | None) -> Iterator[str]:
    """Yield what is wrong with rows that cannot be used, and with cells that were left empty."""
    for bad in result.bad_rows[:most]:
        for fault in bad.faults:
            yield f"{name} {unit} {bad.line}: {bad_row_sentence(fault, unit)}"
    yield from _left_out(len(result.bad_rows), most, at_desk="; correct these first")
    left_empty = [
        f"{name} {unit} {fault.line}: {bad_row_sentence(fault, unit)}; left empty" for fault in result.left_empty
    ]
    yield from _cut(left_empty, most)


def _cut(lines: Sequence[str], most: int | None) -> Iterator[str]:
    yield from lines[:most]
    yield from _left_out(len(lines), most)


def _left_out(total: int, shown: int | None, at_desk: str = "") -> Iterator[str]:
    if shown is not None and total > shown:
        yield f"  … and {total - shown} more{advice('; --all shows them', at_desk)}"


def _gone(result: ImportResult) -> str:
    """Return how many records of earlier imports no row means; empty for none."""
    editions, copies = len(result.unlisted_editions), len(result.unlisted)
    if not editions and not copies:
        return ""
    count = counted(editions, "edition") if editions else counted(copies, "copy", "copies")
    return f", {count} {'in no usable row' if result.bad_rows else 'no longer listed'}"


def _entries(entries: tuple[int, ...]) -> str:
    if len(entries) == 1:
        return f"ledger entry {entries[0]}"
    return f"ledger entries {entries[0]} to {entries[-1]}, which undo takes back together"

"""Undo: the plan of an entry turned round and booked as an entry of its own; the ledger forgets nothing."""

from collections.abc import Iterable, Sequence

from intake.edges.store.library import Library
from intake.edges.store.parts import PartOf, take_back_plan
from intake.edges.store.queries.copies import copies_in_box
from intake.edges.store.queries.ledger_entries import ledger_entry
from intake.edges.store.queries.reversals import last_standing, last_step_of_kind, reversing_changes
from intake.edges.store.queries.sightings import is_begun
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, supposing
from intake.model.editions import Copy, CopyState


def undo(library: Library, seq: int | None = None, *, station: str) -> tuple[LedgerEntry, LedgerEntry]:
    """Take back one entry of the ledger: the given one, or the last that is neither an undo nor taken back already.

    An entry that is part of a large plan is taken back with all its other parts.

    Returns:
        The entry that was taken back, and the entry that did it.

    Raises:
        RefusedError: there is none, it was taken back before, or a later entry built on it; it checked in a box out
            of which something was taken since, or took something out of a box that was finished since; or
            it alters the list of a box that is closed.
    """
    with library.reading() as records:
        entry = ledger_entry(records, seq) if seq is not None else last_standing(records)
        if entry is None:
            why = "has no entry that can be taken back" if seq is None else f"has no entry {seq}"
            raise RefusedError("The ledger", why, "look at the latest entries and name one of them")
    part = PartOf.read(entry.action.request)
    if part is not None and (taken_back := take_back_plan(library, part.token, station, _refuse_undo)):
        return entry, taken_back[-1]
    with library.reading() as records:
        changes = reversing_changes(records, entry.seq)
        supposed = _refuse_undo(records, entry.seq, changes)
    action = Action(ActionKind.UNDO, entry.action.subject, station, undoes=entry.seq)
    return entry, library.apply(action, (*changes, *supposing(*dict.fromkeys(supposed)))).entry


def undone_step(records: LibraryReader, entry: LedgerEntry) -> tuple[LedgerEntry, bool]:
    """Return the step that taking back an entry concerns, and whether it is done again, as by undoing an undo."""
    again = False
    while entry.action.undoes is not None and (before := ledger_entry(records, entry.action.undoes)) is not None:
        entry, again = before, not again
    return entry, again


def _refuse_undo(records: LibraryReader, seq: int, changes: Sequence[Change]) -> tuple[Box, ...]:
    """Refuse to take back an entry on which the boxes have built; return the boxes that must stay as they are."""
    _refuse_under_unpacked(records, seq, changes)
    return (*_refuse_into_finished(records, seq, changes), *_refuse_altering_closed_list(records, seq, changes))


def _refuse_under_unpacked(records: LibraryReader, seq: int, changes: Iterable[Change]) -> None:
    """Refuse to make a box one that has not arrived while something that came out of it is booked or waits."""
    for change in changes:
        before, after = change.before, change.after
        if not isinstance(before, Box) or before.state is not BoxState.ARRIVED:
            continue
        arrived_still = isinstance(after, Box) and after.state in (BoxState.ARRIVED, BoxState.UNPACKED)
        if not arrived_still and is_begun(records, before.number):
            why = f"cannot be taken back: something was taken out of box {before.number} since"
            raise RefusedError(f"Entry {seq}", why, "take that back first, the latest step first")


def _refuse_into_finished(records: LibraryReader, seq: int, changes: Iterable[Change]) -> tuple[Box, ...]:
    """Refuse to leave a copy packed in a finished box: it would be neither seen nor missing, and no step could take it.

    Returns:
        The boxes that a copy is put back into, as they are: another station may finish one of them meanwhile.
    """
    after = [change.after for change in changes if change.after is not None]
    copies = {record.accession: record for record in after if isinstance(record, Copy)}
    boxes = {record.number: record for record in after if isinstance(record, Box)}
    put_back = {copy.box for copy in copies.values() if copy.box and copy.state is CopyState.PACKED} - boxes.keys()
    recorded = records.get_many(Box, put_back)
    for box in (*boxes.values(), *recorded.values()):
        if box.state is not BoxState.UNPACKED:
            continue
        listed = {copy.accession: copy for copy in copies_in_box(records, box.number)} | copies
        left = [copy for copy in listed.values() if copy.box == box.number and copy.state is CopyState.PACKED]
        if left:
            names = ", ".join(copy.accession for copy in left)
            finish = last_step_of_kind(records, box.number, ActionKind.FINISH_BOX)
            remedy = f"take back entry {finish} first, which finished it" if finish else "leave it as it is"
            why = f"cannot be taken back: box {box.number} is finished, and {names} would be neither seen nor missing"
            raise RefusedError(f"Entry {seq}", why, remedy)
    return tuple(recorded.values())


def _refuse_altering_closed_list(records: LibraryReader, seq: int, changes: Iterable[Change]) -> tuple[Box, ...]:
    """Refuse to alter what is listed in a box that is closed: its list, its label and its seal would hold no more.

    Returns:
        The boxes whose lists are altered, as they are.
    """
    altered: set[str] = set()
    replaced: set[str] = set()
    for change in changes:
        if isinstance(change.before or change.after, Box):
            replaced |= {box.number for box in (change.before, change.after) if isinstance(box, Box)}
        before, after = (_packed_in(record) for record in (change.before, change.after))
        if before != after and isinstance(change.before or change.after, Copy):
            left = before if not isinstance(change.after, Copy) or change.after.box != before else None
            joined = after if not isinstance(change.before, Copy) or change.before.box != after else None
            altered |= {number for number in (left, joined) if number}
    boxes = records.get_many(Box, altered - replaced)
    for box in boxes.values():
        if box.state is not BoxState.OPEN:
            closing = last_step_of_kind(records, box.number, ActionKind.CLOSE_BOX)
            remedy = f"take back its closing first, entry {closing}, and what was built on it"
            why = f"cannot be taken back: it would alter the list of box {box.number}, which is {box.state}"
            raise RefusedError(f"Entry {seq}", why, remedy if closing else "leave it as it is")
    return tuple(boxes.values())


def _packed_in(record: object) -> str | None:
    return record.box if isinstance(record, Copy) and record.state is CopyState.PACKED else None

"""Undo: the plan of an entry turned round and booked as an entry of its own; the ledger forgets nothing."""

from intake.edges.store.library import Library
from intake.edges.store.parts import PartOf, take_back_plan
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_entry
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.model.changes import Action, LedgerEntry


def undo(library: Library, seq: int | None = None, *, station: str) -> tuple[LedgerEntry, LedgerEntry]:
    """Take back one entry of the ledger: the given one, or the last that is neither an undo nor taken back already.

    An entry that is part of a large plan is taken back with all its other parts.

    Returns:
        The entry that was taken back, and the entry that did it.

    Raises:
        RefusedError: there is none, it was taken back before, or a later entry built on it.
    """
    with library.reading() as reader:
        entry = ledger_entry(reader, seq) if seq is not None else _last_standing(reader)
    if entry is None:
        why = "holds nothing that could be taken back" if seq is None else f"has no entry {seq}"
        raise RefusedError("The ledger", why, "see the entries with 'intake history'")
    part = PartOf.read(entry.action.request)
    if part is not None and (taken_back := take_back_plan(library, part.token, station)):
        return entry, taken_back[-1]
    with library.writing() as work:
        changes = work.reverse_of(entry.seq)
        action = Action("undo", entry.action.subject, station, undoes=entry.seq, note=entry.action.name)
        return entry, work.apply(action, changes).entry


def _last_standing(reader: LibraryReader) -> LedgerEntry | None:
    """Return the newest entry whose effect stands: not taken back, and no taking back itself (a redo is a doing)."""
    taken_back: set[int] = set()
    before: int | None = None
    while entries := latest_entries(reader, before=before):
        for entry in entries:
            if entry.seq in taken_back:
                continue
            if _depth(reader, entry) % 2 == 0:
                return entry
            taken_back.add(entry.action.undoes or 0)
        before = entries[-1].seq
    return None


def _depth(reader: LibraryReader, entry: LedgerEntry) -> int:
    """Count how many takings-back lie under an entry: 0 for a step, 1 for its undo, 2 for the undo of that."""
    depth = 0
    below: LedgerEntry | None = entry
    while below is not None and below.action.undoes is not None:
        below = next(iter(latest_entries(reader, 1, before=below.action.undoes + 1)), None)
        depth += 1
    return depth

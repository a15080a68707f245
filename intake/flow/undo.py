"""Undo: the plan of an entry turned round and booked as an entry of its own; the ledger forgets nothing."""

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_entry
from intake.edges.store.writer import LibraryWriter
from intake.errors import RefusedError
from intake.model.changes import Action, LedgerEntry


def undo(library: Library, seq: int | None = None, *, station: str) -> tuple[LedgerEntry, LedgerEntry]:
    """Take back one entry of the ledger: the given one, or the last that is neither an undo nor taken back already.

    Returns:
        The entry that was taken back, and the entry that did it.

    Raises:
        RefusedError: there is none, it was taken back before, or a later entry built on it.
    """
    with library.writing() as work:
        entry = ledger_entry(work, seq) if seq is not None else _last_standing(work)
        if entry is None:
            why = "holds nothing that could be taken back" if seq is None else f"has no entry {seq}"
            raise RefusedError("The ledger", why, "see the entries with 'intake history'")
        changes = work.reverse_of(entry.seq)
        action = Action("undo", entry.action.subject, station, undoes=entry.seq, note=entry.action.name)
        return entry, work.apply(action, changes).entry


def _last_standing(work: LibraryWriter) -> LedgerEntry | None:
    """Return the newest entry whose effect stands: not taken back, and no taking back itself (a redo is a doing)."""
    taken_back: set[int] = set()
    before: int | None = None
    while entries := latest_entries(work, before=before):
        for entry in entries:
            if entry.seq in taken_back:
                continue
            if _depth(work, entry) % 2 == 0:
                return entry
            taken_back.add(entry.action.undoes or 0)
        before = entries[-1].seq
    return None


def _depth(work: LibraryWriter, entry: LedgerEntry) -> int:
    """Count how many takings-back lie under an entry: 0 for a step, 1 for its undo, 2 for the undo of that."""
    depth = 0
    below: LedgerEntry | None = entry
    while below is not None and below.action.undoes is not None:
        below = ledger_entry(work, below.action.undoes)
        depth += 1
    return depth

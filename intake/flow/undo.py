"""Undo: the plan of an entry turned round and booked as an entry of its own; nothing is ever deleted from the ledger."""

from intake.edges.store.library import Library
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
        entry = work.entry(seq) if seq is not None else work.last_undoable()
        if entry is None:
            what = "Ledger" if seq is None else f"Entry {seq}"
            raise RefusedError(what, "holds nothing to take back", "see the entries with 'intake history'")
        changes = work.reverse_of(entry.seq)
        action = Action("undo", entry.action.subject, station, undoes=entry.seq, note=entry.action.name)
        return entry, work.apply(action, changes)

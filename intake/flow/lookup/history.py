"""What happened: the entries of the ledger, in words."""

from dataclasses import dataclass

from intake.edges.store.queries.ledger_entries import history_of_record, latest_entries
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.action_words import action_words


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One ledger entry, in words."""

    seq: int
    when: str
    station: str
    what: str
    subject: str
    changed: str


def history(records: LibraryReader, accession: str | None, limit: int) -> tuple[HistoryLine, ...]:
    """Return the latest entries of the ledger, newest first, or all that changed one copy, oldest first."""
    entries = latest_entries(records, limit) if accession is None else history_of_record(records, "copy", accession)
    lines: list[HistoryLine] = []
    for entry in entries:
        action = entry.action
        changed = "; ".join(
            f"{name}: {change.before.get(name)!r} to {value!r}"
            for change in entry.changes
            if accession in (None, change.key) and change.before is not None and change.after is not None
            for name, value in change.after.items()
            if change.before.get(name) != value
        )
        subject = f"{action.subject} (entry {action.undoes})" if action.undoes else action.subject
        when = entry.at.strftime("%Y-%m-%d %H:%M:%S")
        lines.append(HistoryLine(entry.seq, when, action.station, action_words(action), subject, changed))
    return tuple(lines)

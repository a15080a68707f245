"""How much there is, and how far the ledger goes."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.store.queries.ledger_entries import Counts, count_records, latest_entries, ledger_entry, ledger_head
from intake.edges.store.queries.sightings import count_waiting, list_queries, queries_of_box
from intake.edges.store.reader import LibraryReader
from intake.model.changes import LedgerEntry
from intake.model.sightings import Query, QueryState


@dataclass(frozen=True, slots=True)
class LibraryStatus:
    """How far the work is, and the digest of the latest entry of the ledger."""

    counts: Counts
    head: str


def library_status(reader: LibraryReader) -> LibraryStatus:
    """Count what there is."""
    return LibraryStatus(count_records(reader), ledger_head(reader))


def entries_after(reader: LibraryReader, seq: int, limit: int) -> tuple[LedgerEntry, ...]:
    """Return the entries after one, oldest first; of more than `limit` only the latest."""
    return tuple(reversed([entry for entry in latest_entries(reader, limit) if entry.seq > seq]))


def entry_numbered(reader: LibraryReader, seq: int) -> LedgerEntry | None:
    """Return an entry of the ledger; None where it has no such entry."""
    return ledger_entry(reader, seq)


def waiting_count(reader: LibraryReader) -> int:
    """Count what waits on the query pile."""
    return count_waiting(reader)


def waiting_queries(reader: LibraryReader) -> tuple[Query, ...]:
    """Return what waits on the query pile, oldest first."""
    return list_queries(reader, QueryState.WAITING)


def waiting_in_box(reader: LibraryReader, number: str) -> tuple[Query, ...]:
    """Return what of one box waits on the query pile, oldest first."""
    return queries_of_box(reader, number)


def queries_words(queries: Sequence[Query]) -> str:
    """Write which queries wait."""
    numbers = ", ".join(str(query.id) for query in queries)
    return f"query {numbers} waiting" if len(queries) == 1 else f"{len(queries)} queries waiting ({numbers})"

"""What the ledger says of editions that were merged into others."""

from collections.abc import Iterator
from itertools import groupby

from sqlalchemy import select

from intake.edges.store.chain import ChangeText
from intake.edges.store.queries.ledger_entries import row_change
from intake.edges.store.queries.reversals import was_taken_back
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import ledger, ledger_change
from intake.model.changes import ActionKind, RowChange


def merges(reader: LibraryReader) -> Iterator[tuple[str, tuple[RowChange, ...]]]:
    """Yield the subject of each merge of editions and what it changed, oldest first; none that was taken back."""
    column = ledger_change.c
    statement = select(
        ledger.c.subject, column.seq, column.record_table, column.record_key, column.before, column.after
    )
    statement = statement.join(ledger, ledger.c.seq == column.seq).order_by(column.seq, column.nth)
    statement = statement.where(ledger.c.name == ActionKind.MERGE_EDITIONS.value, ~was_taken_back())
    for (_, subject), rows in groupby(reader.connection.execute(statement), key=lambda row: (row.seq, row.subject)):
        changes = (ChangeText(row.record_table, row.record_key, row.before, row.after) for row in rows)
        yield subject, tuple(map(row_change, changes))

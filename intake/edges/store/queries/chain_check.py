"""Whether the chain of the ledger is whole; no value that stands in it, however odd, ends the check."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import groupby
from typing import Any, NamedTuple

from sqlalchemy import Row, select
from sqlalchemy.exc import DBAPIError

from intake.edges.store.chain import FIRST_PREVIOUS, ChangeText, digest
from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.queries.ledger_entries import action_of
from intake.edges.store.reader import LibraryReader
from intake.edges.store.row_forms import UNREADABLE
from intake.edges.store.tables import ledger, ledger_change

Numbered = tuple[object, ChangeText]


class LedgerEnd(NamedTuple):
    """Number and digest of the latest entry; 0 and 64 zeros while there is none."""

    seq: int
    digest: str


def verify_chain(reader: LibraryReader) -> int | None:
    """Return the number of the first entry that is missing or is not as it was written; None if all are sound."""
    with undecoded(reader.connection):
        return _first_broken(reader)


def ledger_end(reader: LibraryReader) -> LedgerEnd:
    """Return number and digest of the latest entry; of a ledger that cannot be read too, for a check tells why."""
    latest = select(ledger.c.seq, ledger.c.digest).order_by(ledger.c.seq.desc()).limit(1)
    with undecoded(reader.connection), suppress(DBAPIError):
        row = reader.connection.execute(latest).one_or_none()
        return LedgerEnd(0, FIRST_PREVIOUS) if row is None else LedgerEnd(row.seq, str(row.digest))
    return LedgerEnd(0, FIRST_PREVIOUS)


def is_end_sound(reader: LibraryReader) -> bool:
    """Tell whether the latest entry agrees with its digest and follows the one before it, and no change follows it.

    That is cheap, and finds an end that was cut off or altered without care; `verify_chain` looks at every entry.
    """
    with undecoded(reader.connection):
        rows = reader.connection.execute(select(ledger).order_by(ledger.c.seq.desc()).limit(2)).all()
        last = rows[0].seq if rows else 0
        later = select(ledger_change.c.seq).where(ledger_change.c.seq > last).limit(1)
        if reader.connection.execute(later).first() is not None:
            return False
        if not rows:
            return True
        previous = rows[1].digest if len(rows) > 1 else FIRST_PREVIOUS
        return _is_sound(
            rows[0], previous, [change for _, texts in _changes_by_entry(reader, last) for change in texts]
        )


def entry_of_digest(reader: LibraryReader, head: str) -> int | None:
    """Return the number of the entry that has a digest; None where none has."""
    seq: int | None = reader.connection.scalar(select(ledger.c.seq).where(ledger.c.digest == head).limit(1))
    return seq


def digest_of_entry(reader: LibraryReader, seq: int) -> str | None:
    """Return the digest of an entry; None where there is no such entry."""
    with undecoded(reader.connection):
        found = reader.connection.scalar(select(ledger.c.digest).where(ledger.c.seq == seq))
    return None if found is None else str(found)


def _first_broken(reader: LibraryReader) -> int | None:
    previous, expected = FIRST_PREVIOUS, 1
    changes = _changes_by_entry(reader)
    changed_seq, own = next(changes, (None, ()))
    for row in reader.connection.execute(select(ledger).order_by(ledger.c.seq).execution_options(yield_per=500)):
        texts: tuple[Numbered, ...] = ()
        if changed_seq == row.seq:
            texts = tuple(own)
            changed_seq, own = next(changes, (None, ()))
        if row.seq != expected or not _is_sound(row, previous, texts):
            return expected
        previous, expected = row.digest, expected + 1
    return None if changed_seq is None else expected


def _is_sound(row: Row[*tuple[Any, ...]], previous: str, changes: Sequence[Numbered]) -> bool:
    """Tell whether an entry agrees with its digest, and its changes are numbered 0, 1, 2 …, which no digest covers."""
    texts = [text for _, text in changes]
    try:
        return bool(
            row.previous == previous
            and [nth for nth, _ in changes] == list(range(len(changes)))
            and all(text.is_canonical() for text in texts)
            and row.digest == digest(row.seq, row.at, action_of(row), previous, texts)
        )
    except UNREADABLE:  # a value that no entry can have
        return False


def _changes_by_entry(reader: LibraryReader, first: int = 0) -> Iterator[tuple[object, Iterable[Numbered]]]:
    """Yield the changes of each entry, from the first one asked for on; an odd number of an entry counts as any."""
    column = ledger_change.c
    statement = select(
        column.seq, column.nth, column.record_table, column.record_key, column.before, column.after
    ).order_by(column.seq, column.nth)
    if first:
        statement = statement.where(column.seq >= first)
    rows = reader.connection.execute(statement.execution_options(yield_per=1000))
    for seq, group in groupby(rows, key=lambda row: row.seq):
        yield seq, ((row.nth, ChangeText(*tuple(row)[2:])) for row in group)

"""Reading the ledger: what was done, to what, and whether the chain still holds."""

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Row, Select, select

from intake.edges.store.chain import FIRST_PREVIOUS, ChangeText, digest
from intake.edges.store.tables import ledger, ledger_change
from intake.model.changes import Action, LedgerEntry, RowChange

_CHANGE = (
    ledger_change.c.record_table,
    ledger_change.c.record_key,
    ledger_change.c.before,
    ledger_change.c.after,
)


def row_change(change: ChangeText) -> RowChange:
    """Read a change of the ledger."""
    before = None if change.before is None else json.loads(change.before)
    after = None if change.after is None else json.loads(change.after)
    return RowChange(change.table, change.key, before, after)


def action_of(row: Row[*tuple[Any, ...]]) -> Action:
    """Return the action that a row of the ledger tells."""
    return Action(row.name, row.subject, row.station, row.request, row.note, row.undoes)


class History:
    """The questions that the ledger answers."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def head(self) -> str:
        """Return the digest of the latest entry, 64 zeros while there is none."""
        latest = select(ledger.c.digest).order_by(ledger.c.seq.desc()).limit(1)
        return self._connection.scalar(latest) or FIRST_PREVIOUS

    def entry(self, seq: int) -> LedgerEntry | None:
        """Return an entry with its changes."""
        return self._whole(select(ledger).where(ledger.c.seq == seq))

    def entry_of_request(self, request: str) -> LedgerEntry | None:
        """Return the entry, with its changes, that a station's request has made."""
        return self._whole(select(ledger).where(ledger.c.request == request))

    def entries(self, limit: int = 50, before: int | None = None) -> tuple[LedgerEntry, ...]:
        """Return the latest entries, newest first, without their changes.

        Args:
            limit: how many at most.
            before: only entries with a lower number.
        """
        wanted = select(ledger).order_by(ledger.c.seq.desc()).limit(limit)
        if before is not None:
            wanted = wanted.where(ledger.c.seq < before)
        return tuple(_entry(row) for row in self._connection.execute(wanted))

    def ledger(self, table: str, key: int | str) -> tuple[LedgerEntry, ...]:
        """Return the history of one record, oldest first; each entry holds the changes to that record alone."""
        changes = ledger_change.c
        wanted = (
            select(ledger, *_CHANGE)
            .join(ledger_change, changes.seq == ledger.c.seq)
            .where(changes.record_table == table, changes.record_key == str(key))
            .order_by(ledger.c.seq, changes.nth)
        )
        rows = self._connection.execute(wanted)
        return tuple(_entry(row, (_change_text(row),)) for row in rows)

    def verify_chain(self) -> int | None:
        """Return the number of the first entry that is missing or is not as it was written; None if all are sound."""
        previous, expected = FIRST_PREVIOUS, 1
        changes = self._changes_by_entry()
        found, texts = next(changes, (None, ()))
        for row in self._connection.execute(select(ledger).order_by(ledger.c.seq).execution_options(yield_per=500)):
            own: tuple[ChangeText, ...] = ()
            if found == row.seq:
                own = tuple(texts)
                found, texts = next(changes, (None, ()))
            if row.seq != expected or not _is_sound(row, previous, own):
                return expected
            previous, expected = row.digest, expected + 1
        return None if found is None else expected

    def _changes_by_entry(self) -> Iterator[tuple[int, Iterable[ChangeText]]]:
        wanted = select(ledger_change.c.seq, *_CHANGE).order_by(ledger_change.c.seq, ledger_change.c.nth)
        rows = self._connection.execute(wanted.execution_options(yield_per=1000))
        for seq, group in groupby(rows, key=lambda row: int(row.seq)):
            yield seq, map(_change_text, group)

    def _whole(self, wanted: Select[Any]) -> LedgerEntry | None:
        row = self._connection.execute(wanted).one_or_none()
        if row is None:
            return None
        changes = select(*_CHANGE).where(ledger_change.c.seq == row.seq).order_by(ledger_change.c.nth)
        return _entry(row, [_change_text(change) for change in self._connection.execute(changes)])


def _change_text(row: Row[*tuple[Any, ...]]) -> ChangeText:
    return ChangeText(row.record_table, row.record_key, row.before, row.after)


def _entry(row: Row[*tuple[Any, ...]], changes: Iterable[ChangeText] = ()) -> LedgerEntry:
    return LedgerEntry(
        seq=row.seq,
        at=datetime.fromisoformat(row.at),
        action=action_of(row),
        previous=row.previous,
        digest=row.digest,
        changes=tuple(map(row_change, changes)),
    )


def _is_sound(row: Row[*tuple[Any, ...]], previous: str, changes: tuple[ChangeText, ...]) -> bool:
    return (
        row.previous == previous
        and all(change.is_canonical() for change in changes)
        and row.digest == digest(row.seq, row.at, action_of(row), previous, changes)
    )

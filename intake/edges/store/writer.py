"""Changing the library: one transaction, one entry of the ledger, all or nothing."""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import groupby
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, delete, func, insert, literal, null, select, update

from intake.edges.store.chain import FIRST_PREVIOUS, digest
from intake.edges.store.engines.bulk import insert_rows
from intake.edges.store.fetching import FIELD_NAMES, fetch_rows, key_column
from intake.edges.store.numbering import Keys, RecordKey, change_with_keys, give_keys, key_made, raise_counters
from intake.edges.store.pending import Pending, changed_meanwhile, inside_itself, prepare
from intake.edges.store.queries.ledger_entries import entry_of_request
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values, title_of, utc_text
from intake.edges.store.tables import TABLES, ledger, ledger_change
from intake.errors import ChangedMeanwhileError, RefusedError
from intake.model.changes import Action, Applied, Change, LedgerEntry, Record
from intake.model.places import Place


class LedgerHead(NamedTuple):
    """Number and digest of the latest entry; 0 and 64 zeros while there is none."""

    seq: int
    digest: str


class LibraryWriter(LibraryReader):
    """The library in a transaction that writes; whoever else wants to write waits until it ends."""

    def __init__(self, connection: Connection, now: Callable[[], datetime]) -> None:
        super().__init__(connection)
        self._now = now
        self.last: LedgerHead | None = None
        """The last entry that was made in this transaction."""

    def apply(self, action: Action, changes: Iterable[Change]) -> Applied:
        """Make the changes and enter them in the ledger.

        Provisional keys are replaced by the next free ones, in the action's subject too. Several changes of one record
        in a row count as one. A request that is in the ledger already changes nothing.

        Returns:
            The new entry and the keys that were given, or the entry that the same request made earlier.

        Raises:
            RefusedError: a record is not as the changes suppose, others need one that would be taken away, or a value
                cannot be stored. The transaction must then be left by that exception.
        """
        last, earlier = self._head(action.request)
        if earlier is not None:
            return Applied(earlier, {}, repeated=True)
        changes = list(changes)
        given: set[RecordKey] = set()
        if keys := give_keys(self.connection, changes):
            given = {(kind, keys[key]) for kind, key in map(key_made, changes) if key in keys}
            changes = [change_with_keys(change, keys) for change in changes]
            action = replace(
                action, subject=next((str(keys[k]) for k in keys if str(k) == action.subject), action.subject)
            )
        return self._make(action, prepare(changes), keys, given, last)

    def apply_prepared(self, action: Action, pending: Sequence[Pending]) -> Applied:
        """Make changes that have real keys and were prepared before, which needs no lock; see `apply`."""
        last, earlier = self._head(action.request)
        if earlier is not None:
            return Applied(earlier, {}, repeated=True)
        return self._make(action, pending, {}, set(), last)

    def raise_counters(self, highest: Mapping[str, int]) -> None:
        """Make sure that no number up to those that another library gave is given again, by name of the counter."""
        raise_counters(self.connection, highest)

    def _make(
        self,
        action: Action,
        pending: Sequence[Pending],
        keys: Keys,
        given: Collection[RecordKey],
        last: LedgerHead,
    ) -> Applied:
        self._check(pending, given)
        pending = [change for change in pending if change.before != change.after]
        try:
            self._write(pending)
            self._check_tree(pending)
            return Applied(self._enter(action, pending, last), keys)
        except (OverflowError, UnicodeEncodeError) as error:
            why = f"has a value that cannot be stored ({error})"
            raise RefusedError(f"The step '{action.name}'", why, "correct it") from error

    def _check(self, pending: Sequence[Pending], given: Collection[RecordKey]) -> None:
        """Compare what the changes suppose with what is stored.

        A record whose key was given just now cannot be stored, and `_alter` checks one that is alone.
        """
        altered = Counter(change.kind for change in pending if change.is_altered)
        for kind, group in groupby(pending, key=lambda change: change.kind):
            expected = {
                change.key: change
                for change in group
                if (kind, change.key) not in given and not (change.is_altered and altered[kind] == 1)
            }
            rows = fetch_rows(self.connection, kind, expected)
            for key, change in expected.items():
                row = rows.get(key)
                plain = change.entry.before
                if row is not None and plain is not None and row == tuple(map(plain.get, FIELD_NAMES[kind])):
                    continue
                stored = None if row is None else from_values(kind, row)
                if stored != change.before:
                    raise _not_as_supposed(change, stored)

    def _write(self, pending: Sequence[Pending]) -> None:
        """Write new records, then altered ones, then delete, last of all the records that others refer to."""
        for kind, group in groupby(
            (change for change in pending if change.before is None), key=lambda change: change.kind
        ):
            insert_rows(self.connection, TABLES[kind], [change.row for change in group])
        for _, group in groupby((change for change in pending if change.is_altered), key=lambda change: change.kind):
            self._alter(list(group))
        gone = [change for change in reversed(pending) if change.after is None]
        for kind, group in groupby(gone, key=lambda change: change.kind):
            away = delete(TABLES[kind]).where(key_column(kind) == bindparam("old_key"))
            self.connection.execute(away, [{"old_key": change.key} for change in group])

    def _alter(self, group: Sequence[Pending]) -> None:
        """Alter records of one kind; one that is alone is checked by the statement that alters it."""
        table, key = TABLES[group[0].kind], key_column(group[0].kind)
        if len(group) > 1:
            by_key = update(table).where(key == bindparam("old_key"))
            alike: dict[tuple[str, ...], list[dict[str, object]]] = {}
            for change in group:  # a column that stays as it is costs its indexes nothing
                columns = change.altered_columns()
                alike.setdefault(columns, []).append(
                    {"old_key": change.key, **{name: change.row[name] for name in columns}}
                )
            for rows in alike.values():
                self.connection.execute(by_key, rows)
            return
        (change,) = group
        same = (
            table.c[name].is_not_distinct_from(null() if value is None else literal(value, table.c[name].type))
            for name, value in (change.entry.before or {}).items()
        )
        if (
            self.connection.execute(update(table).where(key == change.key, *same).values(dict(change.row))).rowcount
            != 1
        ):
            raise _not_as_supposed(change, self.get(change.kind, change.key))

    def _check_tree(self, pending: Sequence[Pending]) -> None:
        """Refuse a place that is now inside itself; neither it nor anything below it could be reached any more."""
        known = {place.number: place for change in pending if isinstance(place := change.after, Place)}
        wanted = {place.parent for place in known.values() if place.parent} - known.keys()
        while wanted:
            above = self.get_many(Place, wanted)
            known.update((place.number, place) for place in above.values())
            wanted = {place.parent for place in above.values() if place.parent} - known.keys()
        for change in pending:
            place = change.after if isinstance(change.after, Place) else None
            passed: set[str] = set()
            while place is not None and place.parent is not None:
                passed.add(place.number)
                if place.parent in passed:
                    raise inside_itself(place.parent)
                place = known.get(place.parent)

    def _head(self, request: str | None) -> tuple[LedgerHead, LedgerEntry | None]:
        """Return the end of the ledger, which cannot change while this transaction writes, and the request's entry."""
        latest = ledger.c.seq == select(func.max(ledger.c.seq)).scalar_subquery()
        rows = select(ledger.c.seq, ledger.c.digest, ledger.c.request).order_by(ledger.c.seq)
        entries = self.connection.execute(rows.where(latest | (ledger.c.request == request))).all()
        head = LedgerHead(entries[-1].seq, entries[-1].digest) if entries else LedgerHead(0, FIRST_PREVIOUS)
        if request is not None and any(row.request == request for row in entries):
            return head, entry_of_request(self, request)
        return head, None

    def _enter(self, action: Action, pending: Sequence[Pending], last: LedgerHead) -> LedgerEntry:
        """Append the entry."""
        at = self._now()
        texts = [change.text for change in pending]
        seq, previous, at_text = last.seq + 1, last.digest, utc_text(at)
        own = digest(seq, at_text, action, previous, texts)
        row = {
            "seq": seq,
            "at": at_text,
            "name": action.name,
            "subject": action.subject,
            "station": action.station,
            "request": action.request,
            "note": action.note,
            "undoes": action.undoes,
            "previous": previous,
            "digest": own,
        }
        self.connection.execute(insert(ledger), [row])
        rows = [
            {
                "seq": seq,
                "nth": nth,
                "record_table": text.table,
                "record_key": text.key,
                "before": text.before,
                "after": text.after,
            }
            for nth, text in enumerate(texts)
        ]
        insert_rows(self.connection, ledger_change, rows)
        self.last = LedgerHead(seq, own)
        return LedgerEntry(
            seq, datetime.fromisoformat(at_text), action, previous, own, tuple(change.entry for change in pending)
        )


def _not_as_supposed(change: Pending, stored: Record | None) -> RefusedError:
    if change.before is None and stored is not None:
        return ChangedMeanwhileError(
            title_of(stored), "is in the library already", "look at it again and repeat the step"
        )
    if change.before is not None and stored is None:
        return ChangedMeanwhileError(
            title_of(change.before), "is no longer in the library", "look again and repeat the step"
        )
    record = stored or change.before or change.after
    return changed_meanwhile(record) if record is not None else RefusedError("The record", "is gone", "look again")

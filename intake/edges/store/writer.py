"""Changing the library: one transaction, one entry of the ledger, all or nothing."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import groupby

from sqlalchemy import Connection, bindparam, delete, func, insert, select, update

from intake.edges.store.chain import FIRST_PREVIOUS, digest
from intake.edges.store.fetching import fetch_any, key_column
from intake.edges.store.numbering import Keys, change_with_keys, give_keys
from intake.edges.store.pending import Pending, changed_meanwhile, inside_itself, prepare
from intake.edges.store.queries.ledger_entries import entry_of_request, ledger_entry
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import FIELDS, KINDS, from_plain, key_of, table_name, title_of, utc_text
from intake.edges.store.tables import TABLES, counter, ledger, ledger_change
from intake.errors import RefusedError
from intake.model.changes import Action, Applied, Change, LedgerEntry, Record, RowChange
from intake.model.identifiers import OwnKind
from intake.model.places import Place


class LibraryWriter(LibraryReader):
    """The library in a transaction that writes; whoever else wants to write waits until it ends."""

    def __init__(self, connection: Connection, now: Callable[[], datetime]) -> None:
        super().__init__(connection)
        self._now = now

    def new_id(self, kind: type[Record]) -> int:
        """Return an id that no record of this kind has or ever had.

        Raises:
            ValueError: the key of this kind is not a number.
        """
        if FIELDS[kind][0].base is not int:
            raise ValueError(f"the key of {table_name(kind)} is not a number")
        highest = self.connection.scalar(select(func.max(key_column(kind)))) or 0
        return self._count(table_name(kind), at_least=highest)

    def new_serial(self, kind: OwnKind) -> int:
        """Return a serial for an own number that was never given before, counting from 1."""
        return self._count(f"serial {kind.value}", at_least=0)

    def _count(self, name: str, *, at_least: int) -> int:
        row = counter.c.name == name
        last = self.connection.scalar(select(counter.c.last).where(row))
        value = max(last or 0, at_least) + 1
        if last is None:
            self.connection.execute(insert(counter).values(name=name, last=value))
        else:
            self.connection.execute(update(counter).where(row).values(last=value))
        return value

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
        if action.request is not None and (earlier := entry_of_request(self, action.request)) is not None:
            return Applied(earlier, {}, repeated=True)
        changes = list(changes)
        if keys := give_keys(self.connection, changes):
            changes = [change_with_keys(change, keys) for change in changes]
            action = replace(
                action, subject=next((str(keys[k]) for k in keys if str(k) == action.subject), action.subject)
            )
        return self.apply_prepared(action, prepare(changes), keys)

    def apply_prepared(self, action: Action, pending: Sequence[Pending], keys: Keys) -> Applied:
        """Make changes that were prepared before (`pending.prepare`), which needs no lock; see `apply`.

        Args:
            action: what was done.
            pending: the changes, with real keys.
            keys: those that their provisional keys were replaced by.
        """
        self._check(pending)
        pending = [one for one in pending if one.before != one.after]
        try:
            self._write(pending)
            self._check_tree(pending)
            return Applied(self._enter(action, pending), keys)
        except (OverflowError, UnicodeEncodeError) as error:
            why = f"holds a value that cannot be stored ({error})"
            raise RefusedError(f"The step '{action.name}'", why, "correct it") from error

    def _check(self, pending: Sequence[Pending]) -> None:
        """Compare what the changes suppose with what is stored."""
        for kind, group in groupby(pending, key=lambda one: one.kind):
            expected = {one.key: one for one in group}
            stored = {key_of(record): record for record in fetch_any(self.connection, kind, key_column(kind), expected)}
            for key, one in expected.items():
                if stored.get(key) != one.before:
                    raise _not_as_supposed(one, stored.get(key))

    def _write(self, pending: Sequence[Pending]) -> None:
        """Write new records, then altered ones, then take away what is to go, last of all what others refer to."""
        for kind, group in groupby((one for one in pending if one.before is None), key=lambda one: one.kind):
            self.connection.execute(insert(TABLES[kind]), [one.row() for one in group])
        altered = (one for one in pending if one.before is not None and one.after is not None)
        for kind, group in groupby(altered, key=lambda one: one.kind):
            by_key = update(TABLES[kind]).where(key_column(kind) == bindparam("old_key"))
            self.connection.execute(by_key, [{"old_key": one.key, **one.row()} for one in group])
        gone = [one for one in reversed(pending) if one.after is None]
        for kind, group in groupby(gone, key=lambda one: one.kind):
            away = delete(TABLES[kind]).where(key_column(kind) == bindparam("old_key"))
            self.connection.execute(away, [{"old_key": one.key} for one in group])

    def _check_tree(self, pending: Sequence[Pending]) -> None:
        """Refuse a place that is now inside itself; it and all below it would be found no more."""
        for one in pending:
            place = one.after if isinstance(one.after, Place) else None
            passed: set[str] = set()
            while place is not None and place.parent is not None:
                passed.add(place.number)
                if place.parent in passed:
                    raise inside_itself(place.parent)
                place = self.get(Place, place.parent)

    def _enter(self, action: Action, pending: Sequence[Pending]) -> LedgerEntry:
        """Append the entry; its number and the digest before it cannot change while this transaction writes."""
        latest = self.connection.execute(select(ledger.c.seq, ledger.c.digest).order_by(ledger.c.seq.desc()).limit(1))
        last, previous = latest.one_or_none() or (0, FIRST_PREVIOUS)
        at = self._now()
        texts = [one.text for one in pending]
        seq, at_text = last + 1, utc_text(at)
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
        if rows:
            self.connection.execute(insert(ledger_change), rows)
        return LedgerEntry(
            seq, datetime.fromisoformat(at_text), action, previous, own, tuple(one.entry for one in pending)
        )

    def reverse_of(self, seq: int) -> tuple[Change, ...]:
        """Return the changes that take an entry back; applying them, with `Action(undoes=seq)`, is the caller's part.

        Taking back an entry that itself took one back does the first again.

        Raises:
            RefusedError: there is no such entry, it changed nothing, it was taken back already, or something that it
                touched was altered since.
        """
        entry = ledger_entry(self, seq)
        if entry is None:
            raise RefusedError(f"Entry {seq}", "is not in the ledger", "list the latest entries and name one of them")
        if later := self._taken_back_by(seq):
            what = "was taken back already" if len(later) % 2 else "was taken back and done again"
            raise RefusedError(f"Entry {seq}", f"{what} by entry {later[-1]}", f"take back entry {later[-1]} instead")
        if not entry.changes:
            raise RefusedError(f"Entry {seq}", "changed no record", "name an entry that did")
        self._refuse_if_altered_since(entry)
        return tuple(_change_of(change).reversed() for change in reversed(entry.changes))

    def _taken_back_by(self, seq: int) -> list[int]:
        """Return the entry that took this one back, the one that took that back, and so on."""
        chain: list[int] = []
        last: int | None = seq
        while (
            last := self.connection.scalar(select(func.max(ledger.c.seq)).where(ledger.c.undoes == last))
        ) is not None:
            chain.append(last)
        return chain

    def _refuse_if_altered_since(self, entry: LedgerEntry) -> None:
        """Refuse if a later entry touched the same record, and was not taken back itself.

        A later entry and the one that took it back leave everything as it was, so that steps can be taken back one
        after the other, the latest first.
        """
        own, other = ledger_change.alias("own"), ledger_change.alias("other")
        same = (other.c.record_table == own.c.record_table) & (other.c.record_key == own.c.record_key)
        wanted = (
            select(ledger.c.seq, ledger.c.name, ledger.c.undoes, other.c.record_table, other.c.record_key)
            .select_from(own.join(other, same).join(ledger, ledger.c.seq == other.c.seq))
            .where(own.c.seq == entry.seq, other.c.seq > entry.seq)
            .order_by(other.c.seq.desc())
        )
        for seq, name, undoes, table, key in self.connection.execute(wanted):
            took_back_a_later_one = undoes is not None and undoes > entry.seq
            if not took_back_a_later_one and len(self._taken_back_by(seq)) % 2 == 0:
                why = f"cannot be taken back: {table.replace('_', ' ')} {key} was altered since by entry {seq} ({name})"
                raise RefusedError(f"Entry {entry.seq}", why, f"take back entry {seq} first")


def _not_as_supposed(one: Pending, stored: Record | None) -> RefusedError:
    if one.before is None and stored is not None:
        return RefusedError(title_of(stored), "is in the library already", "look at it again and repeat the step")
    if one.before is not None and stored is None:
        return RefusedError(title_of(one.before), "is no longer in the library", "look again and repeat the step")
    record = stored or one.before or one.after
    return changed_meanwhile(record) if record is not None else RefusedError("The record", "is gone", "look again")


def _change_of(change: RowChange) -> Change:
    kind = KINDS[change.table]
    before = None if change.before is None else from_plain(kind, change.before)
    after = None if change.after is None else from_plain(kind, change.after)
    return Change(before, after)

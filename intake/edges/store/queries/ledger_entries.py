"""The ledger: what was done, to what, and whether the chain is whole."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any, Generic

from sqlalchemy import ColumnElement, CompoundSelect, Row, Select, Text, and_, cast, func, literal, or_, select, union

from intake.edges.store.chain import FIRST_PREVIOUS, ChangeText
from intake.edges.store.fetching import in_lots
from intake.edges.store.queries.sightings import count_waiting
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import KINDS, RecordType, from_plain, key_of, state_of, table_name
from intake.edges.store.tables import TABLES, ledger, ledger_change
from intake.model.boxes import Box, BoxState, Discrepancy
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Record, RowChange
from intake.model.condition import ConditionReport, CopyPicture
from intake.model.editions import Copy, CopyState, Edition
from intake.model.sightings import Query, Sighting
from intake.model.valuations import Valuation

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


_KINDS_BY_NAME = {kind.value: kind for kind in ActionKind}


def action_of(row: Row[*tuple[Any, ...]]) -> Action:
    """Return the action of a row of the ledger; its kind is UNKNOWN where no kind has the row's name."""
    kind = _KINDS_BY_NAME.get(row.name, ActionKind.UNKNOWN)
    unknown_name = row.name if kind is ActionKind.UNKNOWN else ""
    return Action(kind, row.subject, row.station, row.request, row.note, row.undoes, unknown_name)


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


_COPY = TABLES[Copy].c


@dataclass(frozen=True, slots=True)
class Counts:
    """The number of editions, copies, boxes, waiting queries and ledger entries, for a status line."""

    editions: int
    copies: Mapping[CopyState, int]
    boxes: Mapping[BoxState, int]
    waiting: int
    entries: int


def count_records(reader: LibraryReader) -> Counts:
    """Count the records of the library."""
    copies = select(_COPY.state, func.count()).group_by(_COPY.state)
    boxes = select(TABLES[Box].c.state, func.count()).group_by(TABLES[Box].c.state)
    return Counts(
        editions=reader.connection.scalar(select(func.count()).select_from(TABLES[Edition])) or 0,
        copies={state_of(CopyState, state, "A copy"): count for state, count in reader.connection.execute(copies)},
        boxes={state_of(BoxState, state, "A box"): count for state, count in reader.connection.execute(boxes)},
        waiting=count_waiting(reader),
        entries=reader.connection.scalar(select(func.max(ledger.c.seq))) or 0,
    )


def changes_since(reader: LibraryReader, seq: int) -> Iterator[tuple[int, Change]]:
    """Yield every change after an entry of the ledger, with the number of its own entry, oldest first."""
    column = ledger_change.c
    statement = select(column.seq, column.record_table, column.record_key, column.before, column.after)
    statement = statement.where(column.seq > seq).order_by(column.seq, column.nth)
    for row in reader.connection.execute(statement.execution_options(yield_per=1000)):
        change = row_change(ChangeText(row.record_table, row.record_key, row.before, row.after))
        kind = KINDS[change.table]
        before = None if change.before is None else from_plain(kind, change.before)
        after = None if change.after is None else from_plain(kind, change.after)
        yield row.seq, Change(before, after)


def ledger_head(reader: LibraryReader) -> str:
    """Return the digest of the latest entry, 64 zeros while there is none."""
    latest = select(ledger.c.digest).order_by(ledger.c.seq.desc()).limit(1)
    return reader.connection.scalar(latest) or FIRST_PREVIOUS


def ledger_entry(reader: LibraryReader, seq: int) -> LedgerEntry | None:
    """Return an entry with its changes."""
    return _whole(reader, select(ledger).where(ledger.c.seq == seq))


def entry_of_request(reader: LibraryReader, request: str) -> LedgerEntry | None:
    """Return the entry, with its changes, that a station's request has made."""
    return _whole(reader, select(ledger).where(ledger.c.request == request))


def latest_entries(
    reader: LibraryReader, limit: int = 50, before: int | None = None, *, about: tuple[str, str] | None = None
) -> tuple[LedgerEntry, ...]:
    """Return the latest entries, newest first, without their changes.

    Args:
        reader: of the library.
        limit: how many at most.
        before: only entries with a lower number.
        about: table and key of a record: only entries that changed it, or were made for it.
    """
    statement = select(ledger).order_by(ledger.c.seq.desc()).limit(limit)
    if about is not None:
        changes = ledger_change.c
        changing = select(changes.seq).where(changes.record_table == about[0], changes.record_key == about[1])
        statement = statement.where(or_(ledger.c.subject == about[1], ledger.c.seq.in_(changing)))
    if before is not None:
        statement = statement.where(ledger.c.seq < before)
    return tuple(_entry(row) for row in reader.connection.execute(statement))


def history_of_record(reader: LibraryReader, table: str, key: int | str) -> tuple[LedgerEntry, ...]:
    """Return the history of one record, oldest first; each entry has the changes to that record alone."""
    changes = ledger_change.c
    statement = (
        select(ledger, *_CHANGE)
        .join(ledger_change, changes.seq == ledger.c.seq)
        .where(changes.record_table == table, changes.record_key == str(key))
        .order_by(ledger.c.seq, changes.nth)
    )
    rows = reader.connection.execute(statement)
    return tuple(_entry(row, (_change_text(row),)) for row in rows)


@dataclass(frozen=True, slots=True)
class RecordChange(Generic[RecordType]):
    """A change of one record: what it was before, None where it was made, and who changed it."""

    before: RecordType | None
    station: str


def record_changes_since(reader: LibraryReader, record: RecordType, seq: int) -> tuple[RecordChange[RecordType], ...]:
    """Return the changes of a record after an entry of the ledger, oldest first."""
    same: Record = record
    changes = ledger_change.c
    itself = (changes.record_table == table_name(type(same))) & (changes.record_key == str(key_of(same)))
    statement = (
        select(changes.before, ledger.c.station)
        .join(ledger, ledger.c.seq == changes.seq)
        .where(itself, changes.seq > seq)
        .order_by(changes.seq, changes.nth)
    )
    return tuple(
        RecordChange(None if row.before is None else from_plain(type(record), json.loads(row.before)), row.station)
        for row in reader.connection.execute(statement)
    )


_ABOUT_COPIES = (ConditionReport, CopyPicture, Discrepancy, Query, Sighting, Valuation)
"""Records that name a copy."""


def history_of_copy(reader: LibraryReader, accession: str) -> tuple[LedgerEntry, ...]:
    """Return the history of a copy and of what was recorded about it, oldest first, with the changes of its record."""
    changes, records = ledger_change.c, _records_about(accession).subquery()
    same = and_(changes.record_table == records.c.record_table, changes.record_key == records.c.record_key)
    statement = (
        select(ledger, *_CHANGE)
        .select_from(records)
        .join(ledger_change, same)
        .join(ledger, changes.seq == ledger.c.seq)
        .where(or_(changes.record_table == table_name(Copy), _names(accession)))
        .order_by(ledger.c.seq, changes.nth)
    )
    entries: list[LedgerEntry] = []
    for _, group in groupby(reader.connection.execute(statement), key=lambda row: int(row.seq)):
        rows = list(group)
        own = [_change_text(row) for row in rows if row.record_table == table_name(Copy)]
        entries.append(_entry(rows[0], own))
    return tuple(entries)


def _records_about(accession: str) -> CompoundSelect[Any]:
    """Select (record_table, record_key) of a copy, and of every record that names it or did so before an undo.

    Each part is looked up by an index. What named a copy and does no more was taken back, so it is in an entry that
    undoes another: these are few.
    """
    parts = [
        select(literal(table_name(kind)).label("record_table"), cast(_key(kind), Text).label("record_key")).where(
            TABLES[kind].c.copy == accession
        )
        for kind in _ABOUT_COPIES
    ]
    changes = ledger_change.c
    undoing = select(ledger.c.seq).where(ledger.c.undoes > 0)
    # Wrapped, so that the few entries are looked up by their numbers, and not every change by its table.
    about = func.coalesce(changes.record_table, "").in_([table_name(kind) for kind in _ABOUT_COPIES])
    taken_back = select(changes.record_table, changes.record_key).where(
        changes.seq.in_(undoing), about, _names(accession)
    )
    itself = select(literal(table_name(Copy)).label("record_table"), literal(accession).label("record_key"))
    return union(itself, *parts, taken_back)


def _names(accession: str) -> ColumnElement[bool]:
    """Return the condition that a change names a copy: its canonical form has no space outside of texts."""
    named, changes = f'"copy":"{accession}"', ledger_change.c
    return or_(changes.after.contains(named, autoescape=True), changes.before.contains(named, autoescape=True))


def _key(kind: type[Record]) -> ColumnElement[Any]:
    return next(iter(TABLES[kind].primary_key))


def actions_of(reader: LibraryReader, seqs: Iterable[int]) -> dict[int, Action]:
    """Return what some entries of the ledger did, by their numbers."""
    found: dict[int, Action] = {}
    for lot in in_lots(dict.fromkeys(seqs)):
        rows = reader.connection.execute(select(ledger).where(ledger.c.seq.in_(lot)))
        found |= {row.seq: action_of(row) for row in rows}
    return found


def _whole(reader: LibraryReader, statement: Select[Any]) -> LedgerEntry | None:
    row = reader.connection.execute(statement).one_or_none()
    if row is None:
        return None
    changes = select(*_CHANGE).where(ledger_change.c.seq == row.seq).order_by(ledger_change.c.nth)
    return _entry(row, [_change_text(change) for change in reader.connection.execute(changes)])

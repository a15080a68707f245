"""The keys that records get when a plan is applied, in place of its provisional ones (`intake.model.changes`).

Keys count upwards and are never given twice, even after an undo: `counter` has the highest ever given. An own number
that a person gave to something themselves is passed over.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, case, func, select, text
from sqlalchemy.dialects import sqlite

from intake.edges.store.fetching import in_lots, key_column
from intake.edges.store.rows import FIELDS, RECORD_TYPES, key_name, table_name
from intake.edges.store.tables import REFERENCES, counter
from intake.model.boxes import Box
from intake.model.changes import Change, Record, is_provisional
from intake.model.editions import Copy
from intake.model.identifiers import OwnKind, own_number
from intake.model.places import Place

if TYPE_CHECKING:
    from sqlalchemy.dialects import postgresql

Key = int | str
Keys = Mapping[Key, Key]
RecordKey = tuple[type[Record], Key]

OWN_KINDS: Mapping[type[Record], OwnKind] = {Copy: OwnKind.COPY, Box: OwnKind.BOX, Place: OwnKind.PLACE}

KEY_FIELDS: Mapping[type[Record], tuple[str, ...]] = {
    kind: tuple(
        field.name
        for field in FIELDS[kind]
        if field.name == key_name(kind) or f"{table_name(kind)}.{field.name}" in REFERENCES
    )
    for kind in RECORD_TYPES
}
"""The fields of each kind of record that are a key: its own, or another record's."""

_COUNT = text(
    "INSERT INTO counter (name, last) VALUES (:name, :last) ON CONFLICT (name) DO UPDATE SET last = excluded.last"
)


def key_made(change: Change) -> RecordKey:
    """Return the kind and the key of the record that a change is about."""
    record = change.after if change.after is not None else change.before
    if record is None:
        raise ValueError("a change of nothing into nothing")
    return type(record), getattr(record, key_name(type(record)))


def makes_keys(changes: Iterable[Change]) -> bool:
    """Return whether a plan makes a record with a provisional key."""
    return any(change.before is None and is_provisional(key_made(change)[1]) for change in changes)


def give_keys(connection: Connection, changes: Iterable[Change]) -> dict[Key, Key]:
    """Give every provisional key of the plan's new records the next free one, in a few statements for each kind.

    A number that the plan itself gives to another new record is not free.
    """
    asked: dict[type[Record], list[Key]] = {}
    given: set[Key] = set()
    for change in changes:
        if change.before is None and change.after is not None:
            kind = type(change.after)
            key = getattr(change.after, key_name(kind))
            if is_provisional(key):
                asked.setdefault(kind, []).append(key)
            elif kind in OWN_KINDS:
                given.add(key)
    keys: dict[Key, Key] = {}
    for kind, provisional in asked.items():
        unique = list(dict.fromkeys(provisional))
        count = len(unique)
        free = _own_numbers(connection, kind, count, given) if kind in OWN_KINDS else _ids(connection, kind, count)
        keys |= zip(unique, free, strict=True)
    return keys


def with_keys(record: Record, keys: Keys) -> Record:
    """Return a record with the real keys in place of the provisional ones.

    Raises:
        KeyError: it refers to a record that the plan does not make.
    """
    real_keys: dict[str, Any] = {}
    for name in KEY_FIELDS[type(record)]:
        value = getattr(record, name)
        if value is not None and is_provisional(value):
            real_keys[name] = keys[value]
    return replace(record, **real_keys) if real_keys else record


def change_with_keys(change: Change, keys: Keys) -> Change:
    """Return a change with the real keys."""
    before = None if change.before is None else with_keys(change.before, keys)
    return Change(before, None if change.after is None else with_keys(change.after, keys))


def raise_counters(connection: Connection, highest: Mapping[str, int]) -> None:
    """Make sure that no number up to those that another library gave is given again, by name of the counter."""
    for name, last in highest.items():
        given = _insert(connection).values(name=name, last=last)
        most = case((given.excluded.last > counter.c.last, given.excluded.last), else_=counter.c.last)
        connection.execute(given.on_conflict_do_update(index_elements=["name"], set_={"last": most}))


COUNTERS = frozenset(
    {f"serial {OWN_KINDS[kind].value}" if kind in OWN_KINDS else table_name(kind) for kind in RECORD_TYPES}
)
"""The names of the counters: one for each kind of record."""


def _insert(connection: Connection) -> "sqlite.Insert | postgresql.Insert":
    """Return an insertion into the counters that may say what happens where the name is there."""
    if connection.dialect.name == "sqlite":
        return sqlite.insert(counter)
    from sqlalchemy.dialects import postgresql  # noqa: PLC0415 - 40 ms that a library in a folder does without

    return postgresql.insert(counter)


def _ids(connection: Connection, kind: type[Record], count: int) -> Iterable[Key]:
    key = key_column(kind)
    highest = select(func.coalesce(func.max(key), 0)).scalar_subquery()
    given = _insert(connection).values(name=table_name(kind), last=highest + count)
    on = counter.c.last + count
    most = case((on > given.excluded.last, on), else_=given.excluded.last)
    counted = given.on_conflict_do_update(index_elements=["name"], set_={"last": most}).returning(counter.c.last)
    last: int = connection.execute(counted).scalar_one()
    return range(last - count + 1, last + 1)


def _own_numbers(connection: Connection, kind: type[Record], count: int, besides: Collection[Key]) -> Iterable[Key]:
    name = f"serial {OWN_KINDS[kind].value}"
    last = connection.scalar(select(counter.c.last).where(counter.c.name == name)) or 0
    given: list[str] = []
    lot = count
    while len(given) < count:
        tried = {own_number(OWN_KINDS[kind], serial): serial for serial in range(last + 1, last + lot + 1)}
        taken = {
            number
            for numbers in in_lots(tried)
            for number in connection.scalars(select(key_column(kind)).where(key_column(kind).in_(numbers)))
        }
        taken.update(besides)
        given += [number for number in tried if number not in taken][: count - len(given)]
        last = tried[given[-1]] if len(given) == count else last + lot
        lot *= 2  # a person may have given thousands of them in a row
    connection.execute(_COUNT, {"name": name, "last": last})
    return given

"""Fetching records of any kind: the answer is a frozen record."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import Column, ColumnElement, Connection, Select, select

from intake.edges.store.rows import FIELDS, RecordType, from_values, key_name
from intake.edges.store.tables import TABLES

AT_ONCE = 500
"""Values in one `IN (…)`: well below what any database takes."""


COLUMNS: Mapping[type, tuple[Column[Any], ...]] = {
    kind: tuple(table.c[field.name] for field in FIELDS[kind]) for kind, table in TABLES.items()
}
"""The columns with the fields of each kind of record, in their order."""


FIELD_NAMES: Mapping[type, tuple[str, ...]] = {kind: tuple(field.name for field in FIELDS[kind]) for kind in COLUMNS}
"""The names of the same."""


def key_column(kind: type) -> Column[Any]:
    """Return the column of the key."""
    return TABLES[kind].c[key_name(kind)]


def in_lots(values: Iterable[Any], size: int = AT_ONCE) -> Iterator[Sequence[Any]]:
    """Cut values into lots.

    >>> list(in_lots([1, 2, 3], 2))
    [[1, 2], [3]]
    """
    listed = list(values)
    return (listed[start : start + size] for start in range(0, len(listed), size))


def fetch(connection: Connection, kind: type[RecordType], *where: ColumnElement[bool]) -> tuple[RecordType, ...]:
    """Return the records of a kind for which all conditions hold, by key."""
    statement: Select[Any] = select(*COLUMNS[kind]).where(*where).order_by(key_column(kind))
    return tuple(from_values(kind, tuple(row)) for row in connection.execute(statement))


def fetch_one(connection: Connection, kind: type[RecordType], key: int | str) -> RecordType | None:
    """Return the record that has the key."""
    return next(iter(fetch(connection, kind, key_column(kind) == key)), None)


def fetch_rows(connection: Connection, kind: type, keys: Iterable[int | str]) -> dict[int | str, tuple[Any, ...]]:
    """Return the plain values of the records with these keys, in the order of their fields, lot by lot."""
    nth, column = FIELD_NAMES[kind].index(key_name(kind)), key_column(kind)
    statements = (select(*COLUMNS[kind]).where(column.in_(lot)) for lot in in_lots(dict.fromkeys(keys)))
    return {row[nth]: tuple(row) for statement in statements for row in connection.execute(statement)}


def fetch_any(
    connection: Connection, kind: type[RecordType], column: Column[Any], values: Iterable[Any]
) -> tuple[RecordType, ...]:
    """Return the records whose column has one of the values, lot by lot."""
    lots = in_lots(dict.fromkeys(values))
    return tuple(record for lot in lots for record in fetch(connection, kind, column.in_(lot)))

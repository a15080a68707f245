"""Whether every record that another one refers to is there.

The database refuses to break a reference, but only for who asks it to: a hand that edits with another tool does not.
"""

from typing import NamedTuple

from sqlalchemy import Select, Subquery, Text, cast, exists, literal, select, union_all

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import REFERENCES, metadata


class DanglingReference(NamedTuple):
    """A record that refers to one that is not there.

    Attributes:
        table: with the record.
        key: of the record.
        column: that refers.
        value: what it refers to.
    """

    table: str
    key: str
    column: str
    value: str


def first_dangling(reader: LibraryReader) -> DanglingReference | None:
    """Return a record that refers to one that is not there; None where there is none."""
    with undecoded(reader.connection):
        row = reader.connection.execute(_DANGLING).first()
    return None if row is None else DanglingReference(row.in_table, row.own_key, row.of_column, row.refers_to)


def _of_reference(name: str, target: str) -> Select[tuple[str, str, str, str]]:
    table, column = name.split(".")
    other, key = target.split(".")
    own, others = metadata.tables[table], metadata.tables[other].alias("other")
    (own_key,) = own.primary_key.columns
    value = own.c[column]
    found: Subquery = (
        select(
            literal(table).label("in_table"),
            cast(own_key, Text).label("own_key"),
            literal(column).label("of_column"),
            cast(value, Text).label("refers_to"),
        )
        .where(value.is_not(None), ~exists().where(others.c[key] == value))
        .limit(1)
        .subquery()
    )
    return select(found)


_DANGLING = union_all(*(_of_reference(*reference) for reference in REFERENCES.items())).limit(1)

"""Whether every record that another one refers to is there, and every place is in a room.

The database refuses to break a reference, but only for who asks it to: a hand that edits with another tool does not. A
place that is inside itself refers to one that is there, and is in no room all the same. All is one statement.
"""

from typing import NamedTuple

from sqlalchemy import Select, Subquery, Text, cast, exists, literal, select, union_all

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import REFERENCES, TABLES, metadata
from intake.model.places import Place


class DanglingReference(NamedTuple):
    """A record that refers to one that is not there.

    Attributes:
        table: with the record.
        key: of the record.
        column: that refers.
        value: what it refers to.
        is_there: whether that is there after all, and the place is in a circle of places, or in one that is.
    """

    table: str
    key: str
    column: str
    value: str
    is_there: bool = False


def first_dangling(reader: LibraryReader) -> DanglingReference | None:
    """Return a record that refers to one that is not there, or a place in no room; None where there is none."""
    with undecoded(reader.connection):
        row = reader.connection.execute(_DANGLING).first()
    if row is None:
        return None
    return DanglingReference(row.in_table, row.own_key, row.of_column, row.refers_to, bool(row.is_there))


def _of_reference(name: str, target: str) -> Select[tuple[str, str, str, str, int]]:
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
            literal(0).label("is_there"),
        )
        .where(value.is_not(None), ~exists().where(others.c[key] == value))
        .limit(1)
        .subquery()
    )
    return select(found)


def _of_circle() -> Select[tuple[str, str, str, str, int]]:
    """Select a place whose parent is there, but which no way down from the rooms reaches."""
    place = TABLES[Place]
    reached = select(place.c.number).where(place.c.parent.is_(None)).cte("reached", recursive=True)
    reached = reached.union(select(place.c.number).where(place.c.parent == reached.c.number))
    found: Subquery = (
        select(
            literal(place.name).label("in_table"),
            cast(place.c.number, Text).label("own_key"),
            literal("parent").label("of_column"),
            cast(place.c.parent, Text).label("refers_to"),
            literal(1).label("is_there"),
        )
        .where(place.c.number.not_in(select(reached.c.number)))
        .limit(1)
        .subquery()
    )
    return select(found)


_DANGLING = union_all(*(_of_reference(*reference) for reference in REFERENCES.items()), _of_circle()).limit(1)

"""Whether every record that another one refers to is there, and every place is in a room.

The database refuses to break a reference, but only for who asks it to: a hand that edits with another tool does not. A
place that is inside itself refers to one that is there, and is in no room all the same. All is one statement.
"""

from typing import NamedTuple

from sqlalchemy import text

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


def _of_reference(name: str, target: str) -> str:
    (table, column), (other, key) = name.split("."), target.split(".")
    (own_key,) = metadata.tables[table].primary_key.columns
    return f"""
        SELECT * FROM (SELECT '{table}' AS in_table, CAST("{own_key.name}" AS TEXT) AS own_key,
            '{column}' AS of_column, CAST("{column}" AS TEXT) AS refers_to, 0 AS is_there
        FROM "{table}" AS own WHERE "{column}" IS NOT NULL
            AND NOT EXISTS (SELECT 1 FROM "{other}" AS other WHERE other."{key}" = own."{column}") LIMIT 1) AS found
        """  # noqa: S608 - own names


_OF_CIRCLE = """
    SELECT * FROM (SELECT 'place' AS in_table, CAST(number AS TEXT) AS own_key,
        'parent' AS of_column, CAST(parent AS TEXT) AS refers_to, 1 AS is_there
    FROM place WHERE number NOT IN (SELECT number FROM reached) LIMIT 1) AS found
    """
"""A place whose parent is there, but which no way down from the rooms reaches."""

# As text: to build and compile it of objects took 25 ms at the first reading of every command.
_DANGLING = text(f"""
    WITH RECURSIVE reached (number) AS (
        SELECT number FROM place WHERE parent IS NULL
        UNION SELECT place.number FROM place JOIN reached ON place.parent = reached.number)
    {"UNION ALL".join((*(_of_reference(*reference) for reference in REFERENCES.items()), _OF_CIRCLE))} LIMIT 1""")  # noqa: S608 - as above

"""What shows without reading it that a ledger lacks entries: a gap in its numbers, or a record that it never had."""

from typing import NamedTuple

from sqlalchemy import func, select, text

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import FIELDS, table_name
from intake.edges.store.tables import TABLES, ledger


class UnknownRecord(NamedTuple):
    """A record that the ledger does not have.

    Attributes:
        table: of the record.
        key: its number.
        was_given: whether the counter of its kind has its number, as for every record that the program made.
    """

    table: str
    key: str
    was_given: bool


def first_gap(reader: LibraryReader) -> int | None:
    """Return the number of the first entry that is missing before the last one; None where none is."""
    with undecoded(reader.connection):
        count, first, last = reader.connection.execute(
            select(func.count(), func.min(ledger.c.seq), func.max(ledger.c.seq)).select_from(ledger)
        ).one()
        if not count or (first == 1 and last == count):
            return None
        if first != 1:
            return 1
        before = reader.connection.scalar(_BEFORE_GAP)
    return None if before is None else int(before) + 1


def newest_unknown(reader: LibraryReader) -> UnknownRecord | None:
    """Return a record with the highest number of its kind that the ledger does not have; None where it has all these.

    The last entries of a ledger mostly made records: where they were cut off, these are still in the tables.
    """
    with undecoded(reader.connection):
        row = reader.connection.execute(_NEWEST_UNKNOWN).first()
    return None if row is None else UnknownRecord(row.of_table, str(row.number), bool(row.was_given))


_BEFORE_GAP = text(
    "SELECT min(seq) FROM ledger AS own WHERE NOT EXISTS (SELECT 1 FROM ledger AS next WHERE next.seq = own.seq + 1)"
)


def _of_table(name: str, key: str) -> str:
    return f"""
        SELECT '{name}' AS of_table, newest.number AS number,
            EXISTS (SELECT 1 FROM counter WHERE name = '{name}' AND last >= newest.number) AS was_given
        FROM (SELECT max("{key}") AS number FROM "{name}") AS newest
        WHERE newest.number IS NOT NULL AND NOT EXISTS (SELECT 1 FROM ledger_change
            WHERE record_table = '{name}' AND record_key = CAST(newest.number AS TEXT))
        """  # noqa: S608 - own names


_NEWEST_UNKNOWN = text(
    " UNION ALL ".join(
        _of_table(table_name(kind), FIELDS[kind][0].name) for kind in TABLES if FIELDS[kind][0].base is int
    )
)

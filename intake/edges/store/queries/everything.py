"""All records of a kind, one after the other, for a library that is carried over whole."""

from collections.abc import Iterator

from sqlalchemy import exists, func, select

from intake.edges.store.fetching import COLUMNS, key_column
from intake.edges.store.numbering import OWN_KINDS
from intake.edges.store.queries.boxes import made_out_of_a_box
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import RECORD_TYPES, RecordType, from_values
from intake.edges.store.tables import TABLES, counter
from intake.model.changes import Record
from intake.model.editions import Copy


def each_record(reader: LibraryReader, kind: type[RecordType]) -> Iterator[RecordType]:
    """Yield every record of a kind by its key, own numbers by their serials, without loading them all."""
    key = key_column(kind)
    # The check digits have one width, so that of two own numbers the shorter has the smaller serial.
    order = (func.length(key), key) if kind in OWN_KINDS else (key,)
    statement = select(*COLUMNS[kind]).order_by(*order).execution_options(yield_per=1000)
    return (from_values(kind, tuple(row)) for row in reader.connection.execute(statement))


def count_records_of(reader: LibraryReader, kind: type[Record]) -> int:
    """Count the records of a kind."""
    return reader.connection.scalar(select(func.count()).select_from(TABLES[kind])) or 0


def has_records(reader: LibraryReader) -> bool:
    """Return whether the library has a record of any kind."""
    return any(reader.connection.scalar(select(exists(select(key_column(kind))))) for kind in RECORD_TYPES)


def copies_made_out_of_a_box(reader: LibraryReader) -> frozenset[str]:
    """Return the copies that were recorded as they came out of a box, and that no list had named."""
    return frozenset(reader.connection.scalars(select(TABLES[Copy].c.accession).where(made_out_of_a_box())))


def highest_numbers(reader: LibraryReader) -> dict[str, int]:
    """Return the highest number ever given, by name of the counter."""
    return {row.name: row.last for row in reader.connection.execute(select(counter).order_by(counter.c.name))}

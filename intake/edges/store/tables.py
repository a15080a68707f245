"""The tables: one for each kind of record, a field of the record being a column, and those of the ledger.

Besides its fields, `edition` has `title_key`, under which other editions of the same title are found, and what is
`SEARCHED` has `words`, the folded words to search it by (`intake.edges.store.derived`). `counter` holds the highest
number ever given for each kind, so that no number is given twice, even after an undo.
"""

import json
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    SmallInteger,
    Table,
    Text,
    text,
)
from sqlalchemy.types import TypeDecorator, TypeEngine

from intake.edges.store.rows import CHECK, FIELDS, RECORD_TYPES, Field, table_name
from intake.errors import StoreError
from intake.model.changes import Record

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}
metadata = MetaData(naming_convention=NAMES)


_LIST_ENCODER = json.JSONEncoder(ensure_ascii=False)


class TextList(TypeDecorator[list[str]]):
    """A list of texts in one column, as JSON that keeps every script readable."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: list[str] | None, dialect: Dialect) -> str | None:  # noqa: ARG002 - given by name
        """Write the list as JSON."""
        return None if value is None else _LIST_ENCODER.encode(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> list[str] | None:  # noqa: ARG002 - as above
        """Read the list from JSON.

        Raises:
            StoreError: it is none; somebody else than the program wrote it.
        """
        if value is None:
            return None
        try:
            found = json.loads(value)
            if isinstance(found, list):
                return found
        except (TypeError, ValueError, RecursionError):
            pass
        raise StoreError("A record", f"cannot be read: one of its lists is {repr(value)[:60]}", CHECK)


class NumberedTruth(TypeDecorator[bool]):
    """A truth value as 0 or 1, as SQLite keeps it in any case: so an archive is the same for every database."""

    impl = SmallInteger
    cache_ok = True

    def process_bind_param(self, value: bool | None, dialect: Dialect) -> int | None:  # noqa: ARG002, FBT001 - given by name
        """Write it as a number."""
        return None if value is None else int(value)

    def process_result_value(self, value: int | None, dialect: Dialect) -> bool | None:  # noqa: ARG002 - as above
        """Read it from a number."""
        return None if value is None else bool(value)


WHOLE = Integer().with_variant(BigInteger(), "postgresql")

COLUMN_TYPES: dict[type, TypeEngine[Any]] = {
    int: WHOLE,
    float: Float(),
    bool: Boolean().with_variant(NumberedTruth(), "postgresql"),
    tuple: TextList(),
    # Texts, so that a value comes back exactly as it went in, whatever the database makes of dates and decimals.
    str: Text(),
    Decimal: Text(),
    date: Text(),
    datetime: Text(),
}

REFERENCES = {
    "edition.set_id": "book_set.id",
    "printing.edition_id": "edition.id",
    "copy.edition_id": "edition.id",
    "copy.printing_id": "printing.id",
    "copy.box": "box.number",
    "copy.place": "place.number",
    "box.consignment": "consignment.reference",
    "place.parent": "place.number",
    "sighting.copy": "copy.accession",
    "sighting.box": "box.number",
    "sighting.place": "place.number",
    "sighting.picture": "picture.sha256",
    "query.box": "box.number",
    "query.picture": "picture.sha256",
    "query.copy": "copy.accession",
    "query.same_as": "query.id",
    "valuation.copy": "copy.accession",
    "boxpicture.box": "box.number",
    "boxpicture.picture": "picture.sha256",
    "discrepancy.box": "box.number",
    "discrepancy.copy": "copy.accession",
    "conditionreport.copy": "copy.accession",
    "copypicture.copy": "copy.accession",
    "copypicture.picture": "picture.sha256",
    "copypicture.report": "conditionreport.id",
    "setvalue.set_id": "book_set.id",
    "withdrawal.copy": "copy.accession",
}
# Every reference is indexed too: taking a record away has to look for what still points to it.
INDEXED = {
    "copy.why",
    "edition.collects",
    "edition.key",
    "edition.number",
    "edition.title_key",
    "copy.state",
    "earlierlisting.file",
    "earlierlisting.record_key",
    "query.state",
    *REFERENCES,
}
INDEXED.add("rate.currency")
SEARCHED = {"edition", "book_set"}
ADDED_LATER = {
    **dict.fromkeys(("consignment.policy", "consignment.contract", "consignment.bill_of_lading"), "''"),
    "edition.collects": "''",
    "edition.currency": "''",
    "edition.why": "''",
    "copy.why": "''",
    "copy.kept": "0",
}
"""Columns that a migration added to rows that were there, with what these got."""


def _column(table: str, field: Field, *, key: bool) -> Column[Any]:
    name = f"{table}.{field.name}"
    reference = [ForeignKey(REFERENCES[name])] if name in REFERENCES else []
    return Column(
        field.name,
        COLUMN_TYPES.get(field.base, Text()),
        *reference,
        primary_key=key,
        nullable=field.optional,
        index=name in INDEXED,
        autoincrement=False if key else "auto",
        server_default=text(ADDED_LATER[name]) if name in ADDED_LATER else None,
    )


def _table(kind: type[Record]) -> Table:
    name = table_name(kind)
    columns = [_column(name, field, key=nth == 0) for nth, field in enumerate(FIELDS[kind])]
    if name == "edition":
        columns.append(Column("title_key", Text, nullable=False, index=True))
    if name in SEARCHED:
        columns.append(Column("words", Text, nullable=False, server_default=text("''")))
    return Table(name, metadata, *columns)


TABLES: dict[type, Table] = {kind: _table(kind) for kind in RECORD_TYPES}

ledger = Table(
    "ledger",
    metadata,
    Column("seq", WHOLE, primary_key=True, autoincrement=False),
    Column("at", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("station", Text, nullable=False),
    Column("request", Text, unique=True),
    Column("note", Text, nullable=False),
    Column("undoes", WHOLE, ForeignKey("ledger.seq"), index=True),
    Column("previous", Text, nullable=False),
    Column("digest", Text, nullable=False),
)
ledger_change = Table(
    "ledger_change",
    metadata,
    Column("seq", WHOLE, ForeignKey("ledger.seq"), primary_key=True, autoincrement=False),
    Column("nth", WHOLE, primary_key=True, autoincrement=False),
    Column("record_table", Text, nullable=False),
    Column("record_key", Text, nullable=False),
    Column("before", Text),
    Column("after", Text),
    Index("ix_ledger_change_record", "record_table", "record_key", "seq"),
)
counter = Table(
    "counter",
    metadata,
    Column("name", Text, primary_key=True),
    Column("last", WHOLE, nullable=False),
)

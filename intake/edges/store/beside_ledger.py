"""How the tables of a damaged library differ from its ledger: what a rebuild would lose, alters or brings back."""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, NamedTuple

from sqlalchemy import Connection, column, select
from sqlalchemy.exc import DBAPIError

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.fetching import FIELD_NAMES
from intake.edges.store.queries.record_titles import title_of
from intake.edges.store.row_forms import RowForm
from intake.edges.store.rows import table_name, table_words
from intake.edges.store.tables import TABLES
from intake.units.counts import some_of

AT_ONCE = 500


class RecordName(NamedTuple):
    """Kind and key of a record, as text, and the title of its book, where that can be read."""

    table: str
    key: str
    title: str = ""


MOST_NAMED = 10


@dataclass(slots=True)
class BesideLedger:
    """How the tables differ from the ledger.

    Attributes:
        unknown: records that the ledger does not have, or took away.
        altered: records that are otherwise in the ledger.
        missing: records that the ledger has, and no table.
        unread: kinds of record whose table could not be read to its end.
    """

    unknown: list[RecordName] = field(default_factory=list)
    altered: list[RecordName] = field(default_factory=list)
    missing: list[RecordName] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)


def record_names(records: Sequence[RecordName]) -> str:
    """Return some records by name, and how many more there are.

    >>> record_names([RecordName("copy", "A1-59", "Invented atlas"), RecordName("book_set", "3")])
    "copy A1-59 ('Invented atlas'), book set 3"
    """
    named = [f"{table_words(table)} {key}" + (f" ('{title}')" if title else "") for table, key, title in records]
    return some_of(named, MOST_NAMED)


def beside_ledger(source: Connection, made: Connection) -> BesideLedger:
    """Compare the tables of a damaged library with those that were made from its ledger.

    Args:
        source: the damaged one, whose rows are read in the order in which they lie, and never by an index.
        made: the new one.
    """
    found = BesideLedger()
    with undecoded(source), undecoded(made):
        for kind in TABLES:
            try:
                _compare(source, made, RowForm.of(kind), found)
            except DBAPIError:
                found.unread.append(table_name(kind))
    for names, told in ((found.unknown, source), (found.altered, made), (found.missing, made)):
        names[:MOST_NAMED] = [one._replace(title=title_of(told, one.table, one.key)) for one in names[:MOST_NAMED]]
    return found


def _compare(source: Connection, made: Connection, form: RowForm, found: BesideLedger) -> None:
    name = table_name(form.kind)
    there = {row[1] for row in source.exec_driver_sql(f'PRAGMA table_info("{name}")')}
    names = [each for each in FIELD_NAMES[form.kind] if each in there]
    met: set[object] = set()
    if form.key in names:  # else the table is gone
        met = _compare_rows(source, made, form, names, found)
    for key in made.scalars(select(form.rows.c[form.key]).order_by(form.rows.c[form.key])):
        if key not in met:
            found.missing.append(RecordName(name, str(key)))


def _compare_rows(
    source: Connection, made: Connection, form: RowForm, names: Sequence[str], found: BesideLedger
) -> set[object]:
    """Compare the rows of a table, and return the keys that both have."""
    name, met = table_name(form.kind), set[object]()
    columns = [form.rows.c[each] for each in names]
    for lot in _lots(source, select(*columns).select_from(form.rows).order_by(column("rowid"))):
        keys = [row[0] for row in lot if isinstance(row[0], int | str)]
        statement = select(*columns).where(columns[0].in_(keys))
        told = {row[0]: tuple(row) for row in made.execute(statement)}
        met |= told.keys()
        for row in lot:
            if row[0] not in told:
                found.unknown.append(RecordName(name, str(row[0])))
            elif told[row[0]] != row:
                found.altered.append(RecordName(name, str(row[0])))
    return met


def _lots(source: Connection, statement: Any) -> Iterator[list[tuple[Any, ...]]]:
    rows = iter(source.execute(statement.execution_options(yield_per=AT_ONCE)))
    with suppress(StopIteration):
        while lot := [tuple(row) for row in islice(rows, AT_ONCE)]:
            yield lot

"""The ledger played again, record by record, and compared with every table of records.

Two streams in the order of the keys, the changes of the ledger and the rows of a table, are read side by side, so that
the memory this takes does not grow with the library.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Row, Text, cast, collate, column, literal, select
from sqlalchemy import table as bare_table

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.reader import LibraryReader
from intake.edges.store.row_forms import UNREADABLE, Cells, RowForm
from intake.edges.store.rows import CHECK, KINDS, RecordType, from_plain, table_name, table_words
from intake.edges.store.tables import TABLES
from intake.errors import StoreError
from intake.model.changes import Record
from intake.model.findings import FindingKind, LibraryFinding

AT_ONCE = 1000

CHANGES = bare_table(
    "ledger_change", *(column(name) for name in ("seq", "nth", "record_table", "record_key", "before", "after"))
)


@dataclass(slots=True)
class ReplayCount:
    """How many rows were compared so far, and whether the chain of the ledger was read and found sound before."""

    rows: int = 0
    is_chain_sound: bool = False


@dataclass(frozen=True, slots=True)
class Story:
    """What the ledger tells of one record.

    Attributes:
        good: the latest of its entries before the break of the chain; 0 for none.
        after: the record as the ledger left it, as text; None where it was taken away.
        contradicting: an entry that supposes another state than the one before it left.
    """

    key: str
    good: int
    after: Any
    contradicting: int | None


def replay(
    reader: LibraryReader, broken: int | None, count: ReplayCount, kinds: Iterable[type[Record]] = tuple(TABLES)
) -> Iterator[LibraryFinding]:
    """Yield where a table is not as the ledger left it.

    Args:
        reader: of the library.
        broken: the first entry of the ledger that is not sound; None where all are.
        count: gets the number of rows.
        kinds: whose tables are compared.
    """
    with undecoded(reader.connection):
        for name in reader.connection.scalars(select(CHANGES.c.record_table).distinct()):
            if name not in KINDS:
                detail = f"the ledger tells of '{name}', which is not a kind of record"
                yield LibraryFinding(
                    FindingKind.HISTORY_CONTRADICTS, key=str(name), last_good=_before(broken), detail=detail
                )
        for kind in kinds:
            yield from _compare(reader, RowForm.of(kind), broken, count)


def _before(broken: int | None) -> int:
    return 0 if broken is None else broken - 1


def _compare(reader: LibraryReader, form: RowForm, broken: int | None, count: ReplayCount) -> Iterator[LibraryFinding]:
    """Merge the two streams of one kind of record."""
    name = table_name(form.kind)
    told = stories(reader, form, broken)
    story = next(told, None)
    for row in _rows(reader, form):
        count.rows += 1
        key = str(row[0])
        while story is not None and _sorted_as(story.key) < _sorted_as(key):
            yield from _without_row(form, story)
            story = next(told, None)
        if isinstance(row[0], bytes | None) or story is None or story.key != key:
            yield LibraryFinding(FindingKind.ROW_UNKNOWN, name, key, last_good=_before(broken))
            continue
        yield from _with_row(form, story, tuple(row))
        story = next(told, None)
    while story is not None:
        yield from _without_row(form, story)
        story = next(told, None)


def _sorted_as(key: str) -> bytes:
    """Return a key as the database sorts it: byte by byte."""
    return key.encode("utf-8", "surrogatepass")


def _rows(reader: LibraryReader, form: RowForm) -> Iterable[Row[Any]]:
    """Return the rows of a table as they are stored, by the text of the key."""
    key: ColumnElement[str] = cast(form.rows.c[form.key], Text)
    if reader.connection.dialect.name == "postgresql":  # whose texts of numbers are sorted as people do
        key = collate(key, "C")
    statement = select(*form.rows.c).order_by(key)
    return reader.connection.execute(statement.execution_options(yield_per=AT_ONCE))


def has_records(reader: LibraryReader) -> bool:
    """Tell whether any table of records has a row."""
    tables = (RowForm.of(kind).rows for kind in TABLES)
    return any(reader.connection.execute(select(literal(1)).select_from(table).limit(1)).first() for table in tables)


def records_told(reader: LibraryReader, kind: type[RecordType], seq: int | None = None) -> Iterator[RecordType]:
    """Yield the records of a kind as the ledger left them with an entry; no table of records is asked.

    Args:
        reader: of the library.
        kind: of the records.
        seq: the number of the entry; None for the latest.

    Raises:
        StoreError: what the ledger tells of one cannot be read.
    """
    changes, name = CHANGES.c, str(TABLES[kind].name)
    statement = select(changes.record_key, changes.after).where(changes.record_table == name)
    if seq is not None:
        statement = statement.where(changes.seq <= seq)
    statement = statement.order_by(changes.record_key, changes.seq, changes.nth)
    with undecoded(reader.connection):
        rows = reader.connection.execute(statement.execution_options(yield_per=AT_ONCE))
        for key, group in groupby(rows, key=lambda row: row[0]):
            *_, (_, after) = group
            if after is None:
                continue
            try:
                yield from_plain(kind, json.loads(after))
            except UNREADABLE as error:
                why = "cannot be read as the ledger tells it"
                raise StoreError(f"{table_words(name)} {key!s:.60}", why, CHECK) from error


def stories(reader: LibraryReader, form: RowForm, broken: int | None) -> Iterator[Story]:
    """Yield what the ledger tells of each record of a kind, by the text of its key."""
    changes = CHANGES.c
    statement = select(changes.record_key, changes.seq, changes.before, changes.after)
    statement = statement.where(changes.record_table == table_name(form.kind))
    statement = statement.order_by(changes.record_key, changes.seq, changes.nth)
    rows = reader.connection.execute(statement.execution_options(yield_per=AT_ONCE))
    for key, group in groupby(rows, key=lambda row: row[0]):
        if isinstance(key, str):
            yield _story(form, key, group, broken)


def _story(form: RowForm, key: str, changes: Iterable[Sequence[Any]], broken: int | None) -> Story:
    good, state, contradicting = 0, None, None
    for _, seq, before, after in changes:
        if contradicting is None and not _same(form, state, before):
            contradicting = seq if isinstance(seq, int) else 0
        state = after
        if isinstance(seq, int) and (broken is None or seq < broken):
            good = seq
    return Story(key, good, state, contradicting)


def _same(form: RowForm, one: object, other: object) -> bool:
    """Tell whether two texts are of one state; the later may have fields that the earlier program did not know."""
    if one == other:
        return True
    if one is None or other is None:
        return False
    try:
        return form.cells(one) == form.cells(other)
    except ValueError:
        return False


def _without_row(form: RowForm, story: Story) -> Iterator[LibraryFinding]:
    yield from _contradiction(form, story)
    if story.after is not None:
        yield LibraryFinding(FindingKind.ROW_MISSING, table_name(form.kind), story.key, last_good=story.good)


def _with_row(form: RowForm, story: Story, stored: Cells) -> Iterator[LibraryFinding]:
    yield from _contradiction(form, story)
    name = table_name(form.kind)
    if story.after is None:
        yield LibraryFinding(FindingKind.ROW_UNKNOWN, name, story.key, last_good=story.good)
        return
    try:
        expected = form.cells(story.after)
    except ValueError:
        detail = "what the ledger tells of it cannot be read"
        yield LibraryFinding(FindingKind.HISTORY_CONTRADICTS, name, story.key, last_good=story.good, detail=detail)
        return
    if cells := form.differences(expected, stored):
        yield LibraryFinding(FindingKind.ROW_ALTERED, name, story.key, last_good=story.good, cells=cells)


def _contradiction(form: RowForm, story: Story) -> Iterator[LibraryFinding]:
    if story.contradicting is not None:
        detail = f"entry {story.contradicting} supposes another state than the one before it left"
        last = min(story.good, max(story.contradicting - 1, 0))
        yield LibraryFinding(
            FindingKind.HISTORY_CONTRADICTS, table_name(form.kind), story.key, last_good=last, detail=detail
        )

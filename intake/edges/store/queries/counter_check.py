"""Whether the counters of numbers agree with the numbers that the ledger has.

A number of a copy, a box or a place may be a person's own, which no counter has; so one that can be given again is only
a note there.
"""

import re
from collections.abc import Iterator

from sqlalchemy import Integer, cast, column, func, select
from sqlalchemy import table as bare_table

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.numbering import OWN_KINDS
from intake.edges.store.queries.replay import CHANGES
from intake.edges.store.reader import LibraryReader
from intake.edges.store.row_forms import RowForm
from intake.edges.store.rows import FIELDS, table_name
from intake.edges.store.tables import TABLES
from intake.model.changes import Record
from intake.model.findings import FindingKind, LibraryFinding

_COUNTER = bare_table("counter", column("name"), column("last"))
_SERIAL = re.compile("[A-Z]([0-9]{1,9})-")


def check_counters(reader: LibraryReader) -> Iterator[LibraryFinding]:
    """Yield the counters that are no numbers, or from which a number could be given twice."""
    kinds = {_counter_name(kind): kind for kind in TABLES if kind in OWN_KINDS or FIELDS[kind][0].base is int}
    with undecoded(reader.connection):
        last = {row[0]: row[1] for row in reader.connection.execute(select(_COUNTER.c.name, _COUNTER.c.last))}
        for name, value in last.items():
            if name not in kinds or not isinstance(value, int) or value < 0:
                yield LibraryFinding(FindingKind.COUNTER_WRONG, key=str(name), detail=f"its value is {value!r}")
        for name, kind in kinds.items():
            value = last.get(name, 0)
            if isinstance(value, int):
                yield from (_own_number if kind in OWN_KINDS else _id)(reader, kind, name, value)


def highest_numbers(reader: LibraryReader) -> Iterator[dict[str, object]]:
    """Yield a row of counters for each kind of record whose numbers are given: the highest that the ledger has."""
    for kind in TABLES:
        if kind in OWN_KINDS:
            highest = max(_serials(reader, kind).values(), default=0)
        elif FIELDS[kind][0].base is int:
            highest = _highest_id(reader, kind)
        else:
            continue
        if highest:
            yield {"name": _counter_name(kind), "last": highest}


def _counter_name(kind: type[Record]) -> str:
    return f"serial {OWN_KINDS[kind].value}" if kind in OWN_KINDS else table_name(kind)


def _id(reader: LibraryReader, kind: type[Record], name: str, value: int) -> Iterator[LibraryFinding]:
    highest = _highest_id(reader, kind)
    if value < highest:
        yield LibraryFinding(
            FindingKind.COUNTER_WRONG, key=name, detail=f"the next would be {value + 1}, and {highest} was given"
        )
    elif value > highest:
        yield _skipped(name, value, highest)


def _own_number(reader: LibraryReader, kind: type[Record], name: str, value: int) -> Iterator[LibraryFinding]:
    rows = RowForm.of(kind).rows
    standing = {key for key in reader.connection.scalars(select(rows.c[FIELDS[kind][0].name])) if isinstance(key, str)}
    serials = _serials(reader, kind)
    free = max((serial for key, serial in serials.items() if key not in standing), default=0)
    highest = max(serials.values(), default=0)
    if value < free:
        yield LibraryFinding(
            FindingKind.NUMBER_FREE_AGAIN, key=name, detail=f"the next will be {value + 1}, and {free} was taken back"
        )
    elif value > highest:
        yield _skipped(name, value, highest)


def _skipped(name: str, value: int, highest: int) -> LibraryFinding:
    detail = f"the next will be {value + 1}, and the last there is {highest}"
    return LibraryFinding(FindingKind.NUMBERS_SKIPPED, key=name, detail=detail)


def _highest_id(reader: LibraryReader, kind: type[Record]) -> int:
    number = func.max(cast(CHANGES.c.record_key, Integer))
    return reader.connection.scalar(select(number).where(CHANGES.c.record_table == table_name(kind))) or 0


def _serials(reader: LibraryReader, kind: type[Record]) -> dict[str, int]:
    changes = CHANGES.c
    keys = reader.connection.scalars(
        select(changes.record_key).where(changes.record_table == table_name(kind)).distinct()
    )
    return {key: int(match[1]) for key in keys if isinstance(key, str) and (match := _SERIAL.match(key))}

"""What was seen when, and what waits on the query pile."""

from datetime import datetime

from sqlalchemy import ColumnElement, String, and_, cast, exists, func, select

from intake.edges.store.fetching import fetch
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import table_name
from intake.edges.store.tables import TABLES, ledger, ledger_change
from intake.model.changes import ActionKind
from intake.model.sightings import Query, QueryState, Sighting

_AGAIN = (ActionKind.SEE_COPY_AGAIN, ActionKind.DECIDE_AS_COPY_SEEN_AGAIN)
"""The steps that see a copy which was out of its box already."""


def came_out() -> ColumnElement[bool]:
    """Return the condition that a sighting is of a copy that came out of a box then, and was not out already."""
    change, seen = ledger_change.c, TABLES[Sighting].c
    # Looked up for each sighting: mostly the latest are asked for, or those of a few copies.
    again = exists().where(
        change.record_table == table_name(Sighting),
        change.record_key == cast(seen.id, String),
        ledger.c.seq == change.seq,
        ledger.c.name.in_([kind.value for kind in _AGAIN]),
    )
    return and_(seen.box.is_not(None), ~again)


def sightings_of(reader: LibraryReader, accession: str) -> tuple[Sighting, ...]:
    """Return the sightings of a copy."""
    return fetch(reader.connection, Sighting, TABLES[Sighting].c.copy == accession)


def unpacking_times(reader: LibraryReader, limit: int) -> tuple[datetime, ...]:
    """Return when copies were seen coming out of boxes, the latest first; one that is seen once more counts once."""
    seen = TABLES[Sighting].c
    statement = select(seen.at).where(came_out()).order_by(seen.id.desc()).limit(limit)
    return tuple(datetime.fromisoformat(at) for at in reader.connection.scalars(statement))


def unpacked_per_day(reader: LibraryReader) -> list[tuple[str, int]]:
    """Return how many copies came out of boxes on each day of UTC ("2026-03-31"), the first day first.

    A copy that was packed again and came out twice on one day counts once.
    """
    seen = TABLES[Sighting].c
    day = func.substr(seen.at, 1, 10)
    statement = select(day, func.count(seen.copy.distinct())).where(came_out()).group_by(day).order_by(day)
    return [(str(on), count) for on, count in reader.connection.execute(statement)]


def list_queries(reader: LibraryReader, state: QueryState | None = None) -> tuple[Query, ...]:
    """Return the query pile, or what of it is in one state."""
    where = [] if state is None else [TABLES[Query].c.state == state.value]
    return fetch(reader.connection, Query, *where)


def queries_of_box(reader: LibraryReader, number: str) -> tuple[Query, ...]:
    """Return what of one box waits on the query pile."""
    query = TABLES[Query].c
    return fetch(reader.connection, Query, query.state == QueryState.WAITING.value, query.box == number)


def is_begun(reader: LibraryReader, number: str) -> bool:
    """Return whether anything that came out of a box was booked, or waits or waited on the query pile."""
    seen, query = TABLES[Sighting].c, TABLES[Query].c
    any_of = exists().where(seen.box == number) | exists().where(query.box == number)
    return bool(reader.connection.scalar(select(any_of)))


def count_waiting(reader: LibraryReader) -> int:
    """Count what waits on the query pile."""
    statement = select(func.count()).where(TABLES[Query].c.state == QueryState.WAITING.value)
    return reader.connection.scalar(statement) or 0

"""Which copies there are, in which box, place or state."""

from collections.abc import Collection, Iterable, Iterator
from itertools import islice

from sqlalchemy import ColumnElement, func, or_, select

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any, in_lots
from intake.edges.store.queries.editions import carries_number
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy, CopyState, Edition

_EDITION = TABLES[Edition].c

_COPY = TABLES[Copy].c


_COPY = TABLES[Copy].c


def copies_of_editions(reader: LibraryReader, edition_ids: Collection[int]) -> tuple[Copy, ...]:
    """Return all copies of these editions."""
    return fetch_any(reader.connection, Copy, _COPY.edition_id, edition_ids)


def copies_of_families(reader: LibraryReader, numbers: Iterable[str]) -> tuple[tuple[Edition, ...], tuple[Copy, ...]]:
    """Return the editions that carry one of these numbers, the other editions of their titles, and all their copies."""
    editions: dict[int, Edition] = {}
    copies: list[Copy] = []
    joined = TABLES[Edition].outerjoin(TABLES[Copy], _COPY.edition_id == _EDITION.id)
    named = (column.label(f"copy_{column.name}") for column in COLUMNS[Copy])
    wanted = select(*COLUMNS[Edition], *named).select_from(joined).order_by(_EDITION.id, _COPY.accession)
    for lot in in_lots(dict.fromkeys(numbers)):
        titles = select(_EDITION.title_key).where(or_(*map(carries_number, lot)))
        for row in map(tuple, reader.connection.execute(wanted.where(_EDITION.title_key.in_(titles)))):
            width = len(COLUMNS[Edition])
            edition = from_values(Edition, row[:width])
            editions[edition.id] = edition
            if row[width] is not None:
                copies.append(from_values(Copy, row[width:]))
    return tuple(editions.values()), tuple(copies)


def copies_in_box(reader: LibraryReader, number: str) -> tuple[Copy, ...]:
    """Return the copies that are listed in a box, unpacked or not."""
    return fetch(reader.connection, Copy, _COPY.box == number)


def copies_at_place(reader: LibraryReader, place: str) -> tuple[tuple[Copy, Edition], ...]:
    """Return the copies that stand in a place, each with its edition."""
    return tuple(_copies_where(reader, _COPY.place == place))


def all_copies(reader: LibraryReader) -> Iterator[tuple[Copy, Edition]]:
    """Yield every copy with its edition, one after the other, without holding them all."""
    return _copies_where(reader)


def copies_in_state(reader: LibraryReader, state: CopyState, limit: int) -> tuple[tuple[Copy, Edition], ...]:
    """Return the first copies that are in a state, each with its edition."""
    return tuple(islice(_copies_where(reader, _COPY.state == state.value), limit))


def _copies_where(reader: LibraryReader, *where: ColumnElement[bool]) -> Iterator[tuple[Copy, Edition]]:
    copy, edition = COLUMNS[Copy], COLUMNS[Edition]
    named = (column.label(f"edition_{column.name}") for column in edition)
    joined = TABLES[Copy].join(TABLES[Edition], _COPY.edition_id == _EDITION.id)
    wanted = select(*copy, *named).select_from(joined).where(*where).order_by(_COPY.accession)
    for row in reader.connection.execute(wanted.execution_options(yield_per=1000)):
        values = tuple(row)
        yield from_values(Copy, values[: len(copy)]), from_values(Edition, values[len(copy) :])


def copies_per_box(reader: LibraryReader) -> dict[str, dict[CopyState, int]]:
    """Count the copies that are listed in each box, by state."""
    wanted = select(_COPY.box, _COPY.state, func.count()).where(_COPY.box.is_not(None))
    counted: dict[str, dict[CopyState, int]] = {}
    for box, state, count in reader.connection.execute(wanted.group_by(_COPY.box, _COPY.state)):
        counted.setdefault(box, {})[CopyState(state)] = count
    return counted


def copies_per_place(reader: LibraryReader) -> dict[str, int]:
    """Count the copies that stand in each place."""
    wanted = select(_COPY.place, func.count()).where(_COPY.place.is_not(None)).group_by(_COPY.place)
    return dict(tuple(row) for row in reader.connection.execute(wanted))


def all_accessions(reader: LibraryReader) -> tuple[str, ...]:
    """Return the number of every copy."""
    return tuple(reader.connection.scalars(select(_COPY.accession).order_by(_COPY.accession)))


def copies_in_boxes(reader: LibraryReader, boxes: Iterable[str]) -> tuple[Copy, ...]:
    """Return the copies that are listed in any of these boxes."""
    return fetch_any(reader.connection, Copy, TABLES[Copy].c.box, boxes)

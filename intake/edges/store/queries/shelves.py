"""The tree of places, what stands where, in which order, and which labels were printed."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Any

from sqlalchemy import Select, func, select

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any, fetch_one, in_lots
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import Place, PlaceKind, PlacePath
from intake.model.shelving import Ordering, Printed

_COPY, _EDITION = TABLES[Copy], TABLES[Edition]

_PLACE = TABLES[Place].c

Pair = tuple[Copy, Edition]

_IS_THERE = _COPY.c.state != CopyState.MISSING.value

_FROM_THE_LEFT = (_COPY.c.position.is_(None), _COPY.c.position, _COPY.c.accession)

_STANDING = (
    select(*COLUMNS[Copy], *(column.label(f"edition_{column.name}") for column in COLUMNS[Edition]))
    .select_from(_COPY.join(_EDITION, _COPY.c.edition_id == _EDITION.c.id))
    .where(_IS_THERE)
)


def places_in(reader: LibraryReader, parent: str | None) -> tuple[Place, ...]:
    """Return the places in a place (the rooms for None), by position."""
    found = fetch(reader.connection, Place, TABLES[Place].c.parent == parent)
    return tuple(sorted(found, key=lambda place: (place.position, place.number)))


def place_paths(reader: LibraryReader, numbers: Collection[str] | None = None) -> dict[str, PlacePath]:
    """Return where these places are in the tree, or where all are; a number that no place has is left out."""
    if numbers is None:
        rows = reader.connection.execute(select(_PLACE.number, _PLACE.name, _PLACE.parent)).all()
    else:
        rows = [row for lot in in_lots(dict.fromkeys(numbers)) for row in reader.connection.execute(_with_above(lot))]
    paths = paths_of(tuple(row) for row in rows)
    return paths if numbers is None else {number: paths[number] for number in numbers if number in paths}


def place_path(reader: LibraryReader, place: Place) -> PlacePath:
    """Return where one place is in the tree."""
    return place_paths(reader, [place.number])[place.number]


def _with_above(numbers: Sequence[str]) -> Select[Any]:
    """Select these places and all that they are in."""
    columns = (_PLACE.number, _PLACE.name, _PLACE.parent)
    above = select(*columns).where(_PLACE.number.in_(numbers)).cte("above", recursive=True)
    return select(above.union(select(*columns).where(_PLACE.number == above.c.parent)))


def paths_of(rows: Iterable[tuple[str, str, str | None]]) -> dict[str, PlacePath]:
    """Return where each of these places is: its number, its name and what it is in, all that are above it among them."""
    by_number = {number: (name, parent) for number, name, parent in rows}
    paths: dict[str, PlacePath] = {}
    for number in by_number:
        names: list[str] = []
        at: str | None = number
        while at is not None:
            name, at = by_number[at]
            names.append(name)
        paths[number] = PlacePath(tuple(reversed(names)))
    return paths


def shelves_in_order(reader: LibraryReader) -> tuple[Place, ...]:
    """Return all shelves in the order of the tree: by position of room, bookcase and shelf."""

    def walk(parent: str | None) -> Iterator[Place]:
        for place in below.get(parent, ()):
            yield place
            yield from walk(place.number)

    below: dict[str | None, list[Place]] = {}
    for place in sorted(reader.all(Place), key=lambda place: (place.position, place.number)):
        below.setdefault(place.parent, []).append(place)
    return tuple(place for place in walk(None) if place.kind is PlaceKind.SHELF)


def shelf_ordering(reader: LibraryReader) -> Ordering:
    """Return the person's rule of order; the usual one where none was made."""
    return fetch_one(reader.connection, Ordering, Ordering().name) or Ordering()


def has_ordering(reader: LibraryReader) -> bool:
    """Tell whether the person made a rule of their own."""
    return fetch_one(reader.connection, Ordering, Ordering().name) is not None


def copies_on_shelves(reader: LibraryReader, shelves: Iterable[str]) -> dict[str, list[Pair]]:
    """Return what stands on each of these shelves, from the left; copies without a position come last.

    A copy that is recorded as missing stands nowhere.
    """
    found: dict[str, list[Pair]] = {number: [] for number in shelves}
    for lot in in_lots(found):
        for copy, edition in _pairs(reader, _STANDING.where(_COPY.c.place.in_(lot)).order_by(*_FROM_THE_LEFT)):
            found[copy.place or ""].append((copy, edition))
    return found


def first_copies_on(reader: LibraryReader, shelves: Iterable[str]) -> dict[str, Pair]:
    """Return the first copy on each of these shelves that has one."""
    rank = func.row_number().over(partition_by=_COPY.c.place, order_by=_FROM_THE_LEFT)
    found: dict[str, Pair] = {}
    for lot in in_lots(shelves):
        ranked = select(_COPY.c.accession, rank.label("rank")).where(_COPY.c.place.in_(lot), _IS_THERE).subquery()
        wanted = _STANDING.join(ranked, ranked.c.accession == _COPY.c.accession).where(ranked.c.rank == 1)
        found |= {copy.place or "": (copy, edition) for copy, edition in _pairs(reader, wanted)}
    return found


def _pairs(reader: LibraryReader, wanted: Select[Any]) -> Iterator[Pair]:
    count = len(COLUMNS[Copy])
    for row in map(tuple, reader.connection.execute(wanted)):
        yield from_values(Copy, row[:count]), from_values(Edition, row[count:])


def printed_labels(reader: LibraryReader, labels: Iterable[str]) -> dict[str, Printed]:
    """Return how these labels were last printed, by label; none for one that never was."""
    found = fetch_any(reader.connection, Printed, TABLES[Printed].c.label, labels)
    return {one.label: one for one in found}

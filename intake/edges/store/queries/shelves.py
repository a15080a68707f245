"""The tree of places, what stands where, in which order, and which labels were printed."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import ColumnElement, Select, func, literal, or_, select, true

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any, fetch_one, in_lots
from intake.edges.store.queries.place_circles import Parents, circle_among, circle_error
from intake.edges.store.queries.withdrawals import is_held
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.places import Place, PlaceKind, PlacePath
from intake.model.shelving import Ordering, Printed

_COPY, _EDITION = TABLES[Copy], TABLES[Edition]

_PLACE = TABLES[Place].c

Pair = tuple[Copy, Edition]


class PlaceNode(NamedTuple):
    """A place with what its order in the tree and its width along the wall depend on (see `intake.model.places`)."""

    number: str
    kind: PlaceKind
    name: str
    parent: str | None
    position: int
    subject: str
    width_mm: float | None


Node = TypeVar("Node", Place, PlaceNode)

_IS_THERE = _COPY.c.state.not_in([CopyState.MISSING.value, CopyState.WITHDRAWN.value])

_FROM_THE_LEFT = (_COPY.c.position.is_(None), _COPY.c.position, _COPY.c.accession)

_STANDING = (
    select(*COLUMNS[Copy], *(column.label(f"edition_{column.name}") for column in COLUMNS[Edition]))
    .select_from(_COPY.join(_EDITION, _COPY.c.edition_id == _EDITION.c.id))
    .where(_IS_THERE)
)


def places_in(reader: LibraryReader, parent: str | None) -> tuple[Place, ...]:
    """Return the places in a place (the rooms for None), by position."""
    places = fetch(reader.connection, Place, _PLACE.parent == parent)
    return tuple(sorted(places, key=lambda place: (place.position, place.number)))


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
    """Return where these places are in the tree.

    Args:
        rows: the number, the name and the parent of each; whatever a place is in must be among them too.

    Raises:
        StoreError: one is inside itself.
    """
    by_number = {number: (name, parent) for number, name, parent in rows}
    _refuse_circle({number: parent for number, (_, parent) in by_number.items()})
    paths: dict[str, PlacePath] = {}
    for number in by_number:
        names: list[str] = []
        at: str | None = number
        while at is not None:
            name, at = by_number[at]
            names.append(name)
        paths[number] = PlacePath(tuple(reversed(names)))
    return paths


def place_nodes(reader: LibraryReader, numbers: Collection[str] | None = None) -> tuple[PlaceNode, ...]:
    """Return these places and all that they are in, or every place, in the order of the tree."""
    columns = tuple(_PLACE[field] for field in PlaceNode._fields)
    selects = [select(*columns)]
    if numbers is not None:
        selects = [
            select(*columns).where(_PLACE.number.in_(select(_with_above(lot).subquery().c.number)))
            for lot in in_lots(dict.fromkeys(numbers))
        ]
    rows = dict.fromkeys(tuple(row) for statement in selects for row in reader.connection.execute(statement))
    return _in_tree_order(PlaceNode(number, PlaceKind(kind), *rest) for number, kind, *rest in rows)


def shelves_in_order(reader: LibraryReader) -> tuple[Place, ...]:
    """Return all shelves in the order of the tree: by position of room, bookcase and shelf."""
    return tuple(place for place in _in_tree_order(reader.all(Place)) if place.kind is PlaceKind.SHELF)


def shelves_with_copies(
    reader: LibraryReader, case_of: Mapping[str, str]
) -> tuple[tuple[Place, ...], dict[str, list[Pair]]]:
    """Return what stands on some shelves, with the bookcases they are in and all shelves of those.

    Args:
        reader: of the library.
        case_of: from each shelf asked about to its bookcase; a shelf that is in none counts as one.

    Returns:
        The places, and for each shelf asked about the copies from the left, as `copies_on_shelves` gives them.
    """
    places: dict[str, Place] = {}
    standing: dict[str, list[Pair]] = {shelf: [] for shelf in case_of}
    count, copy_count = len(COLUMNS[Place]), len(COLUMNS[Copy])
    for lot in in_lots(case_of):
        cases = {case_of[shelf] for shelf in lot}
        on_it = (_COPY.c.place == _PLACE.number) & _COPY.c.place.in_(lot) & _IS_THERE
        joined = TABLES[Place].outerjoin(_COPY, on_it).outerjoin(_EDITION, _COPY.c.edition_id == _EDITION.c.id)
        columns = (*COLUMNS[Place], *COLUMNS[Copy], *COLUMNS[Edition])
        statement = select(*(column.label(f"c{nth}") for nth, column in enumerate(columns))).select_from(joined)
        statement = statement.where(or_(_PLACE.number.in_(cases), _PLACE.parent.in_(cases)))
        for row in map(tuple, reader.connection.execute(statement.order_by(_PLACE.number, *_FROM_THE_LEFT))):
            if row[0] not in places:
                places[row[0]] = from_values(Place, row[:count])
            if row[count] is not None:
                copy = from_values(Copy, row[count : count + copy_count])
                standing[row[0]].append((copy, from_values(Edition, row[count + copy_count :])))
    return tuple(places.values()), standing


def _in_tree_order(places: Iterable[Node]) -> tuple[Node, ...]:
    def walk(parent: str | None) -> Iterator[Node]:
        for place in below.get(parent, ()):
            yield place
            yield from walk(place.number)

    below: dict[str | None, list[Node]] = {}
    in_order = sorted(places, key=lambda place: (place.position, place.number))
    _refuse_circle({place.number: place.parent for place in in_order})
    for place in in_order:
        below.setdefault(place.parent, []).append(place)
    return tuple(walk(None))


def _refuse_circle(parents: Parents) -> None:
    """Refuse places of which one is inside itself: also where that is of the last minute, when nobody looked yet."""
    if circle := circle_among(parents):
        raise circle_error(circle)


def own_ordering(reader: LibraryReader) -> Ordering | None:
    """Return the rule of order that the person made, if they made one."""
    return fetch_one(reader.connection, Ordering, Ordering().name)


class SetHeading(NamedTuple):
    """By what a set is filed: its title, and the subject of the volume recorded first that has one."""

    title: str
    subject: str


def filing_rule(reader: LibraryReader) -> tuple[Ordering, dict[int, SetHeading]]:
    """Return the person's rule of order, or the usual one, and by what every set is filed."""
    rule, sets, volumes = TABLES[Ordering].c, TABLES[BookSet].c, TABLES[Edition].c
    of_set = (volumes.set_id == sets.id) & (volumes.subject != "")
    subject = select(volumes.subject).where(of_set).order_by(volumes.id).limit(1).scalar_subquery()
    own = select(literal(1).label("one")).subquery().outerjoin(TABLES[Ordering], rule.name == Ordering().name)
    every = own.outerjoin(TABLES[BookSet], true())
    statement = select(*COLUMNS[Ordering], sets.id, sets.title, subject).select_from(every)
    rows = [tuple(row) for row in reader.connection.execute(statement)]
    width = len(COLUMNS[Ordering])
    ordering = Ordering() if rows[0][0] is None else from_values(Ordering, rows[0][:width])
    headings = {row[width]: SetHeading(row[width + 1], row[width + 2] or "") for row in rows if row[width] is not None}
    return ordering, headings


def shelf_ordering(reader: LibraryReader) -> Ordering:
    """Return the person's rule of order; the usual one where none was made."""
    return own_ordering(reader) or Ordering()


def copies_on_shelves(reader: LibraryReader, shelves: Collection[str] | None = None) -> dict[str, list[Pair]]:
    """Return what stands on each of these shelves, or on every place where something stands, from the left.

    Copies without a position come last. A copy that is recorded as missing stands nowhere.
    """
    standing: dict[str, list[Pair]] = {number: [] for number in shelves or ()}
    for where in _at(shelves):
        for copy, edition in _pairs(reader, _STANDING.where(where).order_by(*_FROM_THE_LEFT)):
            standing.setdefault(copy.place or "", []).append((copy, edition))
    return standing


def accessions_on_shelves(reader: LibraryReader, shelves: Collection[str]) -> Iterator[tuple[str, str]]:
    """Yield the shelf and the number of each copy that stands on one of these shelves, in no order."""
    statement = select(_COPY.c.place, _COPY.c.accession).where(_IS_THERE)
    for where in _at(shelves):
        yield from (tuple(row) for row in reader.connection.execute(statement.where(where)))


def thicknesses_on_shelves(
    reader: LibraryReader, shelves: Collection[str] | None = None
) -> dict[str, list[tuple[float | None, int | None]]]:
    """Return how thick what stands on each of these shelves is, or on every place: as measured in mm, and its pages."""
    columns = select(_COPY.c.place, _EDITION.c.thickness_mm, _EDITION.c.pages)
    joined = columns.select_from(_COPY.join(_EDITION, _COPY.c.edition_id == _EDITION.c.id)).where(_IS_THERE)
    sizes: dict[str, list[tuple[float | None, int | None]]] = {}
    for where in _at(shelves):
        for place, thickness_mm, pages in reader.connection.execute(joined.where(where)):
            sizes.setdefault(place, []).append((thickness_mm, pages))
    return sizes


def _at(shelves: Collection[str] | None) -> Iterator[ColumnElement[bool]]:
    if shelves is None:
        yield _COPY.c.place.is_not(None)
    else:
        yield from (_COPY.c.place.in_(lot) for lot in in_lots(dict.fromkeys(shelves)))


def first_copies_on(reader: LibraryReader, shelves: Iterable[str]) -> dict[str, Pair]:
    """Return the first copy on each of these shelves that has one."""
    rank = func.row_number().over(partition_by=_COPY.c.place, order_by=_FROM_THE_LEFT)
    first: dict[str, Pair] = {}
    for lot in in_lots(shelves):
        ranked = select(_COPY.c.accession, rank.label("rank")).where(_COPY.c.place.in_(lot), _IS_THERE).subquery()
        statement = _STANDING.join(ranked, ranked.c.accession == _COPY.c.accession).where(ranked.c.rank == 1)
        first |= {copy.place or "": (copy, edition) for copy, edition in _pairs(reader, statement)}
    return first


def copies_standing_nowhere(reader: LibraryReader) -> list[Pair]:
    """Return the copies that are neither missing nor on any place, packed ones too, each with its edition."""
    return list(_pairs(reader, _STANDING.where(_COPY.c.place.is_(None)).order_by(_COPY.c.accession)))


def count_unshelved(reader: LibraryReader) -> int:
    """Count the copies that were unpacked and stand nowhere yet."""
    return reader.connection.scalar(select(func.count()).where(_COPY.c.state == CopyState.UNPACKED.value)) or 0


def copies_of_sets(reader: LibraryReader, sets: Iterable[int]) -> tuple[Pair, ...]:
    """Return every copy of these sets with its edition, by edition, missing ones too."""
    joined = _COPY.join(_EDITION, _COPY.c.edition_id == _EDITION.c.id)
    statement = select(*COLUMNS[Copy], *(column.label(f"edition_{column.name}") for column in COLUMNS[Edition]))
    statement = statement.select_from(joined).order_by(_EDITION.c.id, _COPY.c.accession)
    lots = in_lots(dict.fromkeys(sets))
    return tuple(
        pair for lot in lots for pair in _pairs(reader, statement.where(is_held(), _EDITION.c.set_id.in_(lot)))
    )


def _pairs(reader: LibraryReader, statement: Select[Any]) -> Iterator[Pair]:
    count = len(COLUMNS[Copy])
    for row in map(tuple, reader.connection.execute(statement)):
        yield from_values(Copy, row[:count]), from_values(Edition, row[count:])


def printed_labels(reader: LibraryReader, labels: Iterable[str]) -> dict[str, Printed]:
    """Return how these labels were last printed, by label; none for one that never was."""
    printed = fetch_any(reader.connection, Printed, TABLES[Printed].c.label, labels)
    return {label.label: label for label in printed}

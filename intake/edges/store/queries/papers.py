"""What papers list: the contents of boxes, copies with their editions, and their latest valuations, set by set.

Each function is one statement whatever the size of the library; where things are named one by one, it is one statement
for each lot of them (see `intake.edges.store.fetching.in_lots`).
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator

from sqlalchemy import ColumnElement, and_, func, not_, or_, select

from intake.edges.store.fetching import fetch, fetch_any, in_lots
from intake.edges.store.queries.boxes import in_consignment, is_surplus
from intake.edges.store.queries.copies import CopyPair, pairs_of, select_pairs
from intake.edges.store.queries.values import is_latest
from intake.edges.store.queries.withdrawals import is_held
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import FIELDS, from_some_values
from intake.edges.store.tables import TABLES
from intake.model.boxes import Box
from intake.model.condition import ConditionReport, CopyPicture
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import Place, PlaceKind
from intake.model.valuations import Basis, Valuation

_BOX, _COPY, _EDITION, _PLACE = TABLES[Box].c, TABLES[Copy].c, TABLES[Edition].c, TABLES[Place].c

_BODY = tuple(
    field
    for field in FIELDS[Edition]
    if field.name in {"id", "title", "binding", "pages", "height_mm", "width_mm", "thickness_mm", "mass_g"}
)


def shelved_copies(reader: LibraryReader) -> tuple[CopyPair, ...]:
    """Return the copies that stand on shelves, each with its edition."""
    return tuple(pairs_of(reader, select_pairs(_COPY.state == CopyState.SHELVED.value)))


def copies_with_editions(reader: LibraryReader, accessions: Iterable[str]) -> dict[str, CopyPair]:
    """Return these copies, each with its edition, by accession number."""
    lots = (_COPY.accession.in_(lot) for lot in in_lots(dict.fromkeys(accessions)))
    return {pair[0].accession: pair for where in lots for pair in pairs_of(reader, select_pairs(where))}


def contents_of_boxes(reader: LibraryReader, numbers: Collection[str] | None = None) -> dict[str, list[CopyPair]]:
    """Return what each of these boxes lists, or each box of the library, by the box's number; an empty one is left out.

    What a box lists is what was packed into it, wherever it is now, unless it was withdrawn; what came out of it and is
    on no list is not
    (see `intake.edges.store.queries.copies`).
    """
    contents: dict[str, list[CopyPair]] = defaultdict(list)
    for where in _in_boxes(numbers):
        for copy, edition in pairs_of(reader, select_pairs(where)):
            contents[copy.box or ""].append((copy, edition))
    return contents


def copies_of_stated_thickness(reader: LibraryReader, numbers: Collection[str]) -> Iterator[CopyPair]:
    """Yield the copies on these boxes' lists of which a thickness is stated, that other figures may contradict."""
    for where in _in_boxes(numbers):
        yield from pairs_of(reader, select_pairs(where, _EDITION.thickness_mm > 0))


def surplus_in_boxes(reader: LibraryReader, numbers: Collection[str] | None = None) -> dict[str, list[str]]:
    """Return the copies that came out of each of these boxes, or of each box of the library, and are on no list."""
    surplus: dict[str, list[str]] = defaultdict(list)
    for lot in [None] if numbers is None else in_lots(dict.fromkeys(numbers)):
        named = _COPY.box.is_not(None) if lot is None else _COPY.box.in_(lot)
        found = select(_COPY.box, _COPY.accession).where(named, is_surplus()).order_by(_COPY.accession)
        for box, accession in reader.connection.execute(found):
            surplus[box].append(accession)
    return surplus


def copies_that_travelled(reader: LibraryReader, reference: str) -> tuple[CopyPair, ...]:
    """Return what of the collection travelled in the boxes of a consignment, on a list or on none, with its edition."""
    return tuple(pairs_of(reader, select_pairs(is_held(), in_consignment(_COPY.box, reference))))


def count_listed(reader: LibraryReader, numbers: Collection[str] | None = None) -> Counter[str]:
    """Count the copies that each of these boxes lists, or each box of the library."""
    counts: Counter[str] = Counter()
    for where in _in_boxes(numbers):
        counted = select(_COPY.box, func.count()).where(where).group_by(_COPY.box)
        counts.update(dict(tuple(row) for row in reader.connection.execute(counted)))
    return counts


def plain_masses_in_boxes(reader: LibraryReader, numbers: Collection[str]) -> dict[str, float]:
    """Return the sum in g of the stated masses, which nothing contradicts, of what each of these boxes lists.

    Those of which a thickness is stated as well may contradict it, so they are not in it; see `editions_to_weigh`.
    """
    joined = TABLES[Copy].join(TABLES[Edition], _COPY.edition_id == _EDITION.id)
    sums: dict[str, float] = {}
    for where in _in_boxes(numbers):
        summed = (
            select(_COPY.box, func.sum(_EDITION.mass_g)).select_from(joined).where(where, not_(_weighed_one_by_one()))
        )
        sums.update(dict(tuple(row) for row in reader.connection.execute(summed.group_by(_COPY.box))))
    return sums


def editions_to_weigh(reader: LibraryReader, numbers: Collection[str]) -> Iterator[tuple[str, Edition]]:
    """Yield the box and the edition of each copy on these boxes' lists that has to be looked at to say what it weighs.

    Of these the catalog states no mass, or a thickness as well, which the mass may contradict. An edition has its
    title, its binding, its extent, sizes and mass, and nothing else: thousands are looked at for one page of boxes.
    """
    joined = TABLES[Copy].join(TABLES[Edition], _COPY.edition_id == _EDITION.id)
    columns = (_EDITION[field.name] for field in _BODY)
    statement = select(_COPY.box, *columns).select_from(joined)
    for where in _in_boxes(numbers):
        for row in map(tuple, reader.connection.execute(statement.where(where, _weighed_one_by_one()))):
            yield row[0], from_some_values(Edition, _BODY, row[1:])


def boxes_of_consignments(reader: LibraryReader, references: Iterable[str]) -> dict[str, list[str]]:
    """Return the numbers of the boxes of each of these consignments."""
    boxes: dict[str, list[str]] = defaultdict(list)
    for lot in in_lots(dict.fromkeys(references)):
        selected = select(_BOX.consignment, _BOX.number).where(_BOX.consignment.in_(lot))
        for reference, number in reader.connection.execute(selected):
            boxes[reference].append(number)
    return boxes


def latest_valuations_in(reader: LibraryReader, reference: str, basis: Basis | None = None) -> dict[str, Valuation]:
    """Return the latest valuation of each copy that travelled in a consignment, on one basis or on any."""
    travelled = select(_COPY.accession).where(in_consignment(_COPY.box, reference))
    valuations = fetch(reader.connection, Valuation, is_latest(basis), TABLES[Valuation].c.copy.in_(travelled))
    return {valuation.copy: valuation for valuation in valuations}


def reports_of_copies(
    reader: LibraryReader, accessions: Collection[str] | None = None
) -> dict[str, tuple[ConditionReport, ...]]:
    """Return the condition reports of each of these copies that has any, or of the whole collection, oldest first."""
    report = TABLES[ConditionReport].c
    reports: dict[str, tuple[ConditionReport, ...]] = defaultdict(tuple)
    if accessions is None:
        conditions = fetch(
            reader.connection, ConditionReport, report.copy.in_(select(_COPY.accession).where(is_held()))
        )
    else:
        conditions = fetch_any(reader.connection, ConditionReport, report.copy, accessions)
    for condition in conditions:
        reports[condition.copy] += (condition,)
    return reports


def pictures_of_copies(reader: LibraryReader, accessions: Collection[str]) -> dict[str, list[CopyPicture]]:
    """Return the photographs of each of these copies that has any, in the order in which they were recorded."""
    pictures: dict[str, list[CopyPicture]] = defaultdict(list)
    for picture in fetch_any(reader.connection, CopyPicture, TABLES[CopyPicture].c.copy, accessions):
        pictures[picture.copy].append(picture)
    return pictures


def list_bookcases(reader: LibraryReader) -> tuple[Place, ...]:
    """Return every bookcase."""
    return fetch(reader.connection, Place, _PLACE.kind == PlaceKind.BOOKCASE.value)


def shelves_of_bookcases(reader: LibraryReader, bookcases: Iterable[str]) -> dict[str, list[Place]]:
    """Return the shelves of each of these bookcases, by position."""
    shelves: dict[str, list[Place]] = {number: [] for number in bookcases}
    for place in fetch_any(reader.connection, Place, _PLACE.parent, shelves):
        shelves[place.parent or ""].append(place)
    for of_case in shelves.values():
        of_case.sort(key=lambda place: (place.position, place.number))
    return shelves


def _weighed_one_by_one() -> ColumnElement[bool]:
    unknown = or_(_EDITION.mass_g.is_(None), _EDITION.mass_g <= 0)
    return or_(unknown, func.coalesce(_EDITION.thickness_mm, 0) > 0)


def _in_boxes(numbers: Collection[str] | None) -> Iterator[ColumnElement[bool]]:
    """Yield, for each lot of these boxes, the condition that a copy is on the list of one of them."""
    if numbers is None:
        yield and_(_COPY.box.is_not(None), is_held(), not_(is_surplus()))
    else:
        lots = in_lots(dict.fromkeys(numbers))
        yield from (and_(_COPY.box.in_(lot), is_held(), not_(is_surplus())) for lot in lots)

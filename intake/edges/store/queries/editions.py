"""Which editions carry a number, a key, a title or words."""

from collections import defaultdict
from collections.abc import Collection, Iterable

from sqlalchemy import ColumnElement, exists, or_, select, union_all

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any, in_lots, key_column
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.boxes import Box
from intake.model.editions import Copy, CopyState, Edition, Printing, title_key
from intake.model.places import Place

_EDITION = TABLES[Edition].c

_COPY = TABLES[Copy].c

ISSN_PREFIX = "977"
ISSN_DIGITS = 10
"""977 and the seven digits of the ISSN; the two after them are a variant of the price, which names no other serial."""


def carries_number(number: str) -> ColumnElement[bool]:
    """Return the condition that an edition carries the number, a serial under any variant of it."""
    if not number.startswith(ISSN_PREFIX):
        return _EDITION.number == number
    return _is_variant_of(number[:ISSN_DIGITS])


def carries(edition: Edition, number: str) -> bool:
    """Return whether an edition carries the number, a serial under any variant of it."""
    if not number.startswith(ISSN_PREFIX):
        return edition.number == number
    return edition.number is not None and edition.number.startswith(number[:ISSN_DIGITS])


def _is_variant_of(stem: str) -> ColumnElement[bool]:
    """Return the condition that an edition carries an ISSN, given as 977 and seven digits, under any variant."""
    return _EDITION.number.between(f"{stem}000", f"{stem}999")


def edition_by_key(reader: LibraryReader, key: str) -> Edition | None:
    """Return the first edition that the person's own list calls so."""
    return next(iter(fetch(reader.connection, Edition, _EDITION.key == key)), None) if key else None


def editions_by_number(reader: LibraryReader, number: str, add_on: str | None = None) -> tuple[Edition, ...]:
    """Return the editions that carry a number; only those with the very add-on if there are such."""
    editions = fetch(reader.connection, Edition, carries_number(number))
    exact = tuple(edition for edition in editions if add_on is not None and edition.add_on == add_on)
    return exact or editions


def editions_with_any(reader: LibraryReader, numbers: Iterable[str]) -> tuple[Edition, ...]:
    """Return the editions that carry any of a few numbers."""
    return fetch(reader.connection, Edition, or_(*map(carries_number, numbers)))


def editions_like(
    reader: LibraryReader, *, keys: Iterable[str] = (), numbers: Iterable[str] = (), titles: Iterable[str] = ()
) -> tuple[Edition, ...]:
    """Return the editions that have one of these keys, numbers or titles, each once."""
    like = (
        *fetch_any(reader.connection, Edition, _EDITION.key, (key for key in keys if key)),
        *fetch_any(reader.connection, Edition, _EDITION.number, numbers),
        *fetch_any(reader.connection, Edition, _EDITION.title_key, map(title_key, titles)),
    )
    return tuple(sorted(set(like), key=lambda edition: edition.id))


def editions_titled(reader: LibraryReader, titles: Iterable[str]) -> tuple[Edition, ...]:
    """Return the editions that have one of these titles to the letter."""
    wanted = set(titles)
    return tuple(edition for edition in editions_like(reader, titles=wanted) if edition.title in wanted)


def editions_of_set(reader: LibraryReader, set_id: int) -> tuple[Edition, ...]:
    """Return the editions of a set."""
    return fetch(reader.connection, Edition, _EDITION.set_id == set_id)


def editions_of_sets(reader: LibraryReader, sets: Collection[int]) -> dict[int, list[Edition]]:
    """Return the editions of each of these sets that has any."""
    editions: dict[int, list[Edition]] = defaultdict(list)
    for edition in fetch_any(reader.connection, Edition, _EDITION.set_id, sets):
        editions[edition.set_id or 0].append(edition)
    return editions


def known_numbers(reader: LibraryReader, numbers: Iterable[str]) -> frozenset[str]:
    """Return those of these numbers that an edition carries, or that a copy, a box or a place has for its own."""
    known: set[str] = set()
    for lot in in_lots(dict.fromkeys(numbers)):
        stems = {number[:ISSN_DIGITS] for number in lot if number.startswith(ISSN_PREFIX)}
        carried = select(_EDITION.number).where(
            or_(_EDITION.number.in_(lot), *(_is_variant_of(stem) for stem in sorted(stems)))
        )
        own = (select(key_column(kind)).where(key_column(kind).in_(lot)) for kind in (Copy, Box, Place))
        stored = set(reader.connection.scalars(union_all(carried, *own)))
        stored_stems = {number[:ISSN_DIGITS] for number in stored if number.startswith(ISSN_PREFIX)}
        known |= {number for number in lot if number in stored or number[:ISSN_DIGITS] in stored_stems}
    return frozenset(known)


def holds_number(reader: LibraryReader, number: str) -> bool:
    """Return whether an edition carries the number, or a copy, a box or a place has it for its own."""
    return number in known_numbers(reader, [number])


def edition_numbers(reader: LibraryReader, box: str | None = None) -> tuple[str, ...]:
    """Return every number in the catalog, or of what is still packed in a box: the reader's code book."""
    statement = select(_EDITION.number).where(_EDITION.number.is_not(None)).distinct().order_by(_EDITION.number)
    if box is not None:
        statement = statement.join(TABLES[Copy], _COPY.edition_id == _EDITION.id)
        statement = statement.where(_COPY.box == box, _COPY.state == CopyState.PACKED.value)
    return tuple(reader.connection.scalars(statement))


def printings_of(reader: LibraryReader, edition_id: int) -> tuple[Printing, ...]:
    """Return the printings of an edition."""
    return fetch(reader.connection, Printing, TABLES[Printing].c.edition_id == edition_id)


def weighed_editions(reader: LibraryReader, limit: int) -> tuple[Edition, ...]:
    """Return editions whose mass is stated and of which there are copies, the earliest recorded first."""
    edition = TABLES[Edition].c
    owned = exists().where(TABLES[Copy].c.edition_id == edition.id)
    statement = select(*COLUMNS[Edition]).where(edition.mass_g > 0, owned).order_by(edition.id).limit(limit)
    return tuple(from_values(Edition, tuple(row)) for row in reader.connection.execute(statement))


def volumes_to_come(reader: LibraryReader, sets: Iterable[int]) -> tuple[Edition, ...]:
    """Return the editions of these sets of which a copy is packed, or out of its box, and none on a shelf."""
    joined = TABLES[Edition].join(TABLES[Copy], _COPY.edition_id == _EDITION.id)
    shelved = TABLES[Copy].alias("shelved")
    stands = exists().where(shelved.c.edition_id == _EDITION.id, shelved.c.state == CopyState.SHELVED.value)
    comes = _COPY.state.in_([CopyState.PACKED.value, CopyState.UNPACKED.value])
    statement = select(*COLUMNS[Edition]).select_from(joined).where(comes, ~stands).distinct()
    volumes: list[Edition] = []
    for lot in in_lots(sorted(sets)):
        rows = reader.connection.execute(statement.where(_EDITION.set_id.in_(lot)).order_by(_EDITION.id))
        volumes += [from_values(Edition, tuple(row)) for row in rows]
    return tuple(volumes)

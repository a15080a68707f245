"""Questions to the library; answers are the frozen records of ring 0, never rows.

Where nothing has the key asked for, the answer is None; several records come by key unless said otherwise.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import islice

from sqlalchemy import ColumnElement, Row, exists, func, select

from intake.edges.store.appraisals import Appraisals
from intake.edges.store.fetching import COLUMNS, fetch, fetch_any, fetch_one, in_lots, key_column
from intake.edges.store.rows import from_values
from intake.edges.store.shelvings import Shelvings
from intake.edges.store.sqlite import editions_with_words
from intake.edges.store.tables import TABLES, ledger
from intake.model.boxes import Box, BoxState, Consignment
from intake.model.editions import BookSet, Copy, CopyState, Edition, Printing, title_key
from intake.model.places import Place, PlaceKind
from intake.model.sightings import Picture, Query, QueryState, Sighting
from intake.model.valuations import Basis, Valuation

_EDITION = TABLES[Edition].c
_COPY = TABLES[Copy].c
_PLACE = TABLES[Place].c
_VALUATION = TABLES[Valuation].c

WORD_POOL = 500
"""Editions looked at when words are searched; among more, what a person means cannot be told from the words anyway."""

ISSN_PREFIX = "977"
ISSN_DIGITS = 10
"""977 and the seven digits of the ISSN; the two after them are a variant of the price, which names no other serial."""


@dataclass(frozen=True, slots=True)
class Counts:
    """How much there is of what, for a status line."""

    editions: int
    copies: Mapping[CopyState, int]
    boxes: Mapping[BoxState, int]
    waiting: int
    entries: int


def _carries(number: str) -> ColumnElement[bool]:
    """Say that an edition carries the number, a serial under any variant of it."""
    column = TABLES[Edition].c.number
    if not number.startswith(ISSN_PREFIX):
        return column == number
    stem = number[:ISSN_DIGITS]
    return column.between(f"{stem}000", f"{stem}999")


class Records(Appraisals, Shelvings):
    """The library at one moment."""

    # Editions, printings, sets

    def edition(self, id: int) -> Edition | None:  # noqa: A002 - the field is called so
        """Return an edition."""
        return fetch_one(self._connection, Edition, id)

    def edition_by_key(self, key: str) -> Edition | None:
        """Return the first edition that the person's own list calls so."""
        return next(iter(fetch(self._connection, Edition, _EDITION.key == key)), None) if key else None

    def editions_by_number(self, number: str, add_on: str | None = None) -> tuple[Edition, ...]:
        """Return the editions that carry a number; only those with the very add-on if there are such."""
        found = fetch(self._connection, Edition, _carries(number))
        exact = tuple(edition for edition in found if add_on is not None and edition.add_on == add_on)
        return exact or found

    def editions_by_title_key(self, key: str) -> tuple[Edition, ...]:
        """Return the editions of one title (see `intake.model.editions.title_key`)."""
        return fetch(self._connection, Edition, _EDITION.title_key == key)

    def editions_like(
        self, *, keys: Iterable[str] = (), numbers: Iterable[str] = (), titles: Iterable[str] = ()
    ) -> tuple[Edition, ...]:
        """Return the editions that have one of these keys, numbers or titles, each once."""
        found = (
            *fetch_any(self._connection, Edition, _EDITION.key, (key for key in keys if key)),
            *fetch_any(self._connection, Edition, _EDITION.number, numbers),
            *fetch_any(self._connection, Edition, _EDITION.title_key, map(title_key, titles)),
        )
        return tuple(sorted(set(found), key=lambda edition: edition.id))

    def editions_of_set(self, set_id: int) -> tuple[Edition, ...]:
        """Return the editions of a set."""
        return fetch(self._connection, Edition, _EDITION.set_id == set_id)

    def find_editions(self, text: str, limit: int = 20) -> tuple[Edition, ...]:
        """Return editions that have all these words in title or contributors, the closest titles first.

        The last word may be the beginning of one. Case and diacritics do not matter.
        """
        asked = title_key(text)

        def distance(row: Row[int, str]) -> tuple[bool, int, int]:
            return row.title_key != asked, len(row.title_key), row.id

        pool = editions_with_words(self._connection, text, max(WORD_POOL, limit))
        keys = [
            row
            for lot in in_lots(pool)
            for row in self._connection.execute(select(_EDITION.id, _EDITION.title_key).where(_EDITION.id.in_(lot)))
        ]
        nearest = [row.id for row in sorted(keys, key=distance)[:limit]]
        found = {edition.id: edition for edition in fetch_any(self._connection, Edition, _EDITION.id, nearest)}
        return tuple(found[id] for id in nearest)  # noqa: A001 - the field is called so

    def holds_number(self, number: str) -> bool:
        """Tell whether an edition carries the number, or a copy, a box or a place has it for its own."""
        own = (key_column(kind) == number for kind in (Copy, Box, Place))
        return any(self._connection.scalar(select(exists().where(where))) for where in (_carries(number), *own))

    def edition_numbers(self, box: str | None = None) -> tuple[str, ...]:
        """Return every number in the catalog, or of what is still packed in a box: the reader's code book."""
        wanted = select(_EDITION.number).where(_EDITION.number.is_not(None)).distinct().order_by(_EDITION.number)
        if box is not None:
            wanted = wanted.join(TABLES[Copy], _COPY.edition_id == _EDITION.id)
            wanted = wanted.where(_COPY.box == box, _COPY.state == CopyState.PACKED.value)
        return tuple(self._connection.scalars(wanted))

    def set(self, id: int) -> BookSet | None:  # noqa: A002 - the field is called so
        """Return a set."""
        return fetch_one(self._connection, BookSet, id)

    def sets(self) -> tuple[BookSet, ...]:
        """Return all sets."""
        return fetch(self._connection, BookSet)

    def printing(self, id: int) -> Printing | None:  # noqa: A002 - the field is called so
        """Return a printing."""
        return fetch_one(self._connection, Printing, id)

    def printings_of(self, edition_id: int) -> tuple[Printing, ...]:
        """Return the printings of an edition."""
        return fetch(self._connection, Printing, TABLES[Printing].c.edition_id == edition_id)

    # Copies

    def copy(self, accession: str) -> Copy | None:
        """Return a copy."""
        return fetch_one(self._connection, Copy, accession)

    def copies_of(self, edition_ids: Collection[int]) -> tuple[Copy, ...]:
        """Return all copies of these editions."""
        return fetch_any(self._connection, Copy, _COPY.edition_id, edition_ids)

    def copies_in_box(self, number: str) -> tuple[Copy, ...]:
        """Return the copies that are listed in a box, unpacked or not."""
        return fetch(self._connection, Copy, _COPY.box == number)

    def standing_at(self, place: str) -> tuple[tuple[Copy, Edition], ...]:
        """Return the copies that stand in a place, each with its edition."""
        return tuple(self._copies_where(_COPY.place == place))

    def copies(self) -> Iterator[tuple[Copy, Edition]]:
        """Yield every copy with its edition, one after the other, without holding them all."""
        return self._copies_where()

    def copies_in_state(self, state: CopyState, limit: int) -> tuple[tuple[Copy, Edition], ...]:
        """Return the first copies that are in a state, each with its edition."""
        return tuple(islice(self._copies_where(_COPY.state == state.value), limit))

    def _copies_where(self, *where: ColumnElement[bool]) -> Iterator[tuple[Copy, Edition]]:
        copy, edition = COLUMNS[Copy], COLUMNS[Edition]
        named = (column.label(f"edition_{column.name}") for column in edition)
        joined = TABLES[Copy].join(TABLES[Edition], _COPY.edition_id == _EDITION.id)
        wanted = select(*copy, *named).select_from(joined).where(*where).order_by(_COPY.accession)
        for row in self._connection.execute(wanted.execution_options(yield_per=1000)):
            values = tuple(row)
            yield from_values(Copy, values[: len(copy)]), from_values(Edition, values[len(copy) :])

    def copies_per_box(self) -> dict[str, dict[CopyState, int]]:
        """Count the copies that are listed in each box, by state."""
        wanted = select(_COPY.box, _COPY.state, func.count()).where(_COPY.box.is_not(None))
        counted: dict[str, dict[CopyState, int]] = {}
        for box, state, count in self._connection.execute(wanted.group_by(_COPY.box, _COPY.state)):
            counted.setdefault(box, {})[CopyState(state)] = count
        return counted

    def copies_per_place(self) -> dict[str, int]:
        """Count the copies that stand in each place."""
        wanted = select(_COPY.place, func.count()).where(_COPY.place.is_not(None)).group_by(_COPY.place)
        return dict(tuple(row) for row in self._connection.execute(wanted))

    # Boxes and places

    def box(self, number: str) -> Box | None:
        """Return a box."""
        return fetch_one(self._connection, Box, number)

    def boxes(self, consignment: str | None = None) -> tuple[Box, ...]:
        """Return all boxes, or those of one consignment."""
        where = [] if consignment is None else [TABLES[Box].c.consignment == consignment]
        return fetch(self._connection, Box, *where)

    def consignment(self, reference: str) -> Consignment | None:
        """Return a consignment."""
        return fetch_one(self._connection, Consignment, reference)

    def consignments(self) -> tuple[Consignment, ...]:
        """Return all consignments."""
        return fetch(self._connection, Consignment)

    def place(self, number: str) -> Place | None:
        """Return a place."""
        return fetch_one(self._connection, Place, number)

    def places(self) -> tuple[Place, ...]:
        """Return all places."""
        return fetch(self._connection, Place)

    def children(self, parent: str | None) -> tuple[Place, ...]:
        """Return the places in a place (the rooms for None), by position."""
        found = fetch(self._connection, Place, _PLACE.parent == parent)
        return tuple(sorted(found, key=lambda place: (place.position, place.number)))

    def shelves(self) -> tuple[Place, ...]:
        """Return all shelves in the order of the tree: by position of room, bookcase and shelf."""

        def walk(parent: str | None) -> Iterator[Place]:
            for place in below.get(parent, ()):
                yield place
                yield from walk(place.number)

        below: dict[str | None, list[Place]] = {}
        for place in sorted(self.places(), key=lambda place: (place.position, place.number)):
            below.setdefault(place.parent, []).append(place)
        return tuple(place for place in walk(None) if place.kind is PlaceKind.SHELF)

    # Values, sightings, pictures, queries

    def valuations_of(self, accession: str) -> tuple[Valuation, ...]:
        """Return the valuations of a copy, oldest first."""
        found = fetch(self._connection, Valuation, _VALUATION.copy == accession)
        return tuple(sorted(found, key=lambda valuation: (valuation.on, valuation.id)))

    def latest_valuations(self, basis: Basis | None = None) -> dict[str, Valuation]:
        """Return the latest valuation of each copy that has one, on one basis or on any, by accession number."""
        rank = func.row_number().over(
            partition_by=_VALUATION.copy, order_by=(_VALUATION.on.desc(), _VALUATION.id.desc())
        )
        ranked = select(*COLUMNS[Valuation], rank.label("rank"))
        if basis is not None:
            ranked = ranked.where(_VALUATION.basis == basis.value)
        inner = ranked.subquery()
        wanted = select(*(inner.c[column.name] for column in COLUMNS[Valuation])).where(inner.c.rank == 1)
        found = (from_values(Valuation, tuple(row)) for row in self._connection.execute(wanted))
        return {valuation.copy: valuation for valuation in found}

    def sightings_of(self, accession: str) -> tuple[Sighting, ...]:
        """Return the sightings of a copy."""
        return fetch(self._connection, Sighting, TABLES[Sighting].c.copy == accession)

    def unpacking_times(self, limit: int) -> tuple[datetime, ...]:
        """Return when copies were seen coming out of boxes, the latest first."""
        seen = TABLES[Sighting].c
        wanted = select(seen.at).where(seen.box.is_not(None)).order_by(seen.id.desc()).limit(limit)
        return tuple(datetime.fromisoformat(at) for at in self._connection.scalars(wanted))

    def picture(self, sha256: str) -> Picture | None:
        """Return a picture's record."""
        return fetch_one(self._connection, Picture, sha256)

    def query(self, id: int) -> Query | None:  # noqa: A002 - the field is called so
        """Return an item of the query pile."""
        return fetch_one(self._connection, Query, id)

    def queries(self, state: QueryState | None = None) -> tuple[Query, ...]:
        """Return the query pile, or what of it is in one state."""
        where = [] if state is None else [TABLES[Query].c.state == state.value]
        return fetch(self._connection, Query, *where)

    def waiting(self) -> int:
        """Count what waits on the query pile."""
        wanted = select(func.count()).where(TABLES[Query].c.state == QueryState.WAITING.value)
        return self._connection.scalar(wanted) or 0

    def counts(self) -> Counts:
        """Count what there is."""
        copies = select(_COPY.state, func.count()).group_by(_COPY.state)
        boxes = select(TABLES[Box].c.state, func.count()).group_by(TABLES[Box].c.state)
        return Counts(
            editions=self._connection.scalar(select(func.count()).select_from(TABLES[Edition])) or 0,
            copies={CopyState(state): count for state, count in self._connection.execute(copies)},
            boxes={BoxState(state): count for state, count in self._connection.execute(boxes)},
            waiting=self.waiting(),
            entries=self._connection.scalar(select(func.max(ledger.c.seq))) or 0,
        )

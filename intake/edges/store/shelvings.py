"""Questions about shelves: the person's rule of order, what stands where, which labels were printed."""

from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Select, func, select

from intake.edges.store.fetching import COLUMNS, fetch_any, fetch_one, in_lots
from intake.edges.store.history import History
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import Copy, CopyState, Edition
from intake.model.shelving import Ordering, Printed

_COPY, _EDITION = TABLES[Copy], TABLES[Edition]

Pair = tuple[Copy, Edition]

_IS_THERE = _COPY.c.state != CopyState.MISSING.value
_FROM_THE_LEFT = (_COPY.c.position.is_(None), _COPY.c.position, _COPY.c.accession)
_STANDING = (
    select(*COLUMNS[Copy], *(column.label(f"edition_{column.name}") for column in COLUMNS[Edition]))
    .select_from(_COPY.join(_EDITION, _COPY.c.edition_id == _EDITION.c.id))
    .where(_IS_THERE)
)


class Shelvings(History):
    """What the library knows of its shelves."""

    def ordering(self) -> Ordering:
        """Return the person's rule of order; the usual one where none was made."""
        return fetch_one(self._connection, Ordering, Ordering().name) or Ordering()

    def has_ordering(self) -> bool:
        """Tell whether the person made a rule of their own."""
        return fetch_one(self._connection, Ordering, Ordering().name) is not None

    def standing_on(self, shelves: Iterable[str]) -> dict[str, list[Pair]]:
        """Return what stands on each of these shelves, from the left; copies without a position come last.

        A copy that is recorded as missing stands nowhere.
        """
        found: dict[str, list[Pair]] = {number: [] for number in shelves}
        for lot in in_lots(found):
            for copy, edition in self._pairs(_STANDING.where(_COPY.c.place.in_(lot)).order_by(*_FROM_THE_LEFT)):
                found[copy.place or ""].append((copy, edition))
        return found

    def first_on(self, shelves: Iterable[str]) -> dict[str, Pair]:
        """Return the first copy on each of these shelves that has one."""
        rank = func.row_number().over(partition_by=_COPY.c.place, order_by=_FROM_THE_LEFT)
        found: dict[str, Pair] = {}
        for lot in in_lots(shelves):
            ranked = select(_COPY.c.accession, rank.label("rank")).where(_COPY.c.place.in_(lot), _IS_THERE).subquery()
            wanted = _STANDING.join(ranked, ranked.c.accession == _COPY.c.accession).where(ranked.c.rank == 1)
            found |= {copy.place or "": (copy, edition) for copy, edition in self._pairs(wanted)}
        return found

    def _pairs(self, wanted: Select[Any]) -> Iterator[Pair]:
        count = len(COLUMNS[Copy])
        for row in map(tuple, self._connection.execute(wanted)):
            yield from_values(Copy, row[:count]), from_values(Edition, row[count:])

    def volumes_in_boxes(self, sets: Iterable[int]) -> tuple[Edition, ...]:
        """Return the editions of these sets of which a copy is still packed."""
        joined = _EDITION.join(_COPY, _COPY.c.edition_id == _EDITION.c.id)
        wanted = select(*COLUMNS[Edition]).select_from(joined).where(_COPY.c.state == CopyState.PACKED.value).distinct()
        found: list[Edition] = []
        for lot in in_lots(sorted(sets)):
            rows = self._connection.execute(wanted.where(_EDITION.c.set_id.in_(lot)).order_by(_EDITION.c.id))
            found += [from_values(Edition, tuple(row)) for row in rows]
        return tuple(found)

    def printed(self, labels: Iterable[str]) -> dict[str, Printed]:
        """Return how these labels were last printed, by label; none for one that never was."""
        found = fetch_any(self._connection, Printed, TABLES[Printed].c.label, labels)
        return {one.label: one for one in found}

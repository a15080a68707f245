"""Questions about what arrived: photographs of boxes, discrepancies, what was seen in which box."""

from collections.abc import Iterable

from sqlalchemy import exists, select

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any
from intake.edges.store.history import History
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES, ledger
from intake.model.boxes import BoxPicture, Discrepancy
from intake.model.editions import Copy, Edition
from intake.model.sightings import Sighting
from intake.model.valuations import Valuation


class Arrivals(History):
    """What the library knows of the arrival of its boxes."""

    def box_pictures(self, number: str) -> tuple[BoxPicture, ...]:
        """Return the photographs of a box."""
        return fetch(self._connection, BoxPicture, TABLES[BoxPicture].c.box == number)

    def discrepancies(self) -> tuple[Discrepancy, ...]:
        """Return every recorded discrepancy."""
        return fetch(self._connection, Discrepancy)

    def sightings_in(self, boxes: Iterable[str]) -> tuple[Sighting, ...]:
        """Return what was seen while these boxes were unpacked."""
        return fetch_any(self._connection, Sighting, TABLES[Sighting].c.box, boxes)

    def copies_of_boxes(self, boxes: Iterable[str]) -> tuple[Copy, ...]:
        """Return the copies that are listed in any of these boxes."""
        return fetch_any(self._connection, Copy, TABLES[Copy].c.box, boxes)

    def editions_with_ids(self, ids: Iterable[int]) -> dict[int, Edition]:
        """Return editions by their ids."""
        found = fetch_any(self._connection, Edition, TABLES[Edition].c.id, ids)
        return {edition.id: edition for edition in found}

    def valuations_of_copies(self, accessions: Iterable[str]) -> dict[str, Valuation]:
        """Return the latest valuation of each of these copies that has one."""
        found = fetch_any(self._connection, Valuation, TABLES[Valuation].c.copy, accessions)
        return {held.copy: held for held in sorted(found, key=lambda held: (held.on, held.id))}

    def weighed_editions(self, limit: int) -> tuple[Edition, ...]:
        """Return editions whose mass is stated and of which there are copies, the earliest recorded first."""
        edition = TABLES[Edition].c
        owned = exists().where(TABLES[Copy].c.edition_id == edition.id)
        wanted = select(*COLUMNS[Edition]).where(edition.mass_g > 0, owned).order_by(edition.id).limit(limit)
        return tuple(from_values(Edition, tuple(row)) for row in self._connection.execute(wanted))

    def subjects_of(self, action: str) -> tuple[str, ...]:
        """Return what an action was done to, each once, oldest first; also where it was taken back later."""
        wanted = select(ledger.c.subject).where(ledger.c.name == action).order_by(ledger.c.seq)
        return tuple(dict.fromkeys(self._connection.scalars(wanted)))

"""What is known of boxes and of what was seen in them."""

from collections.abc import Iterable

from intake.edges.store.fetching import fetch, fetch_any
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import TABLES
from intake.model.boxes import Box, BoxPicture
from intake.model.sightings import Sighting


def list_boxes(reader: LibraryReader, consignment: str | None = None) -> tuple[Box, ...]:
    """Return all boxes, or those of one consignment."""
    where = [] if consignment is None else [TABLES[Box].c.consignment == consignment]
    return fetch(reader.connection, Box, *where)


def box_pictures(reader: LibraryReader, number: str) -> tuple[BoxPicture, ...]:
    """Return the photographs of a box."""
    return fetch(reader.connection, BoxPicture, TABLES[BoxPicture].c.box == number)


def sightings_in_boxes(reader: LibraryReader, boxes: Iterable[str]) -> tuple[Sighting, ...]:
    """Return what was seen while these boxes were unpacked."""
    return fetch_any(reader.connection, Sighting, TABLES[Sighting].c.box, boxes)

"""The shelves for a person: how full each is, and where each unpacked copy goes next."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.store.queries.copies import copies_at_place, copies_per_place
from intake.edges.store.queries.shelves import place_path, shelves_in_order
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import path_words
from intake.model.places import Place
from intake.shelving.sizes import free_mm


@dataclass(frozen=True, slots=True)
class ShelfFill:
    """One shelf.

    Attributes:
        free: the room that is left, in words; empty where the width of the shelf is unknown.
        full_of_100: how full it is, for a bar; None where that is unknown.
    """

    shelf: Place
    name: str
    copies: int
    free: str
    full_of_100: int | None


def shelf_rows(records: LibraryReader, shelves: Sequence[Place] | None = None) -> tuple[ShelfFill, ...]:
    """List shelves, all of them in their order unless some are named."""
    counts = copies_per_place(records)
    rows: list[ShelfFill] = []
    for shelf in shelves_in_order(records) if shelves is None else shelves:
        standing = copies_at_place(records, shelf.number) if shelf.number in counts else ()
        free = free_mm(shelf, standing)
        full = None
        if free is not None and shelf.width_mm:
            full = min(100, max(0, round(100 * (1 - free / shelf.width_mm))))
        words = "" if free is None else f"{max(free, 0) / 10:.0f} cm free"
        rows.append(ShelfFill(shelf, path_words(place_path(records, shelf)), len(standing), words, full))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class ShelfLine:
    """One shelf, in words."""

    number: str
    where: str
    subject: str
    copies: int
    free: str


def shelf_lines(records: LibraryReader) -> tuple[ShelfLine, ...]:
    """List the shelves in their order, with what stands there and the room that is left."""
    lines: list[ShelfLine] = []
    for shelf in shelves_in_order(records):
        standing = copies_at_place(records, shelf.number)
        free = free_mm(shelf, standing)
        words = "" if free is None else f"{free:.0f} mm"
        lines.append(
            ShelfLine(shelf.number, path_words(place_path(records, shelf)), shelf.subject, len(standing), words)
        )
    return tuple(lines)

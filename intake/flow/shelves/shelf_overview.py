"""The shelves for a person: what belongs on each, how many copies stand there and how full it is."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.store.queries.shelves import PlaceNode, copies_on_shelves, place_nodes, thicknesses_on_shelves
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import path_words
from intake.flow.shelves.shelf_state import ShelfOrder
from intake.model.editions import Copy, Edition
from intake.model.places import Place
from intake.shelving.sizes import thickness_from


@dataclass(frozen=True, slots=True)
class ShelfFill:
    """One shelf.

    Attributes:
        name: where it is, from the room down.
        free_mm: the width that is left, below 0 where more stands there than has room; None where its width is unknown.
    """

    shelf: PlaceNode
    name: str
    copies: int
    free_mm: float | None

    @property
    def free(self) -> str:
        """Write the room that is left, or that is missing; empty where it is not known."""
        return "" if self.free_mm is None else free_words(self.free_mm)

    @property
    def full_of_100(self) -> int | None:
        """Return how full it is, for a bar; None where that is unknown."""
        if self.free_mm is None or not self.shelf.width_mm:
            return None
        return min(100, max(0, round(100 * (1 - self.free_mm / self.shelf.width_mm))))


def free_words(free_mm: float) -> str:
    """Write how much of a shelf's width is left, or is missing.

    >>> free_words(123.4), free_words(-8)
    ('12 cm free', '8 mm too short')
    """
    return f"{free_mm / 10:.0f} cm free" if free_mm >= 0 else f"{-free_mm:.0f} mm too short"


def shelf_rows(reader: LibraryReader, shelves: Sequence[str] | None = None) -> tuple[ShelfFill, ...]:
    """List shelves in their order, all of them unless some are named by their numbers."""
    order = ShelfOrder(place_nodes(reader, shelves))
    return shelf_fills(reader, order, order.shelves if shelves is None else order.chosen(shelves), shelves)


def shelf_fills(
    reader: LibraryReader, order: ShelfOrder, shelves: Sequence[PlaceNode], numbers: Sequence[str] | None
) -> tuple[ShelfFill, ...]:
    """Return how full some shelves of an order are; `numbers` are theirs, None where they are all that there are."""
    sizes = thicknesses_on_shelves(reader, numbers)
    rows: list[ShelfFill] = []
    for shelf in shelves:
        thick_mm = [thickness_from(*size) for size in sizes.get(shelf.number, ())]
        free_mm = None if shelf.width_mm is None else shelf.width_mm - sum(thick_mm)
        rows.append(ShelfFill(shelf, path_words(order.path(shelf.number)), len(thick_mm), free_mm))
    return tuple(rows)


def standing_on(reader: LibraryReader, shelf: Place) -> list[tuple[Copy, Edition]]:
    """Return the copies on a shelf with their editions, from the left."""
    return copies_on_shelves(reader, [shelf.number])[shelf.number]

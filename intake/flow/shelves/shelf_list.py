"""The list of shelves as a person reads it: filtered by what was typed, under their bookcases, a page at a time."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from intake.edges.store.queries.shelves import PlaceNode, place_nodes, place_path
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.list_filter import ListFilter, read_filter
from intake.flow.lookup.wording import path_words
from intake.flow.shelves.shelf_overview import ShelfFill, shelf_fills
from intake.flow.shelves.shelf_state import ShelfOrder
from intake.model.identifiers import OwnKind
from intake.model.places import Place, PlacePath
from intake.units.paging import first_of_page


@dataclass(frozen=True, slots=True)
class ShelvesOfCase:
    """The listed shelves of one bookcase; `number` is empty, and `name` too, for shelves that are in none."""

    number: str
    name: str
    rows: tuple[ShelfFill, ...]


@dataclass(frozen=True, slots=True)
class ShelfList:
    """One page of the list: `begin` of the `matching` shelves come before it, of `total` in all."""

    cases: tuple[ShelvesOfCase, ...]
    matching: int
    total: int
    begin: int
    typed: ListFilter

    @property
    def shown(self) -> int:
        """Return how many rows the page has."""
        return sum(len(case.rows) for case in self.cases)


def shelf_list(reader: LibraryReader, text: str, begin: int, count: int) -> ShelfList:
    """Return a page of the list of shelves, the last one where it is asked for beyond the end."""
    order = ShelfOrder(place_nodes(reader))
    typed = read_filter(reader, text, listed=OwnKind.PLACE)
    shelves = [shelf for shelf in order.shelves if _is_asked_for(shelf, order, typed)]
    begin = first_of_page(begin, len(shelves), count)
    page = shelves[begin : begin + count]
    fills = shelf_fills(reader, order, page, [shelf.number for shelf in page])
    rows = {row.shelf.number: row for row in fills}
    cases = tuple(_case(order, parent, list(of)) for parent, of in groupby(page, key=lambda shelf: shelf.parent))
    filled = tuple(ShelvesOfCase(number, name, tuple(rows[shelf.number] for shelf in of)) for number, name, of in cases)
    return ShelfList(filled, len(shelves), len(order.shelves), begin, typed)


def case_path(reader: LibraryReader, case: Place) -> PlacePath:
    """Return where a bookcase is in the tree."""
    return place_path(reader, case)


def _is_asked_for(shelf: PlaceNode, order: ShelfOrder, typed: ListFilter) -> bool:
    if typed.is_empty:
        return True
    within = {shelf.number, shelf.parent or ""}
    return bool(within & typed.places) or typed.names((*order.path(shelf.number).names, shelf.subject))


def _case(order: ShelfOrder, parent: str | None, shelves: Sequence[PlaceNode]) -> tuple[str, str, Sequence[PlaceNode]]:
    return (parent, path_words(order.path(parent)), shelves) if parent is not None else ("", "", shelves)

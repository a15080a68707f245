"""The shelves as the planners of shelving need them: in their order, with their space, their books and their names.

Where a bookcase's own measures are not known, they follow from its shelves: heights above the floor are added up from
below, and bookcases stand side by side, rooms some way apart. Only distances for carrying depend on it.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from intake.edges.store.queries.shelves import (
    PlaceNode,
    copies_on_shelves,
    filing_rule,
    place_nodes,
    shelves_with_copies,
)
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import title_ending, title_words
from intake.model.editions import Copy, Edition
from intake.model.places import Place, PlaceKind, PlacePath
from intake.model.shelving import Book, Space
from intake.shelving import sizes
from intake.shelving.loads import load_limit_g
from intake.shelving.order import SortKey, key_function
from intake.units.convert import mm_to_m

BOARD_MM = 18.0
CLEAR_HEIGHT_MM = 320.0
CASE_WIDTH_MM = 900.0
"""Taken where it was not measured; common practice, no source."""
BETWEEN_ROOMS_M = 5.0

Pair = tuple[Copy, Edition]


@dataclass(frozen=True, slots=True)
class Shelf:
    """A shelf of the library.

    Attributes:
        name: bookcase and shelf ("A 3").
        path: where it is in the tree.
        space: None where its width is not known.
        standing: the copies on it, from the left.
    """

    place: Place
    name: str
    path: PlacePath
    bookcase: Place | None
    space: Space | None
    standing: tuple[Pair, ...]

    @property
    def room(self) -> str:
        """Return the name of its room; empty where it is in no bookcase of a room."""
        return self.path.room if len(self.path.names) > 2 else ""

    @property
    def books(self) -> tuple[Book, ...]:
        """Return the copies as the shelf meets them."""
        return tuple(as_book(copy, edition) for copy, edition in self.standing)


def as_book(copy: Copy, edition: Edition, growth_mm: float = 0.0) -> Book:
    """Return a copy as a shelf meets it, under the name that instructions call it by."""
    name, volume = title_words(edition), title_ending(edition)
    return sizes.shelf_book(copy, edition, name=name, volume=volume, growth_mm=growth_mm)


class ShelfOrder:
    """The shelves in the order of the tree, and how far along the walls each bookcase stands.

    Attributes:
        shelves: all of those that it was made of.
    """

    def __init__(self, nodes: Iterable[PlaceNode]) -> None:
        self._nodes = {node.number: node for node in nodes}
        self.shelves = tuple(node for node in self._nodes.values() if node.kind is PlaceKind.SHELF)
        self._x_m = self._along_the_walls()

    def __contains__(self, number: str) -> bool:
        node = self._nodes.get(number)
        return node is not None and node.kind is PlaceKind.SHELF

    def chosen(self, numbers: Iterable[str]) -> tuple[PlaceNode, ...]:
        """Return these shelves, in order."""
        asked = set(numbers)
        return tuple(shelf for shelf in self.shelves if shelf.number in asked)

    def node(self, number: str) -> PlaceNode:
        """Return a place of the order."""
        return self._nodes[number]

    def path(self, number: str) -> PlacePath:
        """Return where a place is in the tree."""
        names: list[str] = []
        at: str | None = number
        while at is not None:
            node = self._nodes[at]
            names.append(node.name)
            at = node.parent
        return PlacePath(tuple(reversed(names)))

    def x_m(self, bookcase: str) -> float:
        """Return how far along the walls a bookcase begins, counted from the first."""
        return self._x_m[bookcase]

    def _along_the_walls(self) -> dict[str, float]:
        widths: dict[str, float] = {}
        for shelf in self.shelves:
            number = case_of(shelf)
            widths[number] = max(widths.get(number, 0.0), shelf.width_mm or 0.0)
        x_m, room = 0.0, None
        along: dict[str, float] = {}
        for number, width_mm in widths.items():
            case = self._nodes[number]
            if room is not None and case.parent != room:
                x_m += BETWEEN_ROOMS_M
            room = case.parent
            along[number] = x_m
            own_mm = case.width_mm if case.kind is PlaceKind.BOOKCASE else None
            x_m += mm_to_m(own_mm or width_mm or CASE_WIDTH_MM)
        return along


def case_of(shelf: PlaceNode | Place) -> str:
    """Return the number of a shelf's bookcase; its own where it is in none."""
    return shelf.parent or shelf.number


def read_shelves(reader: LibraryReader, chosen: Sequence[Place] | None = None) -> tuple[Shelf, ...]:
    """Return shelves in their order, all unless some are named; of these, distances are as if there were no others."""
    numbers = None if chosen is None else [place.number for place in chosen]
    return shelves_of(reader, ShelfOrder(place_nodes(reader, numbers)), numbers)


def shelves_of(reader: LibraryReader, order: ShelfOrder, numbers: Collection[str] | None) -> tuple[Shelf, ...]:
    """Return these shelves, or all, in their order."""
    nodes = order.shelves if numbers is None else order.chosen(numbers)
    if numbers is None:
        places, standing = reader.all(Place), copies_on_shelves(reader)
    else:
        places, standing = shelves_with_copies(reader, {node.number: case_of(node) for node in nodes})
    by_number = {place.number: place for place in places}
    heights = _heights_of_all(places)
    shelves: list[Shelf] = []
    for node in nodes:
        place, bookcase = by_number[node.number], by_number.get(node.parent or "")
        name = name_of(place, bookcase)
        space = _space(place, name, order.x_m(case_of(node)), mm_to_m(heights[node.number])) if node.width_mm else None
        pairs = tuple(standing.get(node.number, ()))
        shelves.append(Shelf(place, name, order.path(node.number), bookcase, space, pairs))
    return tuple(shelves)


def name_of(shelf: Place, bookcase: Place | None) -> str:
    """Write how a label and an instruction call a shelf ("A 3")."""
    return f"{bookcase.name} {shelf.name}" if bookcase else shelf.name


class Filing:
    """The person's rule of order, ready to give keys.

    A set stands together, so that each of its volumes is filed under the subject of the first that was recorded.

    Attributes:
        set_titles: the title of every set, by its number.
    """

    def __init__(self, reader: LibraryReader) -> None:
        self.rule, self._headings = filing_rule(reader)
        self.set_titles = {number: heading.title for number, heading in self._headings.items()}
        self._key = key_function(self.rule)
        self._keys: dict[int, SortKey] = {}

    def key(self, edition: Edition) -> SortKey:
        """Return an edition's key."""
        if edition.id not in self._keys:
            filed = replace(edition, subject=self.subject(edition))
            self._keys[edition.id] = self._key(filed, self.set_titles.get(edition.set_id or 0, ""))
        return self._keys[edition.id]

    def subject(self, edition: Edition) -> str:
        """Return the subject under which an edition is filed: that of its set, or its own."""
        heading = self._headings.get(edition.set_id or 0)
        return heading.subject if heading is not None and heading.subject else edition.subject

    def in_order(self, pairs: Iterable[Pair]) -> list[Pair]:
        """Sort copies by the rule; second copies by their own number."""
        return sorted(pairs, key=lambda pair: (self.key(pair[1]), len(pair[0].accession), pair[0].accession))


def double_positions(shelf: Shelf) -> tuple[str, ...]:
    """Write which copies are recorded at the same position on a shelf; one sentence each."""
    claims = Counter(copy.position for copy, _ in shelf.standing if copy.position is not None)
    sentences = []
    for position in sorted(position for position, count in claims.items() if count > 1):
        copies = [copy.accession for copy, _ in shelf.standing if copy.position == position]
        sentences.append(
            f"{' and '.join(copies)} are both recorded at place {position} on {shelf.name}: check which stands first."
        )
    return tuple(sentences)


def _heights_of_all(places: Iterable[Place]) -> dict[str, float]:
    """Return the height of every shelf above the floor, in mm; all shelves of each bookcase are among the places."""
    by_case: dict[str, list[Place]] = {}
    for place in sorted(places, key=lambda place: (place.position, place.number)):
        if place.kind is PlaceKind.SHELF:
            by_case.setdefault(case_of(place), []).append(place)
    heights: dict[str, float] = {}
    for shelves in by_case.values():
        heights |= _heights_mm(shelves)
    return heights


def _space(shelf: Place, name: str, x_m: float, y_m: float) -> Space:
    unlimited = float("inf")
    return Space(
        shelf=shelf.number,
        name=name,
        width_mm=shelf.width_mm or 0.0,
        height_mm=shelf.height_mm or unlimited,
        depth_mm=shelf.depth_mm or unlimited,
        limit_g=load_limit_g(shelf),
        x_m=x_m,
        y_m=y_m,
    )


def _heights_mm(shelves: Sequence[Place]) -> dict[str, float]:
    """Return each shelf's height above the floor, as measured or added up from the lowest."""
    heights: dict[str, float] = {}
    above = 0.0
    for shelf in reversed(shelves):
        above = shelf.above_floor_mm if shelf.above_floor_mm is not None else above
        heights[shelf.number] = above
        above += (shelf.height_mm or CLEAR_HEIGHT_MM) + (shelf.board_mm or BOARD_MM)
    return heights

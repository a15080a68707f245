"""The shelves as the planners of shelving want them: in their order, with their space, their books and their names.

Where a bookcase's own measures are not known, its shelves tell: heights above the floor are added up from below, and
bookcases stand side by side, rooms some way apart. Only distances for carrying depend on it.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from intake.edges.store.queries.shelves import copies_on_shelves, shelf_ordering, shelves_in_order
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import title_words
from intake.model.editions import BookSet, Copy, Edition
from intake.model.places import Place, PlaceKind
from intake.model.shelving import Book, Space
from intake.shelving import sizes
from intake.shelving.loads import load_limit_g
from intake.shelving.order import SortKey, key_function
from intake.units.convert import mm_to_m

BOARD_MM = 18.0
CLEAR_HEIGHT_MM = 320.0
CASE_WIDTH_MM = 900.0
"""Taken where nobody measured; common practice, no source."""
BETWEEN_ROOMS_M = 5.0

Pair = tuple[Copy, Edition]


@dataclass(frozen=True, slots=True)
class Shelf:
    """A shelf of the library.

    Attributes:
        name: bookcase and shelf ("A 3").
        space: None where its width is not known.
        standing: the copies on it, from the left.
    """

    place: Place
    name: str
    room: str
    bookcase: Place | None
    space: Space | None
    standing: tuple[Pair, ...]

    @property
    def books(self) -> tuple[Book, ...]:
        """Return the copies as the shelf meets them."""
        return tuple(as_book(copy, edition) for copy, edition in self.standing)


def as_book(copy: Copy, edition: Edition, growth_mm: float = 0.0) -> Book:
    """Return a copy as a shelf meets it, under the name that instructions call it by."""
    return sizes.shelf_book(copy, edition, name=title_words(edition), growth_mm=growth_mm)


def read_shelves(
    records: LibraryReader, wanted: Sequence[Place] | None = None, *, order: Sequence[Place] | None = None
) -> tuple[Shelf, ...]:
    """Return shelves in their order, all unless some are named; `order` saves looking up all shelves again."""
    order = shelves_in_order(records) if order is None else order
    chosen = {shelf.number for shelf in (order if wanted is None else wanted)}
    standing = copies_on_shelves(records, chosen)
    places = {place.number: place for place in records.all(Place)}
    spaces = _spaces(order, places)
    shelves = []
    for shelf in order:
        if shelf.number in chosen:
            bookcase = places.get(shelf.parent or "")
            room = places.get(bookcase.parent or "") if bookcase else None
            name = name_of(shelf, bookcase)
            pairs = tuple(standing[shelf.number])
            shelves.append(Shelf(shelf, name, room.name if room else "", bookcase, spaces.get(shelf.number), pairs))
    return tuple(shelves)


def name_of(shelf: Place, bookcase: Place | None) -> str:
    """Write how a label and an instruction call a shelf ("A 3")."""
    return f"{bookcase.name} {shelf.name}" if bookcase else shelf.name


class Filing:
    """The person's rule of order, ready to give keys."""

    def __init__(self, records: LibraryReader) -> None:
        self.rule = shelf_ordering(records)
        self._key = key_function(self.rule)
        self._sets = {book_set.id: book_set.title for book_set in records.all(BookSet)}

    def key(self, edition: Edition) -> SortKey:
        """Return an edition's key."""
        return self._key(edition, self._sets.get(edition.set_id or 0, ""))

    def in_order(self, pairs: Iterable[Pair]) -> list[Pair]:
        """Sort copies by the rule; second copies by their own number."""
        return sorted(pairs, key=lambda pair: (self.key(pair[1]), len(pair[0].accession), pair[0].accession))


def double_positions(shelf: Shelf) -> tuple[str, ...]:
    """Say which copies claim one position on a shelf; one sentence each."""
    claims = Counter(copy.position for copy, _ in shelf.standing if copy.position is not None)
    sentences = []
    for position in sorted(position for position, count in claims.items() if count > 1):
        copies = [copy.accession for copy, _ in shelf.standing if copy.position == position]
        sentences.append(
            f"{' and '.join(copies)} both claim place {position} on {shelf.name}: look which stands first."
        )
    return tuple(sentences)


def _spaces(order: Sequence[Place], places: Mapping[str, Place]) -> dict[str, Space]:
    """Return the space of every shelf that has a width, set out along the walls."""
    spaces: dict[str, Space] = {}
    x_m, room, case = 0.0, None, None
    by_case: dict[str, list[Place]] = {}
    for shelf in order:
        by_case.setdefault(shelf.parent or shelf.number, []).append(shelf)
    for number, shelves in by_case.items():
        case = places[number]
        if room is not None and case.parent != room:
            x_m += BETWEEN_ROOMS_M
        room = case.parent
        heights = _heights_mm(shelves)
        for shelf in shelves:
            if shelf.width_mm:
                spaces[shelf.number] = _space(shelf, name_of(shelf, case), x_m, mm_to_m(heights[shelf.number]))
        own = case.width_mm if case.kind is PlaceKind.BOOKCASE else None
        x_m += mm_to_m(own or max((shelf.width_mm or 0.0 for shelf in shelves), default=0.0) or CASE_WIDTH_MM)
    return spaces


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

"""Types for shelving: books and shelves by size and mass, the person's rule of order, a bookcase to be drawn.

Lengths in mm, masses in g. The books of a shelf are listed from the left.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import inf

from intake.errors import RefusedError

DEFAULT_KEYS = ("subject", "set", "volume", "author", "title", "year")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordering:
    """The person's rule of order; the library keeps one, named "shelves".

    Attributes:
        keys: the sort keys, most significant first (see `intake.shelving.order.Key`).
        language: the language whose collation applies, a BCP 47 tag ("sv", "de-u-co-phonebk").
    """

    name: str = "shelves"
    keys: tuple[str, ...] = DEFAULT_KEYS
    language: str = "en"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A label as it was last printed, so that only what changed is printed again.

    Attributes:
        label: its use and the own number on it ("shelf S5-87").
        words: the full text of the label.
    """

    label: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The size and mass of a copy to be shelved.

    Attributes:
        copy: its own number; empty for space reserved for a volume still to come.
        name: its name in instructions.
        volume: how its name ends where it names the volume of a set; not cut off where the name is shortened.
        depth_mm: from the spine to the fore edge.
        estimated: the sizes that were estimated, not measured ("thickness").
        set_id: the set it belongs to, which should stay on one shelf.
        growth_mm: space to be left free after it, for volumes still to come.
    """

    copy: str
    thickness_mm: float
    height_mm: float
    depth_mm: float
    mass_g: float
    name: str = ""
    volume: str = ""
    estimated: tuple[str, ...] = ()
    set_id: int | None = None
    growth_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """The size, load limit and position of a shelf; an unknown limit is infinite.

    Attributes:
        shelf: its own number.
        name: its name in instructions ("A 3").
        limit_g: greatest mass that may stand on it.
        x_m, y_m: position of its left end: along the walls from any fixed point, and above the floor.
    """

    shelf: str
    width_mm: float
    height_mm: float = inf
    depth_mm: float = inf
    limit_g: float = inf
    name: str = ""
    x_m: float = 0.0
    y_m: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a shelf that has no width."""
        if not self.width_mm > 0:
            raise RefusedError(f"Shelf {self.name or self.shelf}", "has no width", "measure its clear width")

    def takes(self, book: Book) -> bool:
        """Return whether the book, alone, fits on the shelf and its load limit."""
        return (
            book.thickness_mm <= self.width_mm
            and book.height_mm <= self.height_mm
            and book.depth_mm <= self.depth_mm
            and book.mass_g <= self.limit_g
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnShelf:
    """A shelf of a bookcase that is drawn, and its books from the left."""

    space: Space
    books: tuple[Book, ...]
    board_mm: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnBookcase:
    """A bookcase to be drawn, its shelves from the top; the copies that are `marked` are pointed at."""

    name: str
    number: str
    shelves: tuple[DrawnShelf, ...]
    notes: tuple[str, ...] = ()
    marked: frozenset[str] = frozenset()


class Key(StrEnum):
    """The keys that a rule can combine.

    A set files under its own title among the titles of single books, so that its volumes stay together.
    """

    SUBJECT = "subject"
    SET = "set"
    VOLUME = "volume"
    AUTHOR = "author"
    TITLE = "title"
    YEAR = "year"
    SIZE = "size"
    DEWEY = "dewey"
    CONGRESS = "congress"

"""Words of shelving: a book as a shelf meets it, the space it stands in, the person's rule of order, a bookcase drawn.

Lengths in mm, masses in g. A shelf's books are told from the left.
"""

from dataclasses import dataclass
from math import inf

from intake.errors import RefusedError

DEFAULT_KEYS = ("subject", "set", "volume", "author", "title", "year")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordering:
    """The person's rule of order; the library keeps one, named "shelves".

    Attributes:
        keys: what decides first, second and so on (see `intake.shelving.order.Key`).
        language: whose alphabet the words follow, a BCP 47 tag ("sv", "de-u-co-phonebk").
    """

    name: str = "shelves"
    keys: tuple[str, ...] = DEFAULT_KEYS
    language: str = "en"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A label as it was last printed, so that only what changed is printed again.

    Attributes:
        label: what it is for and the own number on it ("shelf S5-87").
        words: all that it says.
    """

    label: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A copy as a shelf meets it.

    Attributes:
        copy: its own number; empty for room that is kept for a volume to come.
        name: how an instruction calls it.
        depth_mm: from the spine to the fore edge.
        estimated: the sizes that nobody measured ("thickness").
        set_id: the set that should not be torn across shelves.
        growth_mm: room that should stay free behind it, for what is still to come.
    """

    copy: str
    thickness_mm: float
    height_mm: float
    depth_mm: float
    mass_g: float
    name: str = ""
    estimated: tuple[str, ...] = ()
    set_id: int | None = None
    growth_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """A shelf as books meet it; what is not known does not limit.

    Attributes:
        shelf: its own number.
        name: how an instruction calls it ("A 3").
        limit_g: the most that may stand on it.
        x_m, y_m: where its left end is, from any fixed point: along the walls, and above the floor.
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
        """Tell whether the book, alone, can stand there."""
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
    """A bookcase to be drawn, its shelves from the top."""

    name: str
    number: str
    shelves: tuple[DrawnShelf, ...]
    notes: tuple[str, ...] = ()

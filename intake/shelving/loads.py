"""Loads on shelf, bookcase and floor: mass, sag at mid-span, load on the floor.

The sag is that of a simply supported beam of one board under a uniform load, 5 w L^4 / (384 E I) with I = b h^3 / 12;
moduli and creep are in `intake.shelving.boards`. A sag of about 1/32 inch per foot of span (L/384) is visible (rule of
woodworkers, seen in a copy). The longest shelves that the Architectural Woodwork Standards (edition 1, 2009; seen in a
copy) allow sag by about L/144 when they are loaded.

Loads on floors are those that building codes design for. They are of whole floors: the load under one bookcase is no
proof of anything, so it is also spread over the free floor before it (`STRIP_MM`, an assumption of ours, no code).

Not considered: the board's own weight, edging and back panels that stiffen it, pins and brackets that fail before it,
steel and glass, the beams of the floor, and books piled elsewhere in the room.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum, auto
from math import inf

from intake.model.places import Place
from intake.model.shelving import Book
from intake.shelving.boards import Board, board_of
from intake.shelving.excess import Excess, find_excess
from intake.units.convert import G_PER_KG, MM_PER_INCH
from intake.units.language import term

GRAVITY = 9.80665
"""Standard gravity, m/s² (CGPM 1901)."""
PA_PER_PSF = 4.4482216152605 / (12 * MM_PER_INCH / 1000) ** 2
"""A pound-force is 4.4482216152605 N."""
VISIBLE = 1 / 384
WOODWORK = 1 / 144
STRIP_MM = 1200.0
HEAVY_BOOK_G = 3_000.0
"""What the guideline filter of the UK's Health and Safety Executive (L23, INDG143; seen in a copy) allows women with
arms stretched out, above the shoulder or below mid lower leg: the least of its figures. It is no limit."""


@dataclass(frozen=True, slots=True)
class FloorLoad:
    """What a code designs a kind of floor for.

    Attributes:
        least_kpa: the characteristic or live load; of a recommended range its lower end.
        most_kpa: the upper end of that range.
        code: the code and its table.
    """

    use: str
    least_kpa: float
    most_kpa: float
    code: str


def _us(use: str, psf: float) -> FloorLoad:
    kpa = psf * PA_PER_PSF / 1000
    return FloorLoad(use, kpa, kpa, term("IBC 2021, table 1607.1"))


FLOOR_LOADS = (
    FloorLoad(term("dwellings"), 1.5, 2.0, term("EN 1991-1-1, table 6.2, from memory")),
    _us(term("dwellings"), 40.0),
    _us(term("library reading rooms"), 60.0),
    _us(term("library stack rooms"), 150.0),
    FloorLoad(term("stores of books"), 7.5, 7.5, term("EN 1991-1-1, table 6.4")),
)
"""Rising. EN 1991-1-1: table 6.2, category A, is a recommended range; table 6.4, category E1, was seen in a copy. IBC:
dwellings seen in a copy of the 2021 table, the two rows of libraries in a copy of the edition of 2000. National annexes
and local codes replace all of them."""


class SagUnknown(Enum):
    """Why no sag can be computed."""

    NO_MATERIAL = auto()
    NOT_IN_TABLE = auto()
    TOO_THICK = auto()
    NO_SIZE = auto()


@dataclass(frozen=True, slots=True)
class ShelfLoad:
    """The load on one shelf.

    Attributes:
        estimated: number of its books whose mass is estimated.
        board: the material of its board; None if unknown.
        sag_mm: sag at mid-span when the books are put on it; None if unknown.
        unknown: why it is unknown; None if it is not, or nothing stands on the shelf.
        excess: what of the shelf its books exceed.
    """

    shelf: Place
    mass_g: float
    estimated: int
    board: Board | None = None
    sag_mm: float | None = None
    unknown: SagUnknown | None = None
    excess: tuple[Excess, ...] = ()

    @property
    def span_mm(self) -> float | None:
        """Return the distance between the supports of its board."""
        return self.shelf.span_mm or self.shelf.width_mm

    @property
    def late_sag_mm(self) -> float | None:
        """Return the sag after years under the same books."""
        return None if self.sag_mm is None or self.board is None else self.sag_mm * (1 + self.board.creep)

    @property
    def will_show(self) -> bool:
        """Return whether its sag will be visible."""
        return bool(self.late_sag_mm and self.span_mm and self.late_sag_mm > self.span_mm * VISIBLE)

    @property
    def beyond_woodwork(self) -> bool:
        """Return whether it sags more than woodworkers plan for, even before it creeps."""
        return bool(self.sag_mm and self.span_mm and self.sag_mm > self.span_mm * WOODWORK)


@dataclass(frozen=True, slots=True)
class BookcaseLoad:
    """The load of a bookcase on the floor.

    Attributes:
        mass_g: of the books, and of the bookcase where `own_mass`.
        own_mass: whether the mass of the empty bookcase is known.
        estimated: number of its books whose mass is estimated.
        pressure_kpa: its weight over its footprint; None if that is unknown.
        spread_kpa: its weight over its width and `STRIP_MM` from the wall; None if its width is unknown.
    """

    bookcase: Place
    mass_g: float
    own_mass: bool
    estimated: int
    pressure_kpa: float | None
    spread_kpa: float | None


def sag_mm(mass_g: float, *, span_mm: float, depth_mm: float, board_mm: float, modulus_gpa: float) -> float:
    """Return the sag at mid-span of a board under a uniform load.

    Args:
        mass_g: mass of the books.
        span_mm: distance between the supports.
        depth_mm: depth of the board, front to back.
        board_mm: thickness of the board.
        modulus_gpa: modulus of elasticity.

    >>> round(sag_mm(25_000, span_mm=800, depth_mm=250, board_mm=18, modulus_gpa=2.76), 2)
    4.87
    """
    load_n_per_mm = mass_g / G_PER_KG * GRAVITY / span_mm
    inertia_mm4 = depth_mm * board_mm**3 / 12
    return 5 * load_n_per_mm * span_mm**4 / (384 * modulus_gpa * 1000 * inertia_mm4)


def shelf_load(shelf: Place, books: Iterable[Book]) -> ShelfLoad:
    """Compute the load on a shelf and the sag of its board."""
    shelved = list(books)
    mass = sum(book.mass_g for book in shelved)
    estimated = sum("mass" in book.estimated for book in shelved)
    board = board_of(shelf.material)
    sag = _sag(shelf, board, mass)
    excess = find_excess(shelf, shelved)
    if isinstance(sag, SagUnknown):
        return ShelfLoad(shelf, mass, estimated, board, unknown=sag if shelved else None, excess=excess)
    return ShelfLoad(shelf, mass, estimated, board, sag, excess=excess)


def load_limit_g(shelf: Place) -> float:
    """Return the greatest mass that may stand on a shelf, as its maker states; infinite if unknown."""
    return shelf.rated_g if shelf.rated_g is not None else inf


def bookcase_load(bookcase: Place, shelves: Iterable[ShelfLoad]) -> BookcaseLoad:
    """Compute the mass of a bookcase with its books, and its load on the floor.

    Args:
        bookcase: with its own mass and outer size, if known.
        shelves: the loads of its shelves.
    """
    loads = list(shelves)
    mass = (bookcase.mass_g or 0.0) + sum(shelf.mass_g for shelf in loads)
    width, depth = bookcase.width_mm, bookcase.depth_mm
    return BookcaseLoad(
        bookcase=bookcase,
        mass_g=mass,
        own_mass=bookcase.mass_g is not None,
        estimated=sum(shelf.estimated for shelf in loads),
        pressure_kpa=_pressure_kpa(mass, width, depth) if width and depth else None,
        spread_kpa=_pressure_kpa(mass, width, max(STRIP_MM, depth or 0.0)) if width else None,
    )


def exceeded_by(load_kpa: float) -> tuple[FloorLoad, ...]:
    """Return the floors that a code designs for less than this load."""
    return tuple(floor for floor in FLOOR_LOADS if load_kpa > floor.least_kpa)


def _pressure_kpa(mass_g: float, width_mm: float, depth_mm: float) -> float:
    return mass_g / G_PER_KG * GRAVITY / (width_mm * depth_mm / 1e6) / 1000


def _sag(shelf: Place, board: Board | None, mass_g: float) -> float | SagUnknown:
    if board is None:
        return SagUnknown.NOT_IN_TABLE if shelf.material else SagUnknown.NO_MATERIAL
    span = shelf.span_mm or shelf.width_mm
    if not span or not shelf.depth_mm or not shelf.board_mm:
        return SagUnknown.NO_SIZE
    modulus = board.modulus_gpa(shelf.board_mm)
    if modulus is None:
        return SagUnknown.TOO_THICK
    return sag_mm(mass_g, span_mm=span, depth_mm=shelf.depth_mm, board_mm=shelf.board_mm, modulus_gpa=modulus)

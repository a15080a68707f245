"""Whether shelf, bookcase and floor bear their books: mass, sag at mid-span, floor load, cautions.

The sag is that of a simply supported beam of one board under an even load, 5 w L^4 / (384 E I) with I = b h^3 / 12;
half as much again comes with the years (creep). Moduli are the lower ends of the ranges in the Wood Handbook (US Forest
Products Laboratory), at 12 % moisture. The eye notices about 1/32 inch a foot of span (L/384); furniture makers aim at
0.02 inch a foot (L/600). Live loads are those of US building codes: 40 psf in dwellings, 60 psf in reading rooms,
150 psf under book stacks.

Not considered: edging and back panels that stiffen a board, pins and brackets that fail before it, steel and glass. A
code's live load is for a whole floor; the load under one bookcase beside it is an indication, never a proof.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf

from intake.model.places import Place
from intake.model.shelving import Book
from intake.units.convert import G_PER_KG, MM_PER_INCH, kg_text

GRAVITY = 9.80665
"""Standard gravity, m/s² (CGPM 1901)."""
PA_PER_PSF = 4.4482216152605 / (12 * MM_PER_INCH / 1000) ** 2
"""A pound-force is 4.4482216152605 N."""

MODULI_GPA = {
    "particleboard": 2.76,
    "mdf": 3.59,
    "hardboard": 3.10,
    "osb": 4.41,
    "plywood": 6.96,
    "pine": 8.2,
    "maple": 11.31,
    "oak": 12.27,
    "douglas fir": 13.44,
}
CREEP = 1.5
NOTICED = 1 / 384

DWELLING_PSF, READING_PSF, STACKS_PSF = 40.0, 60.0, 150.0
LIVE_LOADS_KPA = tuple(
    (name, psf * PA_PER_PSF / 1000)
    for name, psf in (("dwellings", DWELLING_PSF), ("reading rooms", READING_PSF), ("book stacks", STACKS_PSF))
)

ANCHOR = "Anchor the bookcase to the wall and put the heavy books low."
ENGINEER = (
    "Local building codes and a structural engineer decide what a floor bears; "
    "ask one before a wall of books in an old house."
)


@dataclass(frozen=True, slots=True)
class ShelfLoad:
    """What one shelf carries.

    Attributes:
        estimated: how many books on it were not weighed.
        sag_mm: at mid-span today; None where the board is not known.
        late_sag_mm: with the years.
        cautions: whole sentences; none where nothing is wrong.
    """

    shelf: Place
    mass_g: float
    estimated: int
    sag_mm: float | None
    late_sag_mm: float | None
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BookcaseLoad:
    """What a bookcase puts on the floor.

    Attributes:
        pressure_kpa: its mass on its footprint; None where the footprint is not known.
    """

    bookcase: Place
    mass_g: float
    pressure_kpa: float | None
    cautions: tuple[str, ...]


def sag_mm(mass_g: float, *, span_mm: float, depth_mm: float, board_mm: float, modulus_gpa: float) -> float:
    """Return the sag at mid-span of a board under an evenly spread load.

    Args:
        mass_g: of the books.
        span_mm: between the supports.
        depth_mm: of the board, front to back.
        board_mm: its thickness.
        modulus_gpa: of elasticity.

    >>> round(sag_mm(25_000, span_mm=800, depth_mm=250, board_mm=18, modulus_gpa=2.76), 2)
    4.87
    """
    load_n_per_mm = mass_g / G_PER_KG * GRAVITY / span_mm
    inertia_mm4 = depth_mm * board_mm**3 / 12
    return 5 * load_n_per_mm * span_mm**4 / (384 * modulus_gpa * 1000 * inertia_mm4)


def modulus_gpa(material: str) -> float | None:
    """Return the modulus of a board, by the words of its name; None for a material that is not listed.

    >>> modulus_gpa("White oak, oiled"), modulus_gpa("glass")
    (12.27, None)
    """
    words = material.casefold()
    return next((modulus for name, modulus in MODULI_GPA.items() if name in words), None)


def shelf_load(shelf: Place, books: Iterable[Book]) -> ShelfLoad:
    """Weigh the books on a shelf and bend its board."""
    standing = list(books)
    mass = sum(book.mass_g for book in standing)
    estimated = sum("mass" in book.estimated for book in standing)
    sag = _sag(shelf, mass)
    cautions = []
    if shelf.rated_g is not None and mass > shelf.rated_g:
        cautions.append(f"It carries {kg_text(mass)}, more than the {kg_text(shelf.rated_g)} it is rated for.")
    late = None if sag is None else sag * CREEP
    span = shelf.span_mm or shelf.width_mm
    if late is not None and span and late > span * NOTICED:
        cautions.append(
            f"With the years it will sag by {late:.1f} mm, which the eye notices (over {span * NOTICED:.1f} mm)."
        )
    return ShelfLoad(shelf, mass, estimated, sag, late, tuple(cautions))


def bearable_g(shelf: Place) -> float:
    """Return the most that may stand on a shelf: what its maker states; without limit where that is not known."""
    return shelf.rated_g if shelf.rated_g is not None else inf


def bookcase_load(bookcase: Place, shelves: Iterable[ShelfLoad]) -> BookcaseLoad:
    """Add up a bookcase and spread it over its footprint.

    Args:
        bookcase: its own mass and outside size, where known.
        shelves: the loads of its shelves.
    """
    mass = (bookcase.mass_g or 0.0) + sum(shelf.mass_g for shelf in shelves)
    pressure = None
    cautions = []
    if bookcase.width_mm and bookcase.depth_mm:
        area_m2 = bookcase.width_mm * bookcase.depth_mm / 1e6
        pressure = mass / G_PER_KG * GRAVITY / area_m2 / 1000
        passed = [f"{name} ({load:.2f} kPa)" for name, load in LIVE_LOADS_KPA if pressure > load]
        # Any full bookcase passes the load of a dwelling on its own small footprint, which alone says little.
        if len(passed) > 1:
            cautions.append(
                f"On its footprint it weighs more than floors are usually designed for in {', '.join(passed)}."
            )
    return BookcaseLoad(bookcase, mass, pressure, tuple(cautions))


def _sag(shelf: Place, mass_g: float) -> float | None:
    modulus = modulus_gpa(shelf.material)
    span = shelf.span_mm or shelf.width_mm
    if modulus is None or not span or not shelf.depth_mm or not shelf.board_mm:
        return None
    return sag_mm(mass_g, span_mm=span, depth_mm=shelf.depth_mm, board_mm=shelf.board_mm, modulus_gpa=modulus)

"""Loads on shelf, bookcase and floor: mass, sag at mid-span, floor load, cautions.

The sag is that of a simply supported beam of one board under a uniform load, 5 w L^4 / (384 E I) with I = b h^3 / 12;
half as much again is added over the years by creep. Moduli are the lower ends of the ranges in the Wood Handbook (US
Forest Products Laboratory), at 12 % moisture. A sag of about 1/32 inch per foot of span (L/384) is visible; furniture
makers aim at 0.02 inch per foot (L/600). Live loads are those of US building codes: 40 psf in dwellings, 60 psf in
reading rooms, 150 psf under book stacks.

Not considered: edging and back panels that stiffen a board, pins and brackets that fail before it, steel and glass. A
code's live load is for a whole floor; comparing the load under one bookcase with it is an indication, not a proof.
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
    "Local building codes and a structural engineer decide what a floor can bear; "
    "ask one before filling a wall with books in an old house."
)


@dataclass(frozen=True, slots=True)
class ShelfLoad:
    """The load on one shelf.

    Attributes:
        estimated: number of its books whose mass is estimated.
        sag_mm: present sag at mid-span; None if the board is unknown.
        late_sag_mm: the same after years of creep.
        cautions: sentences; empty if nothing is wrong.
    """

    shelf: Place
    mass_g: float
    estimated: int
    sag_mm: float | None
    late_sag_mm: float | None
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BookcaseLoad:
    """The load of a bookcase on the floor.

    Attributes:
        pressure_kpa: its weight over its footprint; None if the footprint is unknown.
    """

    bookcase: Place
    mass_g: float
    pressure_kpa: float | None
    cautions: tuple[str, ...]


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


def modulus_gpa(material: str) -> float | None:
    """Return the modulus of elasticity of a material named in a text; None if it is not listed.

    >>> modulus_gpa("White oak, oiled"), modulus_gpa("glass")
    (12.27, None)
    """
    words = material.casefold()
    return next((modulus for name, modulus in MODULI_GPA.items() if name in words), None)


def shelf_load(shelf: Place, books: Iterable[Book]) -> ShelfLoad:
    """Compute the load on a shelf and the sag of its board."""
    shelved = list(books)
    mass = sum(book.mass_g for book in shelved)
    estimated = sum("mass" in book.estimated for book in shelved)
    sag = _sag(shelf, mass)
    cautions = []
    if shelf.rated_g is not None and mass > shelf.rated_g:
        cautions.append(f"It carries {kg_text(mass)}, more than its rated {kg_text(shelf.rated_g)}.")
    late = None if sag is None else sag * CREEP
    span = shelf.span_mm or shelf.width_mm
    if late is not None and span and late > span * NOTICED:
        cautions.append(
            f"Over the years it will sag by {late:.1f} mm, which is visible (more than {span * NOTICED:.1f} mm)."
        )
    return ShelfLoad(shelf, mass, estimated, sag, late, tuple(cautions))


def load_limit_g(shelf: Place) -> float:
    """Return the greatest mass that may stand on a shelf, as its maker states; infinite if unknown."""
    return shelf.rated_g if shelf.rated_g is not None else inf


def bookcase_load(bookcase: Place, shelves: Iterable[ShelfLoad]) -> BookcaseLoad:
    """Compute the mass of a bookcase with its books, and its pressure on the floor.

    Args:
        bookcase: with its own mass and outer size, if known.
        shelves: the loads of its shelves.
    """
    mass = (bookcase.mass_g or 0.0) + sum(shelf.mass_g for shelf in shelves)
    pressure = None
    cautions = []
    if bookcase.width_mm and bookcase.depth_mm:
        area_m2 = bookcase.width_mm * bookcase.depth_mm / 1e6
        pressure = mass / G_PER_KG * GRAVITY / area_m2 / 1000
        exceeded = [f"{name} ({load:.2f} kPa)" for name, load in LIVE_LOADS_KPA if pressure > load]
        # Any full bookcase exceeds the load of a dwelling on its own small footprint, which by itself says little.
        if len(exceeded) > 1:
            cautions.append(f"Its load per area exceeds what floors are usually designed for in {', '.join(exceeded)}.")
    return BookcaseLoad(bookcase, mass, pressure, tuple(cautions))


def _sag(shelf: Place, mass_g: float) -> float | None:
    modulus = modulus_gpa(shelf.material)
    span = shelf.span_mm or shelf.width_mm
    if modulus is None or not span or not shelf.depth_mm or not shelf.board_mm:
        return None
    return sag_mm(mass_g, span_mm=span, depth_mm=shelf.depth_mm, board_mm=shelf.board_mm, modulus_gpa=modulus)

"""The size and mass of a copy to be shelved; what was not measured is estimated and marked.

A leaf is 0.13 mm thick and 150 g/m² (silk-coated paper of bulk 0.9, the usual stock of illustrated books), two boards
with their paper are 6 mm: block = leaves x grammage x bulk, the paper trade's formula. If even the extent is unknown,
30 mm is assumed: 6 to 8½ volumes stand on a foot of shelf (36 to 51 mm each) in general libraries (Metcalf's figures as
quoted in library planning guides), and a household's illustrated books tend to be thinner. Proportions and the density
of a book are common practice, no source. No estimate is so large that the copy would not fit on any shelf.
"""

from intake.model.editions import Copy, Edition
from intake.model.shelving import Book

UNKNOWN_THICKNESS_MM = 30.0
UNKNOWN_HEIGHT_MM = 240.0
LEAF_MM = 0.13
BOARDS_MM = 6.0
DEPTH_OF_HEIGHT = 0.77
DENSITY_G_MM3 = 0.0009
"""Coated paper between boards: a little below that of water."""


def shelf_book(copy: Copy, edition: Edition, *, name: str = "", volume: str = "", growth_mm: float = 0.0) -> Book:
    """Return the size and mass of a copy.

    Args:
        copy: provides the number.
        edition: provides sizes and extent, where known.
        name: its name in instructions; the title of the edition if empty.
        volume: how the name ends where it names the volume; empty where it does not.
        growth_mm: space to be left free after it.

    Returns:
        The book; `estimated` lists each size that was not measured.
    """
    thickness = thickness_mm(edition)
    height = edition.height_mm or UNKNOWN_HEIGHT_MM
    depth = edition.width_mm or height * DEPTH_OF_HEIGHT
    known = {
        "thickness": edition.thickness_mm,
        "height": edition.height_mm,
        "depth": edition.width_mm,
        "mass": edition.mass_g,
    }
    return Book(
        copy=copy.accession,
        name=name or edition.title,
        volume=volume,
        thickness_mm=thickness,
        height_mm=height,
        depth_mm=depth,
        mass_g=edition.mass_g or thickness * height * depth * DENSITY_G_MM3,
        estimated=tuple(size for size, value in known.items() if not value),
        set_id=edition.set_id,
        growth_mm=growth_mm,
    )


def thickness_mm(edition: Edition) -> float:
    """Return the thickness as measured, else computed from the extent, else a typical value.

    >>> thickness_mm(Edition(id=1, title="Gulls", pages=200)), thickness_mm(Edition(id=1, title="Gulls"))
    (19.0, 30.0)
    """
    return thickness_from(edition.thickness_mm, edition.pages)


def thickness_from(measured_mm: float | None, pages: int | None) -> float:
    """Return the thickness as measured, else computed from the extent, else the usual one, in mm."""
    if measured_mm:
        return measured_mm
    return pages / 2 * LEAF_MM + BOARDS_MM if pages else UNKNOWN_THICKNESS_MM

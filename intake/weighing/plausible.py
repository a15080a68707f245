"""Whether a box can weigh what is stated: more than it does empty, and no less than the books in it.

A gross mass below these is more often a slip or a wrong mass in the catalog than a fact; but books may be gone. Only
masses that the catalog states are counted; carton and padding come on top and leave room for small errors of theirs.

A mass and a size that no book has together, such as pounds written as kilograms, are an error of the catalog. Which of
the two is wrong cannot be known, so `stated_mass_g`, the one definition of what a catalog says a copy weighs, is then
nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum, auto

from intake.model.boxes import Box
from intake.model.editions import Copy, CopyState, Edition
from intake.weighing import paper


class GrossFault(Enum):
    """Why a gross mass cannot be right."""

    NOT_ABOVE_TARE = auto()
    BELOW_BOOKS = auto()


@dataclass(frozen=True, slots=True)
class TooLight:
    """A gross mass that cannot be right, and what the empty box, or its books, weigh."""

    fault: GrossFault
    least_g: float


def too_light(box: Box, gross_g: float, books_g: float) -> TooLight | None:
    """Return why a gross mass cannot be right; None where it can.

    Args:
        box: whose mass when empty may be known.
        gross_g: box and contents together.
        books_g: the books in it by themselves, as far as known.

    >>> too_light(Box(number="B1-75", tare_g=900.0), 17_000, 17_200).fault
    <GrossFault.BELOW_BOOKS: 2>
    """
    if box.tare_g is not None and gross_g <= box.tare_g:
        return TooLight(GrossFault.NOT_ABOVE_TARE, box.tare_g)
    return TooLight(GrossFault.BELOW_BOOKS, books_g) if gross_g < books_g else None


def contradicts(edition: Edition) -> bool:
    """Return whether the stated mass, size and extent of an edition cannot all be right."""
    return not paper.is_plausible(
        mass_g=edition.mass_g,
        height_mm=edition.height_mm,
        width_mm=edition.width_mm,
        thickness_mm=edition.thickness_mm,
        pages=edition.pages,
    )


def stated_mass_g(edition: Edition) -> float | None:
    """Return what a copy weighs by the catalog; None where that is not stated, or contradicts its size and extent.

    >>> stated_mass_g(Edition(id=1, title="Ferns", mass_g=2500, height_mm=300, width_mm=240, thickness_mm=40))
    2500
    """
    return edition.mass_g if edition.mass_g and edition.mass_g > 0 and not contradicts(edition) else None


def stated_g(editions: Iterable[Edition]) -> float:
    """Return what books weigh together by the catalog, as far as it states their masses and is to be believed."""
    return sum(stated_mass_g(edition) or 0.0 for edition in editions)


def packed_g(contents: Iterable[tuple[Copy, Edition]]) -> float:
    """Return what the books that lie in a box weigh by the catalog; those taken out, or missing, do not count."""
    return stated_g(edition for copy, edition in contents if copy.state is CopyState.PACKED)

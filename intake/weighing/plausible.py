"""Whether a box can weigh what is stated: more than it does empty, and no less than the books in it.

A gross mass below these is more often a slip or a wrong mass in the catalog than a fact; but books may be gone. Only
masses that the catalog states are counted; carton and padding come on top and leave room for small errors of theirs.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum, auto

from intake.model.boxes import Box
from intake.model.editions import Copy, CopyState, Edition


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


def stated_g(editions: Iterable[Edition]) -> float:
    """Return what books weigh together by the catalog, as far as it states their masses."""
    return sum(edition.mass_g or 0.0 for edition in editions)


def packed_g(contents: Iterable[tuple[Copy, Edition]]) -> float:
    """Return what the books that lie in a box weigh by the catalog; those taken out, or missing, do not count."""
    return stated_g(edition for copy, edition in contents if copy.state is CopyState.PACKED)

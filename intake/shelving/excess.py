"""What of a shelf the books on it exceed: its length, its clear height, its depth, the load that its maker allows."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

from intake.model.places import Place
from intake.model.shelving import Book


class ShelfLimit(Enum):
    """A measure of a shelf that books can exceed."""

    LENGTH = auto()
    HEIGHT = auto()
    DEPTH = auto()
    LOAD = auto()


@dataclass(frozen=True, slots=True)
class Excess:
    """A limit that is exceeded.

    Attributes:
        needs: what the books need, in mm or g; of a height or depth, what the largest needs.
        has: what the shelf has.
        copies: the books that are too high or too deep, by their numbers; none for length and load.
        estimated: whether a size or mass that counts here was estimated.
    """

    limit: ShelfLimit
    needs: float
    has: float
    copies: tuple[str, ...] = ()
    estimated: bool = False


def find_excess(shelf: Place, books: Sequence[Book]) -> tuple[Excess, ...]:
    """Return what of a shelf its books exceed; a measure that is not known is not exceeded.

    Args:
        shelf: with its clear width, height and depth, and the load that its maker allows.
        books: all that stand on it.
    """
    sums = (
        (ShelfLimit.LENGTH, shelf.width_mm, sum(book.thickness_mm for book in books), "thickness"),
        (ShelfLimit.LOAD, shelf.rated_g, sum(book.mass_g for book in books), "mass"),
    )
    whole = [
        Excess(limit, needs, has, estimated=any(size in book.estimated for book in books))
        for limit, has, needs, size in sums
        if has is not None and needs > has
    ]
    heights = _too_large(ShelfLimit.HEIGHT, shelf.height_mm, [(b, b.height_mm, "height") for b in books])
    depths = _too_large(ShelfLimit.DEPTH, shelf.depth_mm, [(b, b.depth_mm, "depth") for b in books])
    return (*whole, *heights, *depths)


def _too_large(limit: ShelfLimit, has: float | None, sizes: Sequence[tuple[Book, float, str]]) -> tuple[Excess, ...]:
    if has is None or not (larger := [(book, needs, size) for book, needs, size in sizes if needs > has]):
        return ()
    copies = tuple(book.copy for book, _, _ in larger)
    estimated = any(size in book.estimated for book, _, size in larger)
    return (Excess(limit, max(needs for _, needs, _ in larger), has, copies, estimated),)

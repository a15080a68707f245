"""The optimal division of ordered books over ordered shelves.

The cost, summed over the shelves with books (`CostWeights` has the factors), consists of:

- the square of the share of the width left free: no shelf is left half empty, and none is filled at the cost of the
  next. Space reserved by its books (`Book.growth_mm`) does not count as free;
- where there is not enough space for that reserve, the square of what is missing;
- one for each shelf end inside a set;
- each kilogram times the height above the floor that it has to be lifted to;
- each book that would have to leave its present shelf;
- a little for each book on a later shelf, so that of equal divisions the one that begins at the front is chosen.

A book is never put on a shelf that is too low, too shallow or too narrow for it, nor more mass on a shelf than its
limit. A shelf may stay empty at no cost. The division is optimal for this cost, by dynamic programming over the ends of
the shelves, as in breaking a paragraph into lines (Knuth and Plass, 1981). The order itself is not changed.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType

import numpy as np

from intake.model.shelving import Book, Space
from intake.shelving.feasible import Floats, Ints, RunningSums, ends_inside_sets, first_starts, running_sums
from intake.shelving.partition import ShelfCost, cheapest_division, end_ranges, greatest_ends, sliding_windows
from intake.units.convert import G_PER_KG


@dataclass(frozen=True, slots=True, kw_only=True)
class CostWeights:
    """The weights of the parts of the cost; a half empty shelf costs 0.25 times `free`."""

    free: float = 1.0
    growth: float = 4.0
    torn: float = 2.0
    lifted_kg_m: float = 0.005
    moved: float = 0.02
    late: float = 1e-5


@dataclass(frozen=True, slots=True)
class Division:
    """The books on each shelf s: from `ends[s - 1]` (0 for the first shelf) up to, but not including, `ends[s]`."""

    ends: tuple[int, ...]
    cost: float

    def runs(self) -> Iterator[tuple[int, int]]:
        """Yield start and end for each shelf, equal for an empty one."""
        yield from zip((0, *self.ends[:-1]), self.ends, strict=True)


@dataclass(frozen=True, slots=True)
class Shortage:
    """Why the books cannot all be placed.

    Attributes:
        misfits: books that do not fit on any shelf.
        placed: number of the others, from the first, that can be placed.
        short_mm: total thickness of those that cannot.
    """

    misfits: tuple[Book, ...]
    placed: int
    short_mm: float


def arrange(
    books: Sequence[Book],
    spaces: Sequence[Space],
    weights: CostWeights | None = None,
    *,
    homes: Mapping[str, str] = MappingProxyType({}),
) -> Division | Shortage:
    """Divide the books over the shelves.

    Args:
        books: in their order.
        spaces: the shelves in the order in which they are filled.
        weights: of the cost.
        homes: the present shelf of each copy; a copy without one costs nothing to move.

    Returns:
        The best division, or why there is none.

    >>> plates = [Book(copy=str(n), thickness_mm=30, height_mm=300, depth_mm=200, mass_g=900) for n in range(5)]
    >>> arrange(plates, [Space(shelf="a", width_mm=95), Space(shelf="b", width_mm=95)]).ends
    (3, 5)
    """
    total = running_sums(books)
    firsts = _by_size(total, spaces)
    limits = end_ranges(len(books), firsts)
    if limits is None:
        return _shortage(books, spaces)
    weights = weights or CostWeights()
    torn = weights.torn * ends_inside_sets(books)
    counted = np.arange(len(books) + 1) * (weights.late / len(spaces) if spaces else 0.0)

    own = {shelf: nth for nth, shelf in enumerate(dict.fromkeys(homes.values()))}
    stood = np.array([own.get(homes.get(book.copy, ""), -1) for book in books], np.int64)

    def price_on(nth: int) -> ShelfCost:
        lifted = weights.lifted_kg_m / G_PER_KG * spaces[nth].y_m
        leaving = (stood >= 0) & (stood != own.get(spaces[nth].shelf, -1))
        moved = weights.moved * np.concatenate([[0], np.cumsum(leaving)])
        running = lifted * total.mass_g + nth * counted + moved
        return ShelfCost(running, torn, partial(_run_prices, total, spaces[nth], weights))

    return Division(*cheapest_division(len(books), firsts, limits, price_on))


def _by_size(total: RunningSums, spaces: Sequence[Space]) -> list[Ints]:
    """Return `first_starts` for each shelf, computed once for shelves of the same size."""
    known: dict[tuple[float, ...], Ints] = {}
    for space in spaces:
        size = (space.width_mm, space.height_mm, space.depth_mm, space.limit_g)
        if size not in known:
            known[size] = first_starts(total, space)
    return [known[space.width_mm, space.height_mm, space.depth_mm, space.limit_g] for space in spaces]


def _run_prices(total: RunningSums, space: Space, weights: CostWeights, longest: int) -> Callable[[slice], Floats]:
    """Return a function of a slice of ends to the costs of free and of missing space, for each length of run."""
    grown = (total.thickness_mm + total.growth_mm) / space.width_mm
    before = sliding_windows(grown, longest, 0.0)

    def prices(rows: slice) -> Floats:
        free = before[rows] + (1 - grown[rows, None])
        # A run that fits on the shelf is no thicker than it, so that only space for its growth can be missing.
        missing = np.minimum(free, 0.0)
        free *= free
        free *= weights.free
        missing *= missing
        missing *= weights.growth - weights.free
        free += missing
        return free

    return prices


def _shortage(books: Sequence[Book], spaces: Sequence[Space]) -> Shortage:
    misfits = tuple(book for book in books if not any(space.takes(book) for space in spaces))
    left_out = set(map(id, misfits))
    others = [book for book in books if id(book) not in left_out]
    total = running_sums(others)
    placed = max(greatest_ends(_by_size(total, spaces)), default=0)
    return Shortage(misfits, placed, float(total.thickness_mm[-1] - total.thickness_mm[placed]))

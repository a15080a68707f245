"""The smallest shift of books that makes room for one more.

The order is kept: books move only from the end of a shelf to the front of a later one, or from the front to the end of
an earlier one. The cost is the number of books handled, plus a tenth for each metre that a book is carried. The result
is exact: the shelves around the place are considered, and more of them until no shift that reaches further could be
smaller, or until it would reach over too many shelves (`REACH`). Space reserved for volumes to come (a `Book` without a
copy) moves at no cost.

Whether the books are in order is not checked; `find_slot` finds the place that leaves the fewest out of order.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, groupby

import numpy as np

from intake.model.shelving import Book, Space
from intake.shelving.feasible import ends_inside_sets, first_starts, running_sums
from intake.shelving.order import SortKey
from intake.shelving.partition import ShelfCost, cheapest_division, end_ranges

PER_METRE = 0.1
"""Cost of carrying a book one metre, relative to handling it."""
SLIGHT = 1e-4
"""Cost of a shelf other than the one requested, so that of equal shifts the simplest is chosen."""
TORN = 1e-3
"""Cost of splitting a set over shelves, so that of equal shifts the one that keeps it together is chosen."""

REACH = 32
"""Most shelves to each side of the place that are considered."""


@dataclass(frozen=True, slots=True)
class FilledShelf:
    """A shelf and the books on it, from the left."""

    space: Space
    books: tuple[Book, ...]


@dataclass(frozen=True, slots=True)
class Shift:
    """Adjacent books that move from one shelf to another, given by their indices."""

    books: tuple[Book, ...]
    origin: int
    target: int

    @property
    def handled(self) -> int:
        """The number of books, not counting reserved space."""
        return sum(bool(book.copy) for book in self.books)


@dataclass(frozen=True, slots=True)
class RoomPlan:
    """How to make room for one more book.

    Attributes:
        target: index of the shelf it goes to.
        before: the books that will be on its left on that shelf; empty at the front.
        after: those on its right.
        shifts: in an order in which there is always space for the next.
        carried_m: total distance of all books shifted.
        filled: the books on each changed shelf afterwards, by index.
    """

    target: int
    before: tuple[Book, ...]
    after: tuple[Book, ...]
    shifts: tuple[Shift, ...] = ()
    carried_m: float = 0.0
    filled: dict[int, tuple[Book, ...]] = field(default_factory=dict)

    @property
    def handled(self) -> int:
        """The number of books that are moved, not counting the new one."""
        return sum(shift.handled for shift in self.shifts)


def find_slot(keys: Sequence[Sequence[SortKey]], key: SortKey) -> tuple[int, int]:
    """Find the place of a new book among those on the shelves.

    Args:
        keys: sort keys of the books on each shelf, from the left.
        key: sort key of the new book.

    Returns:
        The index of the shelf, and the number of its books before the place. If the books are out of order, it is the
        last place with the fewest wrong pairs with the new book; between two shelves, the end of the first.

    >>> find_slot([[(1,), (3,)], [], [(5,)]], (4,)), find_slot([[], []], (4,))
    ((0, 2), (0, 0))
    """
    flat = [before <= key for shelf in keys for before in shelf]
    if not any(flat):
        first = next((nth for nth, shelf in enumerate(keys) if shelf), 0)
        return first, 0
    right = np.array(flat)
    wrong = np.concatenate([[0], np.cumsum(~right)]) + (right.sum() - np.concatenate([[0], np.cumsum(right)]))
    place = len(flat) - int(wrong[::-1].argmin())
    for nth, end in enumerate(accumulate(map(len, keys))):
        if place <= end:
            return nth, place - (end - len(keys[nth]))
    raise AssertionError("the place is after the last book")


def make_room(shelves: Sequence[FilledShelf], new: Sequence[Book], at: tuple[int, int]) -> RoomPlan | None:
    """Plan the smallest shift.

    Args:
        shelves: in their order, with their books; an overfull shelf is allowed, and is changed only if necessary.
        new: the book, with the space to be reserved before and after it (books without a copy), if any.
        at: the shelf and the number of books before the place, as `find_slot` returns them.

    Returns:
        The plan, or None if no shift within `REACH` makes room.
    """
    radius = 1
    while True:
        low, high = max(0, at[0] - radius), min(len(shelves), at[0] + radius + 1)
        window = _Window(shelves, low, high, new, at)
        plan = window.plan()
        ends = low == 0 and high == len(shelves)
        if ends or (plan is not None and _price(plan) <= _least_beyond(shelves, low, high, at)):
            return plan
        if radius >= REACH:
            return plan
        radius *= 2


def _price(plan: RoomPlan) -> float:
    return plan.handled + PER_METRE * plan.carried_m


def _least_beyond(shelves: Sequence[FilledShelf], low: int, high: int, at: tuple[int, int]) -> float:
    """Return a lower bound on the books handled by any shift that reaches beyond these shelves.

    Such a shift moves something over the end of each shelf on the way, and what is at that end moves first: a book, or
    reserved space, which costs nothing. On the shelf of the place, only what is on that side of the new book moves.
    """
    own = shelves[at[0]].books
    left = [own[: at[1]][:1], *(shelf.books[:1] for shelf in shelves[low : at[0]])]
    right = [own[at[1] :][-1:], *(shelf.books[-1:] for shelf in shelves[at[0] + 1 : high])]
    open_sides = ([left] if low > 0 else []) + ([right] if high < len(shelves) else [])
    return min(sum(bool(ends and ends[0].copy) for ends in side) for side in open_sides)


class _Window:
    """Adjacent shelves, and their books with the new one among them."""

    def __init__(
        self, shelves: Sequence[FilledShelf], low: int, high: int, new: Sequence[Book], at: tuple[int, int]
    ) -> None:
        self.shelves = shelves
        self.low = low
        self.spaces = [shelf.space for shelf in shelves[low:high]]
        self.books: list[Book] = []
        self.homes: list[int] = []
        for nth in range(low, high):
            own = list(shelves[nth].books)
            if nth == at[0]:
                start = len(self.books) + at[1]
                own[at[1] : at[1]] = new
            self.books += own
            self.homes += [nth] * len(own)
        self.new = range(start, start + len(new))
        self.first_new = start + next(nth for nth, book in enumerate(new) if book.copy)
        self.torn = TORN * ends_inside_sets(self.books)
        self.where = np.array([(space.x_m, space.y_m) for space in self.spaces])
        self.home_rows = np.array(self.homes) - low
        self.free = np.array([index in self.new or not book.copy for index, book in enumerate(self.books)])

    def plan(self) -> RoomPlan | None:
        """Return the cheapest new division of the books as a plan; None if they do not all fit."""
        total = running_sums(self.books)
        firsts = [first_starts(total, space) for space in self.spaces]
        limits = end_ranges(len(self.books), firsts)
        if limits is None:
            return None
        ends, _ = cheapest_division(len(self.books), firsts, limits, self._price_on)
        targets = [
            self.low + nth for nth, (a, b) in enumerate(zip((0, *ends), ends, strict=False)) for _ in range(a, b)
        ]
        return self._as_plan(targets)

    def _price_on(self, nth: int, ends: slice) -> ShelfCost:
        away = np.abs(self.where - self.where[nth]).sum(axis=1)[self.home_rows]
        prices = np.where(self.free, SLIGHT * (1 + away), 1 + PER_METRE * away)
        prices[self.home_rows == nth] = 0.0
        running = np.concatenate([[0.0], np.cumsum(prices)])
        return ShelfCost(running[ends], self.torn[ends])

    def _as_plan(self, targets: Sequence[int]) -> RoomPlan:
        place = targets[self.first_new]
        on_shelf = [index for index, target in enumerate(targets) if target == place]
        moved = [i for i, (home, target) in enumerate(zip(self.homes, targets, strict=True)) if home != target]
        shifts = list(self._shifts([index for index in moved if index not in self.new], targets))
        carried = sum(
            shift.handled * _metres(self.shelves[shift.origin].space, self.shelves[shift.target].space)
            for shift in shifts
        )
        changed = {place} | {nth for index in moved for nth in (self.homes[index], targets[index])}
        return RoomPlan(
            target=place,
            before=tuple(self.books[index] for index in on_shelf if index < self.first_new),
            after=tuple(self.books[index] for index in on_shelf if index > self.first_new),
            shifts=tuple(shift for shift in shifts if shift.handled),
            carried_m=carried,
            filled={
                nth: tuple(book for book, target in zip(self.books, targets, strict=True) if target == nth)
                for nth in sorted(changed)
            },
        )

    def _shifts(self, moved: Sequence[int], targets: Sequence[int]) -> Iterator[Shift]:
        """Yield blocks of adjacent books: those moving right, from the last shelf back, then those moving left."""
        blocks = [
            Shift(tuple(self.books[index] for index in group), *way)
            for way, group in groupby(moved, key=lambda index: (self.homes[index], targets[index]))
        ]
        yield from sorted((b for b in blocks if b.target > b.origin), key=lambda b: (b.origin, b.target), reverse=True)
        yield from sorted((b for b in blocks if b.target < b.origin), key=lambda b: (b.origin, b.target))


def _metres(space: Space, other: Space) -> float:
    return abs(space.x_m - other.x_m) + abs(space.y_m - other.y_m)

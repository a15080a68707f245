"""The smallest shift that lets one more book in.

The order stays: books pass only from the end of a shelf to the front of a later one, or from the front to the end of an
earlier one. What is minimised is the number of books handled, and a tenth for each metre that one is carried. Exact:
shelves round the place are looked at, and more of them until no shift that reaches beyond could be smaller, or until it
would reach over more shelves than anyone would shift (`REACH`). Room kept for volumes to come (a `Book` without a copy)
moves freely and counts nothing.

Whether the books stand in their order is not checked; `slot` finds the place that leaves the fewest out of order.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, groupby

import numpy as np

from intake.model.shelving import Book, Space
from intake.shelving.feasible import first_fitting, inside_sets, sums
from intake.shelving.order import SortKey
from intake.shelving.partition import ShelfCost, bands, divide

PER_METRE = 0.1
"""What carrying a book one metre is worth against handling it."""
SLIGHT = 1e-4
"""Price of standing on another shelf than the place asked for, so that of equal shifts the plainest is taken."""
TORN = 1e-3
"""Price of a set torn across shelves, so that of equal shifts the one that keeps it together is taken."""

REACH = 32
"""Shelves to each side of the place beyond which no room is looked for."""


@dataclass(frozen=True, slots=True)
class FilledShelf:
    """A shelf and what stands on it, from the left."""

    space: Space
    books: tuple[Book, ...]


@dataclass(frozen=True, slots=True)
class Shift:
    """Neighbouring books that go from one shelf to another, which are given by their indices."""

    books: tuple[Book, ...]
    origin: int
    target: int

    @property
    def handled(self) -> int:
        """Count the books; room that is kept is none."""
        return sum(bool(book.copy) for book in self.books)


@dataclass(frozen=True, slots=True)
class RoomPlan:
    """How one more book gets in.

    Attributes:
        target: index of the shelf it goes to.
        before: the books that will stand on its left on that shelf; empty at the front.
        after: those on its right.
        shifts: in an order in which each finds room.
        carried_m: the way of all books shifted.
        filled: the shelves as they will stand, by index; only those that change.
    """

    target: int
    before: tuple[Book, ...]
    after: tuple[Book, ...]
    shifts: tuple[Shift, ...] = ()
    carried_m: float = 0.0
    filled: dict[int, tuple[Book, ...]] = field(default_factory=dict)

    @property
    def handled(self) -> int:
        """Count the books that are taken in the hand, the new one not."""
        return sum(shift.handled for shift in self.shifts)


def slot(keys: Sequence[Sequence[SortKey]], key: SortKey) -> tuple[int, int]:
    """Find the place of a new book among those that stand.

    Args:
        keys: of the books on each shelf, from the left.
        key: of the new book.

    Returns:
        The shelf's index, and how many books of it stand before the place. Where the books are out of order, it is the
        place that leaves the fewest pairs with the new book wrong, the last such; between two shelves, the end of the
        first.

    >>> slot([[(1,), (3,)], [], [(5,)]], (4,)), slot([[], []], (4,))
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
    raise AssertionError("the place lies behind the last book")


def make_room(shelves: Sequence[FilledShelf], new: Sequence[Book], at: tuple[int, int]) -> RoomPlan | None:
    """Plan the smallest shift.

    Args:
        shelves: in their order, with what stands there; fuller than full is allowed and is mended only where it is in
            the way.
        new: the book, with the room to be kept before and behind it (books without a copy), if any.
        at: the shelf and the count of books before the place, as `slot` gives them.

    Returns:
        The plan, or None where no shift within `REACH` lets the book in.
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
    """Return a number of books that any shift reaching beyond these shelves has to handle at least.

    Something passes over the end of each shelf on the way, and what stands there goes first: a book, or room that is
    kept and counts nothing. On the shelf of the place only what stands on that side of the new book has to go.
    """
    own = shelves[at[0]].books
    left = [own[: at[1]][:1], *(shelf.books[:1] for shelf in shelves[low : at[0]])]
    right = [own[at[1] :][-1:], *(shelf.books[-1:] for shelf in shelves[at[0] + 1 : high])]
    open_sides = ([left] if low > 0 else []) + ([right] if high < len(shelves) else [])
    return min(sum(bool(ends and ends[0].copy) for ends in side) for side in open_sides)


class _Window:
    """Some neighbouring shelves, and the new book among theirs."""

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
        self.torn = TORN * inside_sets(self.books)
        self.where = np.array([(space.x_m, space.y_m) for space in self.spaces])
        self.home_rows = np.array(self.homes) - low
        self.free = np.array([index in self.new or not book.copy for index, book in enumerate(self.books)])

    def plan(self) -> RoomPlan | None:
        """Divide the books anew at the least price; None where they do not all fit."""
        total = sums(self.books)
        firsts = [first_fitting(total, space) for space in self.spaces]
        limits = bands(len(self.books), firsts)
        if limits is None:
            return None
        ends, _ = divide(len(self.books), firsts, limits, self._price_on)
        targets = [
            self.low + nth for nth, (a, b) in enumerate(zip((0, *ends), ends, strict=False)) for _ in range(a, b)
        ]
        return self._told(targets)

    def _price_on(self, nth: int, ends: slice) -> ShelfCost:
        away = np.abs(self.where - self.where[nth]).sum(axis=1)[self.home_rows]
        prices = np.where(self.free, SLIGHT * (1 + away), 1 + PER_METRE * away)
        prices[self.home_rows == nth] = 0.0
        running = np.concatenate([[0.0], np.cumsum(prices)])
        return ShelfCost(running[ends], self.torn[ends])

    def _told(self, targets: Sequence[int]) -> RoomPlan:
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
        """Yield blocks of neighbours, those that go right from the last shelf back, then those that go left."""
        blocks = [
            Shift(tuple(self.books[index] for index in group), *way)
            for way, group in groupby(moved, key=lambda index: (self.homes[index], targets[index]))
        ]
        yield from sorted((b for b in blocks if b.target > b.origin), key=lambda b: (b.origin, b.target), reverse=True)
        yield from sorted((b for b in blocks if b.target < b.origin), key=lambda b: (b.origin, b.target))


def _metres(one: Space, other: Space) -> float:
    return abs(one.x_m - other.x_m) + abs(one.y_m - other.y_m)

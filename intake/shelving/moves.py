"""Today's arrangement against a new one: which books have to move, and in which order so that each finds room.

A book that stays on its shelf, in its order among the others that stay, is not handled. Of the books that a shelf
keeps, the most that can stay are the longest run already in the new order (longest increasing subsequence), so that the
count of books handled is the smallest there is. A book that only slides along its shelf counts as staying.

The steps are planned one after the other, each onto a shelf that has room at that moment; where none has, the books of
one shelf are put down and taken up later. Few are put down, but that it is the fewest is not proven: that
problem is as hard as finding the least set of nodes that breaks every cycle of a graph.
"""

from bisect import bisect_left
from collections import Counter, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.shelving import Book, Space


@dataclass(frozen=True, slots=True)
class Step:
    """Neighbouring books taken from one place to another.

    Attributes:
        books: from the left.
        origin, target: a shelf's number; None is where books are put down for a while (or come from, when new).
        behind: the book that will stand on their left at the target; None at the front, or where they are put down.
    """

    books: tuple[Book, ...]
    origin: str | None
    target: str | None
    behind: Book | None = None


@dataclass(frozen=True, slots=True)
class Moves:
    """The way from one arrangement to another.

    Attributes:
        handled: the books that leave their place, in the new order.
        put_down: those of them that are put down in between.
    """

    handled: tuple[Book, ...]
    put_down: tuple[Book, ...]
    steps: tuple[Step, ...]


def longest_run(values: Sequence[int]) -> list[int]:
    """Return the indices of a longest increasing subsequence.

    >>> longest_run([3, 1, 2, 5, 4])
    [1, 2, 4]
    """
    tails: list[int] = []
    last: list[int] = []
    before: list[int | None] = []
    for index, value in enumerate(values):
        length = bisect_left(tails, value)
        before.append(last[length - 1] if length else None)
        tails[length : length + 1] = [value]
        last[length : length + 1] = [index]
    chain: list[int] = []
    at = last[-1] if last else None
    while at is not None:
        chain.append(at)
        at = before[at]
    return chain[::-1]


def staying(today: Sequence[str], wanted: Sequence[str]) -> set[str]:
    """Return the copies of one shelf that need not be touched."""
    rank = {copy: nth for nth, copy in enumerate(wanted)}
    kept = [copy for copy in today if copy in rank]
    return {kept[index] for index in longest_run([rank[copy] for copy in kept])}


def plan_moves(
    today: Mapping[str, Sequence[Book]], wanted: Mapping[str, Sequence[Book]], spaces: Mapping[str, Space]
) -> Moves:
    """Plan the way from today's arrangement to the wanted one.

    Args:
        today: the books on each shelf from the left, by the shelf's number.
        wanted: the same as it is to be; books that stand nowhere today are brought.
        spaces: the shelves.

    Returns:
        The steps, in order.
    """
    return _Planner(today, wanted, spaces).run()


class _Planner:
    """Walks through the blocks of books that have to move, keeping count of the room on each shelf."""

    def __init__(
        self, today: Mapping[str, Sequence[Book]], wanted: Mapping[str, Sequence[Book]], spaces: Mapping[str, Space]
    ) -> None:
        self.wanted = wanted
        self.home = {book.copy: shelf for shelf, books in today.items() for book in books}
        self.still: set[str] = set()
        for shelf, books in wanted.items():
            self.still |= staying([b.copy for b in today.get(shelf, ())], [b.copy for b in books])
        self.free = {
            number: space.width_mm - sum(book.thickness_mm for book in today.get(number, ()))
            for number, space in spaces.items()
        }
        self.standing = set(self.still)
        self.steps: list[Step] = []
        self.put_down: list[Book] = []

    def run(self) -> Moves:
        blocks = self._blocks()
        handled = tuple(book for block in blocks for book in block.books)
        waiting = deque(blocks)
        idle = 0
        while waiting:
            if idle == len(waiting):
                self._put_one_down(waiting)
                idle = 0
                continue
            block = waiting.popleft()
            if self._fits(block):
                self._do(block)
                idle = 0
            else:
                waiting.append(block)
                idle += 1
        return Moves(handled, tuple(self.put_down), tuple(self.steps))

    def _blocks(self) -> list[Step]:
        """Return the books to be moved, neighbours with one origin and one target together, in the new order."""
        blocks: list[Step] = []
        for shelf, books in self.wanted.items():
            open_block = False
            for book in books:
                if book.copy in self.still:
                    open_block = False
                    continue
                origin = self.home.get(book.copy)
                if open_block and blocks[-1].origin == origin:
                    blocks[-1] = Step((*blocks[-1].books, book), origin, shelf)
                else:
                    blocks.append(Step((book,), origin, shelf))
                open_block = True
        return blocks

    def _fits(self, block: Step) -> bool:
        return block.origin == block.target or self.free[block.target or ""] >= _thickness(block) - 1e-6

    def _do(self, block: Step) -> None:
        self._leave(block)
        self.free[block.target or ""] -= _thickness(block)
        behind: Book | None = None
        for book in self.wanted[block.target or ""]:
            if book == block.books[0]:
                break
            behind = book if book.copy in self.standing else behind
        self.standing |= {book.copy for book in block.books}
        self.steps.append(Step(block.books, block.origin, block.target, behind))

    def _leave(self, block: Step) -> None:
        if block.origin is not None:
            self.free[block.origin] = self.free.get(block.origin, 0.0) + _thickness(block)

    def _put_one_down(self, waiting: deque[Step]) -> None:
        """Put down the block that makes room for the most others; a whole target that stays too full cannot be."""
        wanted_room = Counter(block.target for block in waiting)
        on_shelves = [block for block in waiting if block.origin is not None]
        if not on_shelves:
            raise ValueError("the wanted arrangement does not fit its shelves")
        chosen = max(on_shelves, key=lambda block: (wanted_room[block.origin], -len(block.books), _thickness(block)))
        self._leave(chosen)
        self.put_down += chosen.books
        self.steps.append(Step(chosen.books, chosen.origin, None))
        waiting[waiting.index(chosen)] = Step(chosen.books, None, chosen.target)


def _thickness(block: Step) -> float:
    return sum(book.thickness_mm for book in block.books)

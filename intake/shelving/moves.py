"""From the present arrangement to a new one: which books move, and in which order so that there is always space.

A book that stays on its shelf, in the same order among the others that stay, is not handled. Of the books that remain
on a shelf, the most that can stay are a longest increasing subsequence of the new order, so that the number of books
handled is minimal. A book that only slides along its shelf counts as staying.

The steps are planned one after the other, each to a shelf that has space at that moment; if none has, the books of one
step are put aside and shelved later. Few are put aside, but not provably the fewest: that problem is as hard as finding
a minimum feedback vertex set of a graph.
"""

from bisect import bisect_left
from collections import Counter, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.shelving import Book, Space


@dataclass(frozen=True, slots=True)
class Step:
    """Adjacent books moved from one place to another.

    Attributes:
        books: from the left.
        origin, target: number of a shelf; None where books are put aside (or come from, when new).
        behind: the book that will be on their left at the target; None at the front, or where they are put aside.
    """

    books: tuple[Book, ...]
    origin: str | None
    target: str | None
    behind: Book | None = None


@dataclass(frozen=True, slots=True)
class Moves:
    """The steps from one arrangement to another.

    Attributes:
        handled: the books that are moved, in the new order.
        put_down: those of them that are put aside in between.
    """

    handled: tuple[Book, ...]
    put_down: tuple[Book, ...]
    steps: tuple[Step, ...]


def longest_increasing(values: Sequence[int]) -> list[int]:
    """Return the indices of a longest increasing subsequence.

    >>> longest_increasing([3, 1, 2, 5, 4])
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


def unmoved_copies(today: Sequence[str], target: Sequence[str]) -> set[str]:
    """Return the copies of one shelf that need not be moved."""
    rank = {copy: nth for nth, copy in enumerate(target)}
    common = [copy for copy in today if copy in rank]
    return {common[index] for index in longest_increasing([rank[copy] for copy in common])}


def plan_moves(
    today: Mapping[str, Sequence[Book]], target: Mapping[str, Sequence[Book]], spaces: Mapping[str, Space]
) -> Moves:
    """Plan the steps from the present arrangement to a new one.

    Args:
        today: the books on each shelf from the left, by the number of the shelf.
        target: the new arrangement; it may contain books that are on no shelf today.
        spaces: the shelves.

    Returns:
        The steps, in order.
    """
    return _Planner(today, target, spaces).run()


class _Planner:
    """Processes the blocks of books that have to move, keeping track of the free space on each shelf."""

    def __init__(
        self, today: Mapping[str, Sequence[Book]], target: Mapping[str, Sequence[Book]], spaces: Mapping[str, Space]
    ) -> None:
        self.target = target
        self.home = {book.copy: shelf for shelf, books in today.items() for book in books}
        self.still: set[str] = set()
        for shelf, books in target.items():
            self.still |= unmoved_copies([b.copy for b in today.get(shelf, ())], [b.copy for b in books])
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
        """Return the books to be moved, in the new order, adjacent ones with the same origin and target together."""
        blocks: list[Step] = []
        for shelf, books in self.target.items():
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
        for book in self.target[block.target or ""]:
            if book == block.books[0]:
                break
            behind = book if book.copy in self.standing else behind
        self.standing |= {book.copy for book in block.books}
        self.steps.append(Step(block.books, block.origin, block.target, behind))

    def _leave(self, block: Step) -> None:
        if block.origin is not None:
            self.free[block.origin] = self.free.get(block.origin, 0.0) + _thickness(block)

    def _put_one_down(self, waiting: deque[Step]) -> None:
        """Put aside the block that makes space for the most others."""
        needed_at = Counter(block.target for block in waiting)
        on_shelves = [block for block in waiting if block.origin is not None]
        if not on_shelves:
            raise ValueError("the new arrangement does not fit on its shelves")
        chosen = max(on_shelves, key=lambda block: (needed_at[block.origin], -len(block.books), _thickness(block)))
        self._leave(chosen)
        self.put_down += chosen.books
        self.steps.append(Step(chosen.books, chosen.origin, None))
        waiting[waiting.index(chosen)] = Step(chosen.books, None, chosen.target)


def _thickness(block: Step) -> float:
    return sum(book.thickness_mm for book in block.books)

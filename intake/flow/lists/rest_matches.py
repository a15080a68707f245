"""The rows of a box list that say of no copy what was said before, and the copies that no row means: which to which."""

from collections.abc import Callable, Sequence
from typing import Protocol, TypeVar

from intake.model.editions import Copy

MOST_COMPARED = 100
"""Among more copies of one edition in one box than this, the rows go by their order alone: comparing takes too long."""


class ListedRow(Protocol):
    """A row of a list."""

    @property
    def line(self) -> int:
        """Return its line."""


Row = TypeVar("Row", bound=ListedRow)


def match_rest(
    rows: Sequence[Row], copies_of: Callable[[Row], Sequence[Copy]], tests: Sequence[Callable[[Row, Copy], bool]]
) -> dict[int, Copy]:
    """Give each row a copy: first those that fit the first test, then those that fit the next.

    Args:
        rows: in the order of the list.
        copies_of: the copies that a row may mean, the likeliest first.
        tests: the strictest first; the rows that fit none of them get no copy.

    Returns:
        The copies, each for one row, by the row's line.
    """
    matched: dict[int, Copy] = {}
    taken: set[str] = set()
    for test in tests:
        for row in rows:
            if row.line in matched:
                continue
            copies = [copy for copy in copies_of(row) if copy.accession not in taken]
            if len(copies) > MOST_COMPARED and test is not tests[-1]:
                continue
            found = next((copy for copy in copies if test(row, copy)), None)
            if found is not None:
                matched[row.line] = found
                taken.add(found.accession)
    return matched

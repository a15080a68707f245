"""Comparing a photographed shelf with its record: what is in place, misplaced, missing or foreign, and how to fix it.

Symbols are grouped in rows, each row read from the left. A shelf's own label belongs to the row of books above it (it
is stuck to the edge of the board that they stand on). The fewest books to be moved to restore the order are those
outside a longest increasing subsequence of the recorded order.

A book without a visible symbol is not seen: a book reported as missing may stand there with its label turned away.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import atan2, pi

import numpy as np
import numpy.typing as npt

from intake.model.readings import Reading
from intake.shelving.moves import longest_increasing

ROW_GAP = 5.0
"""Rows are further apart than this many times the side of a symbol; symbols within one row are not."""


@dataclass(frozen=True, slots=True)
class ReadRow:
    """The numbers of one row from the left, and those of the shelf labels below it, usually one or none."""

    numbers: tuple[str, ...]
    shelves: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Misplaced:
    """A copy on the wrong shelf, or out of order.

    Attributes:
        home: the shelf that it belongs to.
        behind: the copy that should be on its left; None if it belongs first.
    """

    copy: str
    home: str
    behind: str | None


@dataclass(frozen=True, slots=True)
class ShelfCheck:
    """The comparison of one shelf with its record.

    Attributes:
        in_place: from the left.
        misplaced: the fewest copies that have to be moved.
        missing: recorded here and not seen.
        foreign: seen here and not recorded on any shelf.
    """

    shelf: str
    in_place: tuple[str, ...]
    misplaced: tuple[Misplaced, ...]
    missing: tuple[str, ...]
    foreign: tuple[str, ...]


def read_rows(readings: Iterable[Reading], *, is_shelf: Callable[[str], bool]) -> tuple[ReadRow, ...]:
    """Group the symbols of a picture in rows, from the top, each from the left.

    Args:
        readings: with corners in pixels, x to the right and y down; those without corners are ignored.
        is_shelf: whether a number is that of a shelf.
    """
    placed = [reading for reading in readings if len(reading.corners) == 4]
    if not placed:
        return ()
    corners = np.array([reading.corners for reading in placed], np.float64)
    centres = _upright(corners.mean(axis=1), _tilt(corners))
    size = float(np.median(np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).min(axis=1)))
    books = [nth for nth, reading in enumerate(placed) if not is_shelf(reading.number)]
    books.sort(key=lambda nth: centres[nth, 1])
    breaks = np.flatnonzero(np.diff(centres[books, 1]) > ROW_GAP * size) + 1
    groups = [list(group) for group in np.split(np.array(books, np.int64), breaks)] if books else []
    heights = [float(np.median(centres[group, 1])) for group in groups]
    shelves: list[list[str]] = [[] for _ in groups]
    alone: list[ReadRow] = []
    for nth, reading in enumerate(placed):
        if is_shelf(reading.number):
            above = [row for row, height in enumerate(heights) if height < centres[nth, 1]]
            if above:
                shelves[above[-1]].append(reading.number)
            else:
                alone.append(ReadRow((), (reading.number,)))
    rows = []
    for group, own in zip(groups, shelves, strict=True):
        group.sort(key=lambda nth: centres[nth, 0])
        rows.append(ReadRow(tuple(dict.fromkeys(placed[nth].number for nth in group)), tuple(dict.fromkeys(own))))
    return (*alone, *rows)


def check_row(
    shelf: str,
    seen: Sequence[str],
    *,
    recorded: Sequence[str],
    homes: Mapping[str, str],
    order: Mapping[str, Sequence[str]],
) -> ShelfCheck:
    """Compare one row with the record of its shelf.

    Args:
        shelf: its number.
        seen: the numbers in the row, from the left.
        recorded: the copies recorded on the shelf, from the left.
        homes: for each copy seen that is recorded on another shelf, that shelf.
        order: the recorded copies of those other shelves.

    >>> found = check_row("S1", ["A1", "A3", "A2"], recorded=["A1", "A2", "A3", "A4"], homes={}, order={})
    >>> found.in_place, [misplaced.copy for misplaced in found.misplaced], found.missing
    (('A1', 'A2'), ['A3'], ('A4',))
    """
    rank = {copy: nth for nth, copy in enumerate(recorded)}
    own = [copy for copy in seen if copy in rank]
    in_order = {own[index] for index in longest_increasing([rank[copy] for copy in own])}
    present = set(seen)
    misplaced = [
        Misplaced(copy, shelf, _left_neighbour(copy, recorded, present)) for copy in own if copy not in in_order
    ]
    misplaced += [
        Misplaced(copy, homes[copy], _left_neighbour(copy, order[homes[copy]]))
        for copy in seen
        if copy not in rank and copy in homes
    ]
    return ShelfCheck(
        shelf=shelf,
        in_place=tuple(copy for copy in own if copy in in_order),
        misplaced=tuple(misplaced),
        missing=tuple(copy for copy in recorded if copy not in present),
        foreign=tuple(copy for copy in seen if copy not in rank and copy not in homes),
    )


def _left_neighbour(copy: str, recorded: Sequence[str], present: Iterable[str] | None = None) -> str | None:
    """Return the copy that should be on the left, skipping those that are not present."""
    there = None if present is None else set(present)
    before = recorded[: list(recorded).index(copy)]
    return next((other for other in reversed(before) if there is None or other in there), None)


def _tilt(corners: npt.NDArray[np.float64]) -> float:
    """Return the rotation of the picture in radians, within an eighth of a turn, because labels may be on end."""
    sides = corners[:, 1] - corners[:, 0]
    angles = [atan2(y, x) % (pi / 2) for x, y in sides]
    turned = [angle - pi / 2 if angle > pi / 4 else angle for angle in angles]
    return float(np.median(turned))


def _upright(points: npt.NDArray[np.float64], angle: float) -> npt.NDArray[np.float64]:
    cos, sin = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[cos, -sin], [sin, cos]]))

"""Pieces of text joined into rows, in a picture that may be tilted or turned.

The pieces' own direction defines left and right: a page photographed upside down has its rows from below. A piece is
compared with its nearest neighbour in a row, so that gently curved lines are joined too.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from intake.model.readings import Point, TextLine

READ_WELL = 0.8
"""Score below which a piece is noise: in real photographs all pieces of right numbers scored above 0.87, and most text
read upside down scored below this."""
SAME_ROW = 0.5
"""Pieces share a row if their middles are closer, across the lines, than this share of the taller one's height."""


@dataclass(frozen=True, slots=True)
class TextRow:
    """The pieces of one row from the left, and their text joined by spaces."""

    pieces: tuple[TextLine, ...]

    @property
    def text(self) -> str:
        """The text of the row."""
        return " ".join(piece.text for piece in self.pieces)

    def between(self, start: int, end: int) -> tuple[TextLine, ...]:
        """Return the pieces with text between two positions of the row's text."""
        pieces, position = [], 0
        for piece in self.pieces:
            if position < end and start < position + len(piece.text):
                pieces.append(piece)
            position += len(piece.text) + 1
        return tuple(pieces)


def rows_of(lines: Sequence[TextLine]) -> tuple[TextRow, ...]:
    """Join pieces into rows, from the top.

    >>> [row.text for row in rows_of([TextLine("06157", (60, 1, 99, 11)), TextLine("97803064", (0, 0, 50, 10))])]
    ['97803064 06157']
    """
    if not lines:
        return ()
    along = text_direction(lines)
    across = (-along[1], along[0])
    rows: list[list[TextLine]] = []
    for line in sorted(lines, key=lambda piece: middle_along(piece, across)):
        place, height = middle_along(line, across), height_of(line)
        for row in rows[-3:]:
            near = min(row, key=lambda piece: abs(middle_along(piece, along) - middle_along(line, along)))
            if abs(middle_along(near, across) - place) < SAME_ROW * max(height, height_of(near)):
                row.append(line)
                break
        else:
            rows.append([line])
    return tuple(TextRow(tuple(sorted(row, key=lambda piece: middle_along(piece, along)))) for row in rows)


def text_direction(lines: Sequence[TextLine]) -> Point:
    """Return the unit vector along the text: the median of the longest pieces, whose direction is most precise."""
    longest = sorted(lines, key=lambda piece: math.dist(*piece.outline[:2]), reverse=True)[:5]
    angles = []
    for line in longest:
        (ax, ay), (bx, by) = line.outline[:2]
        angles.append(math.atan2(by - ay, bx - ax))
    # Angles are taken relative to that of the longest piece, so that those near a half turn do not cancel out.
    turned = [math.remainder(angle - angles[0], math.tau) for angle in angles]
    angle = angles[0] + median(turned)
    return math.cos(angle), math.sin(angle)


def middle_along(line: TextLine, axis: Point) -> float:
    """Return the position of the middle of a piece along an axis."""
    return sum(x * axis[0] + y * axis[1] for x, y in line.outline) / len(line.outline)


def height_of(line: TextLine) -> float:
    """Return the height of a piece across its text."""
    return math.dist(line.outline[0], line.outline[3])


def is_unreadable(lines: Sequence[TextLine]) -> bool:
    """Return whether there is text, most of which was read badly, so that it may run the other way."""
    well = sum(len(line.text) for line in lines if line.score >= READ_WELL)
    return 2 * well < sum(len(line.text) for line in lines)

"""Pieces of text put together to rows, as they stand in a picture that may be tilted or turned.

The pieces' own direction tells what is left and right: a page photographed upside down has its rows from below. Does
not undo bent lines: pieces of one row are told by their neighbour's height, so that a slow bend does no harm.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from intake.model.readings import Point, TextLine

READ_WELL = 0.8
"""Score below which a piece is noise: of real photographs all pieces of right numbers were above 0.87, and most of what
was read in pictures that stood on their head was below."""
SAME_ROW = 0.5
"""Pieces whose middles are closer than so much of the taller one's height, across the lines, share a row."""


@dataclass(frozen=True, slots=True)
class TextRow:
    """The pieces of one row from the left, and their text with a space between two."""

    pieces: tuple[TextLine, ...]

    @property
    def text(self) -> str:
        """The text of the row."""
        return " ".join(piece.text for piece in self.pieces)

    def between(self, start: int, end: int) -> tuple[TextLine, ...]:
        """Return the pieces of which text lies between two places of the row's text."""
        found, at = [], 0
        for piece in self.pieces:
            if at < end and start < at + len(piece.text):
                found.append(piece)
            at += len(piece.text) + 1
        return tuple(found)


def rows_of(lines: Sequence[TextLine]) -> tuple[TextRow, ...]:
    """Put pieces together to rows, from the top.

    >>> [row.text for row in rows_of([TextLine("06157", (60, 1, 99, 11)), TextLine("97803064", (0, 0, 50, 10))])]
    ['97803064 06157']
    """
    if not lines:
        return ()
    along = direction(lines)
    across = (-along[1], along[0])
    rows: list[list[TextLine]] = []
    for line in sorted(lines, key=lambda one: measure(one, across)):
        place, height = measure(line, across), height_of(line)
        for row in rows[-3:]:
            near = min(row, key=lambda one: abs(measure(one, along) - measure(line, along)))
            if abs(measure(near, across) - place) < SAME_ROW * max(height, height_of(near)):
                row.append(line)
                break
        else:
            rows.append([line])
    return tuple(TextRow(tuple(sorted(row, key=lambda one: measure(one, along)))) for row in rows)


def direction(lines: Sequence[TextLine]) -> Point:
    """Return the unit vector along which most text runs; that of the longest pieces, which show it best."""
    longest = sorted(lines, key=lambda one: math.dist(*one.outline[:2]), reverse=True)[:5]
    angles = []
    for line in longest:
        (ax, ay), (bx, by) = line.outline[:2]
        angles.append(math.atan2(by - ay, bx - ax))
    # Angles are compared with the longest one's, so that those about a half turn do not cancel each other out.
    turned = [math.remainder(angle - angles[0], math.tau) for angle in angles]
    angle = angles[0] + median(turned)
    return math.cos(angle), math.sin(angle)


def measure(line: TextLine, axis: Point) -> float:
    """Return how far the middle of a piece lies along an axis."""
    return sum(x * axis[0] + y * axis[1] for x, y in line.outline) / len(line.outline)


def height_of(line: TextLine) -> float:
    """Return the height of a piece across its text."""
    return math.dist(line.outline[0], line.outline[3])


def other_way(lines: Sequence[TextLine]) -> int | None:
    """Return the quarter turns anticlockwise in which text should be shown that makes no sense as it is.

    Readers of text take tall boxes for text that runs down; if it runs up instead, three quarters set it right.

    Returns:
        None where there is no text, or where most of it was read well.
    """
    well = sum(len(line.text) for line in lines if line.score >= READ_WELL)
    if 2 * well >= sum(len(line.text) for line in lines):
        return None
    tall = sum(line.box[3] - line.box[1] > line.box[2] - line.box[0] for line in lines)
    return 3 if 2 * tall > len(lines) else 2

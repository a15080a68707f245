"""Lines of text joined into spines: of books that stand, text running up or down, and of books that lie in a stack.

Two pieces are on one spine if they run the same way and either share a row, with a gap that a spine may have between
author and title, or are two rows of about one size, one close below the other and beside it for half of its length, as
a title on two lines is. Between two spines of a stack or a shelf are the boards of both, which is more than the gap
between two lines.

The text reader tells along which line text runs, not which way (`intake.edges.ocr.read_lines`), so that the words of a
spine may come in another order: rows of standing books are taken to run down. Titles are compared without order.

Text of many words in long lines is no spine but what stands on the back of a book, and so are the digits under bars.

What a spine says names a book no better than a title does: it is a question, never a booking.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.model.readings import Point, TextLine
from intake.model.scenes import Spine

READ_WELL = 0.6
"""Least score of a piece; a title is recognised by most of its letters."""
FEWEST_LETTERS = 3
SAME_ROW = 0.5
"""Rows are the same if their middles are closer than this share of the taller one."""
GAP = 1.5
"""Longest gap in a row, as a share of its longer piece."""
CLOSE, ALIKE, BESIDE = 0.6, 2.2, 0.5
"""Two rows of one spine: the greatest gap as a share of the lower one, the greatest ratio of their heights, and the
least share of the shorter that lies beside the longer."""
MOST_WORDS, WORDS_A_LINE = 12, 5
"""Text of more words, and of at least so many in each line on average, is no spine. The words alone do not tell:
spines close together in a stack come as one text, but in many short pieces."""
FEWEST_DIGITS = 8
"""Digits alone, so many and more, are a number printed under bars."""


@dataclass(frozen=True, slots=True)
class SpinePiece:
    """A line measured in pixels: whether it runs up or down, its ends, and its edges across the text."""

    line: TextLine
    upright: bool
    along: tuple[float, float]
    across: tuple[float, float]

    @property
    def height(self) -> float:
        """How tall its letters are."""
        return self.across[1] - self.across[0]

    @property
    def length(self) -> float:
        """How long it is."""
        return self.along[1] - self.along[0]

    @property
    def middle(self) -> float:
        """The middle of the row."""
        return (self.across[0] + self.across[1]) / 2


def spines_of(lines: Sequence[TextLine]) -> tuple[tuple[Spine, ...], int]:
    """Return the text of each spine, books that stand from the left, books that lie from the top.

    With it the number of lines left out comes, that are hardly read, digits alone or of a longer text; bits of one or
    two letters are not counted.

    Args:
        lines: each once, as `intake.shelving.spines.best_lines` returns them.

    >>> up = [TextLine("Farn", (0, 0, 9, 60)), TextLine("Moos", (40, 0, 49, 60))]
    >>> spines, left_out = spines_of(up)
    >>> [spine.text for spine in spines], left_out
    (['Farn', 'Moos'], 0)
    """
    text = [line for line in lines if letters_in(line.text) >= FEWEST_LETTERS]
    pieces = [piece_of(line) for line in text if line.score >= READ_WELL and not is_number(line.text)]
    groups: list[list[SpinePiece]] = []
    for piece in pieces:
        near = [group for group in groups if any(on_one_spine(piece, other) for other in group)]
        groups = [group for group in groups if group not in near]
        groups.append([piece, *(other for group in near for other in group)])
    standing = sum(piece.upright for piece in pieces) * 2 > len(pieces)
    kept = [group for group in groups if not is_long_text(group)]
    spines = sorted(map(spine_of, kept), key=lambda spine: spine.corners[0] if standing else spine.corners[0][::-1])
    return tuple(spines), len(text) - sum(map(len, kept))


def letters_in(text: str) -> int:
    """Return how many letters and digits a text has."""
    return sum(character.isalnum() for character in text)


def is_number(text: str) -> bool:
    """Return whether a text is digits alone, as many as are printed under bars.

    >>> is_number("9 789999 893015"), is_number("1984"), is_number("Band 12")
    (True, False, False)
    """
    return letters_in(text) >= FEWEST_DIGITS and not any(character.isalpha() for character in text)


def is_long_text(pieces: Sequence[SpinePiece]) -> bool:
    """Return whether lines that belong together are a longer text, as on the back of a book."""
    words = sum(len(piece.line.text.split()) for piece in pieces)
    return words > MOST_WORDS and words >= WORDS_A_LINE * len(pieces)


def piece_of(line: TextLine) -> SpinePiece:
    """Measure a line; one of which only the box is known and which is taller than wide is upright."""
    left, top, right, low = line.box
    (ax, ay), (bx, by) = line.corners[:2] if line.corners else ((0.0, 0.0), (right - left, low - top))
    if abs(by - ay) > abs(bx - ax):
        # Text that runs down has its first row on the right.
        return SpinePiece(line, upright=True, along=(top, low), across=(-right, -left))
    return SpinePiece(line, upright=False, along=(left, right), across=(top, low))


def on_one_spine(piece: SpinePiece, other: SpinePiece) -> bool:
    """Return whether two pieces are on one spine, see above."""
    if piece.upright is not other.upright:
        return False
    tall, low = max(piece.height, other.height), max(min(piece.height, other.height), 1.0)
    gap_along = max(piece.along[0], other.along[0]) - min(piece.along[1], other.along[1])
    if abs(piece.middle - other.middle) < SAME_ROW * tall:
        return gap_along < GAP * max(piece.length, other.length)
    gap = max(piece.across[0], other.across[0]) - min(piece.across[1], other.across[1])
    beside = -gap_along > BESIDE * min(piece.length, other.length)
    return gap < CLOSE * low and tall < ALIKE * low and beside


def spine_of(pieces: Sequence[SpinePiece]) -> Spine:
    """Join the pieces of one spine."""
    rows: list[list[SpinePiece]] = []
    for piece in sorted(pieces, key=lambda one: one.middle):
        if rows and abs(rows[-1][-1].middle - piece.middle) < SAME_ROW * max(rows[-1][-1].height, piece.height):
            rows[-1].append(piece)
        else:
            rows.append([piece])
    text = " ".join(piece.line.text for row in rows for piece in sorted(row, key=lambda one: one.along))
    xs: list[float] = [x for piece in pieces for x in piece.line.box[::2]]
    ys: list[float] = [y for piece in pieces for y in piece.line.box[1::2]]
    corners: tuple[Point, ...] = (
        (min(xs), min(ys)),
        (max(xs), min(ys)),
        (max(xs), max(ys)),
        (min(xs), max(ys)),
    )
    return Spine(text, min(piece.line.score for piece in pieces), corners)

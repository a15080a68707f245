"""What one picture of many books shows: a stack, an opened box, a trolley or a shelf."""

from dataclasses import dataclass

from intake.model.readings import Point, Reading


@dataclass(frozen=True, slots=True)
class Spine:
    """The text on one spine: a title, with whatever else stands there, on one line or two.

    Attributes:
        text: all pieces, in the order in which they are read.
        score: 0 to 1, the lowest confidence of its pieces.
        corners: of a rectangle around them, clockwise from the top left, in pixels of the upright picture.
    """

    text: str
    score: float
    corners: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything that was read in one picture of many books, each thing once, in the order in which it stands there.

    Attributes:
        symbols: accepted and doubtful readings, one for each symbol; two copies of a book have two.
        spines: the text of each spine; empty where none was looked for.
        left_out: places that look like bars and were not read, because there were too many.
        other_lines: lines of text that are not a spine's, or hardly read.
    """

    symbols: tuple[Reading, ...]
    spines: tuple[Spine, ...] = ()
    left_out: int = 0
    other_lines: int = 0

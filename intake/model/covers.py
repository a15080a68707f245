"""What a picture shows by its cover."""

from dataclasses import dataclass
from enum import Enum

from intake.model.readings import Point


class CoverVerdict(Enum):
    """What the comparison says.

    SAME: one cover agrees, and no other nearly as much. SEVERAL: more than one does, as copies and printings of one
    book, or the volumes of a set in one design, do. BESIDE: more than one does, in different parts of the picture.
    PERHAPS: something agrees, not enough or not everywhere. NONE: nothing does.
    """

    SAME = "same"
    SEVERAL = "several"
    BESIDE = "beside"
    PERHAPS = "perhaps"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class CoverCandidate:
    """One cover that the picture may show.

    Attributes:
        cover: its place in the index.
        inliers: places that agree under one homography.
        probability: 0 to 1, that the two pictures show the same cover.
        corners: where the corners of the cover's picture lie in this one, clockwise from its top left.
        unlike: whether parts of it show something else there, as under glare, or where another title is printed on it.
    """

    cover: int
    inliers: int
    probability: float
    corners: tuple[Point, ...]
    unlike: bool = False

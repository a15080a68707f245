"""The part of a cover that a place belongs to, and how it differs."""

import numpy as np
import numpy.typing as npt

from intake.covers.cover_frame import Floats
from intake.model.cover_changes import CoverPart, SpineSide, Tone

AT_EDGE = 0.03
"""A place that comes so near to an edge, of the width or height, belongs to it."""
IN_CORNER = 0.2
"""One whose middle is so near to two edges, and which comes to both, belongs to the corner between them."""
HINGE = 0.12
"""The strip along the spine, of the width."""
ONE_TONE = 0.5

CORNERS = {
    ("top", "left"): CoverPart.TOP_LEFT_CORNER,
    ("top", "right"): CoverPart.TOP_RIGHT_CORNER,
    ("bottom", "right"): CoverPart.BOTTOM_RIGHT_CORNER,
    ("bottom", "left"): CoverPart.BOTTOM_LEFT_CORNER,
}
EDGES = {
    "top": CoverPart.TOP_EDGE,
    "right": CoverPart.RIGHT_EDGE,
    "bottom": CoverPart.BOTTOM_EDGE,
    "left": CoverPart.LEFT_EDGE,
}


def part_of(outline: npt.NDArray[np.floating], spine: SpineSide | None) -> CoverPart:
    """Return the part that a place belongs to.

    Args:
        outline: its outline as shares of the width and the height, n by 2.
        spine: the side of the spine, where known.
    """
    low, high = outline.min(axis=0), outline.max(axis=0)
    middle = (low + high) / 2
    reach = {"left": float(low[0]), "right": float(1 - high[0]), "top": float(low[1]), "bottom": float(1 - high[1])}
    across = "left" if middle[0] < 0.5 else "right"
    down = "top" if middle[1] < 0.5 else "bottom"
    if max(reach[across], reach[down]) < AT_EDGE * 2 and near_corner(middle):
        return CORNERS[down, across]
    nearest = min(reach, key=lambda side: reach[side])
    if reach[nearest] < AT_EDGE and nearest != spine:
        return EDGES[nearest]
    from_spine = {SpineSide.LEFT: middle[0], SpineSide.RIGHT: 1 - middle[0]}
    if spine is not None and from_spine[spine] < HINGE:
        return CoverPart.HINGE
    return EDGES[nearest] if reach[nearest] < AT_EDGE else CoverPart.FIELD


def near_corner(middle: npt.NDArray[np.floating]) -> bool:
    """Return whether a point is near two edges."""
    return bool((np.minimum(middle, 1 - middle) < IN_CORNER).all())


def tone_of(signed: Floats, amount: Floats) -> Tone:
    """Return how a place differs, by its signed differences in grey and by their amounts in any colour."""
    mean = float(signed.mean())
    if abs(mean) < ONE_TONE * float(amount.mean()):
        return Tone.OTHER
    return Tone.LIGHTER if mean > 0 else Tone.DARKER

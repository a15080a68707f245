"""Where a symbol may lie in the bands of a region: the edges of each band, and the guards at both ends."""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.reading.bar_edges import SIGMA, WINDOW, crossings
from intake.reading.geometry import Floats
from intake.reading.grey_profile import WIDTH_PX
from intake.reading.profile_fit import Doubles
from intake.reading.symbologies import EAN13

SHARPENED = 3.0
"""Sharpening of the bands, as in `bar_edges`: what shines on them has taken most of their contrast."""
QUIET, ALIKE = 3.5, 2.0
"""Paper beside a guard, in its modules, and the greatest ratio of its bars and spaces."""
NARROWEST, WIDEST = 0.4 * WIDTH_PX / 95, 1.5 * WIDTH_PX / 95
LEAST, MOST = 0.45, 1.4
"""Narrowest and widest modules of a guard, as shares of the mean of the symbol's."""
APART = 6
"""Most bands between the two guards from which a place is told."""
PLACES, ALIKE_PX = 12, 5.0
"""Most places that are tried, and what makes two of them one, in samples."""

Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Edges:
    """The edges of one band: places in samples, and whether ink begins there."""

    at: Doubles
    begins: Flags

    def turn(self, width: int) -> "Edges":
        """Return the edges read from the other end."""
        return Edges(width - 1 - self.at[::-1], ~self.begins[::-1])


def edges_of_bands(bands: Floats) -> list[Edges]:
    """Return the edges of each band, (bands, samples)."""
    return [Edges(*crossings(line)) for line in sharpened(bands)]


def sharpened(bands: Floats) -> Floats:
    """Return each band relative to the middle of its local range."""
    kernel = np.ones((1, WINDOW), np.uint8)
    sharp = bands + SHARPENED * (bands - cv2.GaussianBlur(bands, (0, 0), sigmaX=SIGMA, sigmaY=1e-3))
    low, high = (cv2.blur(each, (WINDOW, 1)) for each in (cv2.erode(sharp, kernel), cv2.dilate(sharp, kernel)))
    span = high - low
    typical = np.percentile(span, 80, axis=1, keepdims=True)
    return np.asarray((sharp - (low + high) / 2) / np.maximum(span, 0.25 * typical + 1e-3), np.float32)


def likely_places(edges: list[Edges]) -> list[Doubles]:
    """Return curves from a left guard to a right one that fits it, of a few bands, those that most bands tell first."""
    left = [(row, *guard) for row, each in enumerate(edges) for guard in guards(each)]
    right = [(row, -at, module) for row, each in enumerate(edges) for at, module in guards(each.turn(1))]
    if not left or not right:
        return []
    row, begin, first = (np.array(column)[:, None] for column in zip(*left, strict=True))
    other, end, last = (np.array(column)[None] for column in zip(*right, strict=True))
    mean = (end - begin) / EAN13.modules
    likely = (np.abs(row - other) <= APART) & (mean > NARROWEST) & (mean < WIDEST)
    for module in (first, last):
        likely &= (module > LEAST * mean) & (module < MOST * mean)
    middles, halves = ((end + begin) / 2)[likely], ((end - begin) / 2)[likely]
    alike = (np.abs(middles - middles[:, None]) < ALIKE_PX) & (np.abs(halves - halves[:, None]) < ALIKE_PX)
    places: list[Doubles] = []
    for i in np.argsort(-alike.sum(axis=1)):
        if not any(abs(middles[i] - other[0]) < ALIKE_PX and abs(halves[i] - other[1]) < ALIKE_PX for other in places):
            places.append(np.array([middles[i], halves[i], 0, 0, 0, 0]))
    return places[:PLACES]


def guards(edges: Edges) -> list[tuple[float, float]]:
    """Return where two bars as narrow as the space between them begin after paper, and the width of a module there."""
    if len(edges.at) < 5:
        return []
    at = np.concatenate([[edges.at[0] - 99], edges.at])
    gaps = np.diff(at)
    three = np.stack([gaps[1:-2], gaps[2:-1], gaps[3:]], axis=1)
    module = three.mean(axis=1)
    fits = (
        edges.begins[: len(module)]
        & (gaps[: len(module)] > QUIET * module)
        & (three.max(axis=1) < ALIKE * three.min(axis=1))
    )
    return [(float(edges.at[i]), float(module[i])) for i in np.nonzero(fits)[0]]

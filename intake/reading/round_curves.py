"""The curve of a symbol bent round a book's spine so far that one end is hardly seen.

Where a symbol is bent round a cylinder, its modules become narrower towards the silhouette, and the last bars run
together. But counted from the end that is seen well, edges tell where each digit lies, and so how the paper is bent:
what lies at an angle on a cylinder is seen at the sine of it, a little smaller as it is farther away:

    x(u) = (a + b sin(arc v) + c cos(arc v)) / (1 + d (1 - cos(arc v))),   v = -1 … 1 along the symbol.

The curve through the edges that every number has, among those that can be counted, is the curve of the rest too. A
profile is laid flat along it, to be compared with numbers as any other (`intake.reading.grey_level`).
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from intake.reading.bar_edges import BLANK, LAYOUTS, crossings, sharpened_lines, usual_gap
from intake.reading.geometry import Floats
from intake.reading.grey_profile import SIDE, WIDTH_PX, Profile
from intake.reading.profile_fit import Doubles
from intake.reading.symbologies import EAN13

ARCS = np.arange(0.4, 1.5, 0.05)
"""Half of the angle that a symbol takes of its cylinder, in radians: below the first, paper is nearly flat."""
RIDGE = 1e-3
"""Penalty on perspective, in squares of half of the symbol's width."""
NEAR = 0.1
"""Greatest distance of the known edges from the curve, in modules, as the root of the mean square; of drawn symbols
that were counted right most have 0.02."""
LAYOUT = next(each for each in LAYOUTS.values() if each.symbology is EAN13)


@dataclass(frozen=True, slots=True, eq=False)
class RoundCurve:
    """A curve along a symbol.

    Attributes:
        arc: as in the formula above.
        factors: a, b, c, how far ink spreads, and d, for samples from `middle` in multiples of `half`.
        middle: of the edges that it goes through, in samples.
        half: half of the distance between the outermost of them.
    """

    arc: float
    factors: Doubles
    middle: float
    half: float

    def at(self, u: Doubles, spread: Doubles | float = 0.0) -> Doubles:
        """Return the samples at which modules of the symbol lie; beyond a quarter of a turn nothing is seen."""
        angle = np.clip(self.arc * (2 * u / EAN13.modules - 1), -np.pi / 2, np.pi / 2)
        a, b, c, wider, d = self.factors
        level = (a + b * np.sin(angle) + c * np.cos(angle) + wider * spread) / (1 + d * (1 - np.cos(angle)))
        return np.asarray(self.middle + self.half * level)

    def off(self, edges: Doubles, counted: int) -> float:
        """Return how far known edges are from the curve, in modules there; infinite where it turns back."""
        which, modules, terms, _ = known_edges(counted)
        width = self.at(modules + 0.5) - self.at(modules - 0.5)
        missed = edges[which] - self.at(modules, terms[0, :, 3])
        return float(np.sqrt(np.mean((missed / width) ** 2))) if width.min() > 0 else np.inf


@lru_cache
def known_edges(counted: int) -> tuple[npt.NDArray[np.intp], Doubles, Doubles, Doubles]:
    """Return the edges that every number has among the first ones.

    Returns:
        Their numbers and modules; for each arc the terms at each but perspective's, (arcs, edges, 4); and how much
        farther away it is, (arcs, edges).
    """
    which = LAYOUT.known[0][LAYOUT.known[0] < counted]
    modules = LAYOUT.known[1][: len(which)]
    angles = ARCS[:, None] * (2 * modules / EAN13.modules - 1)
    spread = np.broadcast_to(np.where(which % 2, 1.0, -1.0), angles.shape)
    terms = np.stack([np.ones_like(angles), np.sin(angles), np.cos(angles), spread], axis=2)
    return which, modules, terms, 1 - np.cos(angles)


def fitted(edges: Doubles, counted: int) -> RoundCurve:
    """Return the curve nearest to the known ones among the first edges, given in samples."""
    which, _, terms, farther = known_edges(counted)
    seen = edges[which]
    middle, half = float(seen.mean()), float(np.ptp(seen)) / 2
    level = (seen - middle) / half
    design = np.concatenate([terms, -(level * farther)[:, :, None]], axis=2)
    across = design.transpose(0, 2, 1)
    normal = across @ design + np.diag([0, 0, 0, 0, RIDGE])
    factors = np.linalg.solve(normal, (across @ level)[:, :, None])[:, :, 0]
    missed = ((level - (design @ factors[:, :, None])[:, :, 0]) ** 2).sum(axis=1)
    best = int(missed.argmin())
    return RoundCurve(float(ARCS[best]), factors[best], middle, half)


def best_curve(values: Floats, counted: int) -> tuple[float, RoundCurve] | None:
    """Return the curve nearest to so many edges counted from the left, after how far off it is; None for none near."""
    found = []
    for line in sharpened_lines(values):
        at, _ = crossings(line)
        gaps = np.diff(at, prepend=0.0, append=len(line) - 1.0)
        wide = gaps > BLANK * usual_gap(gaps)
        for first in np.nonzero(wide[: max(len(at) - counted + 1, 0)])[0]:
            edges = at[first : first + counted]
            curve = fitted(edges, counted)
            found.append((curve.off(edges, counted), curve))
    best = min(found, key=lambda each: each[0], default=(np.inf, None))
    return (best[0], best[1]) if best[1] and best[0] < NEAR else None


def laid_flat(pooled: Profile, counted: int) -> Profile | None:
    """Return a profile of equal modules, the symbol as wide as the region; None where no bent symbol is seen.

    Args:
        pooled: the profile of a region, neither end of which need be that of the symbol.
        counted: edges that are counted from one end.
    """
    left, right = best_curve(pooled.clear, counted), best_curve(pooled.turn().clear, counted)
    best = min((each for each in (left, right) if each), key=lambda each: each[0], default=None)
    if best is None:
        return None
    samples = np.arange(len(pooled.values), dtype=np.float64)
    places = best[1].at((samples - SIDE * WIDTH_PX) * EAN13.modules / WIDTH_PX)
    if best is right:
        places = samples[-1] - places[::-1]
    places = np.maximum.accumulate(np.clip(places, 0, samples[-1]))
    values, clear = (np.interp(places, samples, each).astype(np.float32) for each in (pooled.values, pooled.clear))
    # Corners are only looked up at the symbol's ends, which the nearest even stretch maps rightly.
    ends = np.interp([SIDE * WIDTH_PX, (1 + SIDE) * WIDTH_PX], samples, places)
    rate = float(ends[1] - ends[0]) / WIDTH_PX
    begin = float(ends[0]) - rate * SIDE * WIDTH_PX
    top, low = (
        (row, shift + begin * (1 + stretch), rate * (1 + stretch) - 1)
        for row, shift, stretch in (pooled.top, pooled.low)
    )
    return replace(pooled, values=values, clear=clear, top=top, low=low)

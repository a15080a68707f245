"""The grey profile across a located symbol: many rows, aligned and pooled into one.

All rows of a symbol show the same bars, shifted and stretched a little where the picture is tilted, curved or taken at
an angle. The region is turned upright and cut into bands; of the runs of bands that look alike the one with most
contrast is used; each band is shifted and stretched onto the ones before it (Lucas and Kanade in one dimension); and
the pooled value at each place is the mean without the lowest and highest quarter, which excludes glare or a scratch on
a few rows.

Grey is inverted: a profile is high where there is ink.

Source of the alignment: B. D. Lucas and T. Kanade, "An iterative image registration technique", IJCAI 1981.
"""

from dataclasses import dataclass, replace

import cv2
import numpy as np

from intake.model.readings import Point
from intake.reading.geometry import Floats, Grey, Matrix, map_points
from intake.reading.rectify import rectify

WIDTH_PX = 640
"""Samples across the located region: at least 3 per module where the region is twice as wide as its symbol."""
SIDE = 0.35
TALLEST_PX = 96
BAND_PX = 4
GAMMA = 1.8
"""Exponent that converts grey levels back to light, which is what a lens blurs (sRGB: about 2.2)."""
ALIKE = 0.7
"""Least correlation of neighbouring bands that show the same bars."""
DIGIT_PX, LEVEL_PX = 41, 121
"""About one digit, and three: contrast is measured over the first, the level that is removed over the second."""
FEWEST = 2
"""Bands in a run; one alone may be a line of text."""
NEAREST = 60
"""Samples from the middle of a region within which no symbol ends: half of the narrowest one that is looked for."""


@dataclass(frozen=True, eq=False)
class Profile:
    """Ink along a line across the bars.

    Attributes:
        values: (n,), grey levels, ink is high.
        to_picture: from the upright crop to the picture.
        top: row of the crop where the run of bands begins, and the shift and stretch of its samples.
        low: the same where it ends.
        bands: number of bands that were pooled.
        clear: (n,), the same relative to its local mean, weighted at each place by the contrast of the bands there.
        level: the mean of the bands, which is taken off the values.
        likeness: median correlation of the aligned bands with the values; rows of a symbol show the same bars, lines of
            text and texture do not.
        turned: whether the values run from right to left.
    """

    values: Floats
    to_picture: Matrix
    top: tuple[float, float, float]
    low: tuple[float, float, float]
    bands: int
    clear: Floats
    level: float
    likeness: float
    turned: bool = False

    def toned(self, gamma: float) -> Floats:
        """Return the values under another exponent than `GAMMA`, as cameras and their programs differ."""
        grey = np.clip(1 - (self.values + self.level) / 255, 0, 1) ** (gamma / GAMMA)
        return np.asarray(255 * (1 - grey), np.float32)

    def turn(self) -> "Profile":
        """Return the profile read from the other end."""
        return replace(
            self,
            values=np.ascontiguousarray(self.values[::-1]),
            clear=np.ascontiguousarray(self.clear[::-1]),
            turned=not self.turned,
        )

    def corners(self, start: float, end: float) -> tuple[Point, ...]:
        """Return the corners of a stretch of the profile in pixels of the picture, clockwise from its own top left."""
        last = len(self.values) - 1
        left, right = (last - start, last - end) if self.turned else (start, end)
        quad = [
            (x + shift + stretch * x, row)
            for (row, shift, stretch), xs in ((self.top, (left, right)), (self.low, (right, left)))
            for x in xs
        ]
        if self.turned:  # its own top is the crop's lower edge
            quad = [quad[3], quad[2], quad[1], quad[0]]
        return map_points(quad, self.to_picture)


def profile(grey: Grey, corners: tuple[Point, ...], *, tallest_px: int = TALLEST_PX) -> Profile | None:
    """Pool the rows of a region; None if no two neighbouring bands look alike.

    Args:
        grey: the picture, uint8, height by width.
        corners: of the region, clockwise, the first edge across the bars.
        tallest_px: most rows of the upright region; fewer are faster.
    """
    crop = rectify(grey, corners, WIDTH_PX, side=SIDE, tallest_px=tallest_px)
    bands = to_bands(crop.grey)
    high = high_pass(bands)
    first, last = alike_run(high)
    if last - first < FEWEST:
        return None
    warps = align_bands(high, first, last)
    lined = np.stack([warp_band(bands[first + i], *warp) for i, warp in enumerate(warps)])
    rows = [(first + 0.5) * BAND_PX, (last - 0.5) * BAND_PX]
    (top_shift, top_stretch), (low_shift, low_stretch) = warps[0], warps[-1]
    top = (rows[0] - BAND_PX / 2, top_shift, top_stretch)
    low = (rows[1] + BAND_PX / 2, low_shift, low_stretch)
    level = float(np.median(lined.mean(axis=1)))
    values = pool_bands(lined)
    return Profile(
        values, crop.to_picture, top, low, last - first, pool_by_contrast(lined), level, likeness(lined, values)
    )


def margin_contrast(pooled: Profile, grey: Grey) -> float:
    """Return the contrast on the paper beside the bars, as a share of that of the bars; 1 where there is no paper.

    A symbol has a quiet zone at either end, which is as wide as a digit or wider. Texture goes on, and where it does
    to the edge of the picture, there is no paper that could be seen.
    """
    count = len(pooled.values)
    steps = np.abs(np.diff(pooled.values, append=pooled.values[-1:]))
    contrast = np.asarray(cv2.blur(steps[None], (DIGIT_PX, 1))[0], np.float32)
    ends = np.array(pooled.corners(0, count - 1))
    first, last = (ends[0] + ends[3]) / 2, (ends[1] + ends[2]) / 2
    places = first + (last - first) * np.linspace(0, 1, count)[:, None]
    inside = ((places >= 0) & (places <= np.array(grey.shape[::-1]) - 1)).all(axis=1).astype(np.uint8)
    seen = cv2.erode(inside[None], np.ones((1, DIGIT_PX), np.uint8), borderValue=0)[0] > 0
    left, right = (
        contrast[part][seen[part]] for part in (np.s_[: count // 2 - NEAREST], np.s_[count // 2 + NEAREST :])
    )
    if not len(left) or not len(right):
        return 1.0
    most = np.sort(contrast[seen])
    return float(max(left.min(), right.min()) / (most[-len(most) // 3 :].mean() + 1e-3))


def to_bands(grey: Grey) -> Floats:
    """Convert an upright crop to bands, (bands, width), each the mean of `BAND_PX` rows; ink is high."""
    count = len(grey) // BAND_PX
    means = grey[: count * BAND_PX].reshape(count, BAND_PX, -1).mean(axis=1)
    return np.asarray(255 * (1 - (means / 255) ** GAMMA), np.float32)


def pool_bands(lined: Floats) -> Floats:
    """Pool aligned bands into one line, each relative to its mean and scaled by its contrast."""
    levels = lined - lined.mean(axis=1, keepdims=True)
    spread = levels.std(axis=1, keepdims=True) + 1e-3
    return trimmed_mean(levels / spread * float(np.median(spread)))


def likeness(lined: Floats, pooled: Floats) -> float:
    """Return the median correlation of aligned bands, (bands, width), with what they were pooled to, (width,)."""
    bands, line = lined - lined.mean(axis=1, keepdims=True), pooled - pooled.mean()
    return float(np.median(bands @ line / (np.linalg.norm(bands, axis=1) * np.linalg.norm(line) + 1e-3)))


def pool_by_contrast(lined: Floats) -> Floats:
    """Pool aligned bands, weighted at each place by the contrast there: glare hides bars in some bands only."""
    about = lined - np.asarray(cv2.blur(lined, (DIGIT_PX, 1)), np.float32)
    weights = np.asarray(cv2.blur(about * about, (DIGIT_PX, 1)), np.float32)
    weights += 1e-3 * float(weights.mean()) + 1e-3
    high = lined - np.asarray(cv2.blur(lined, (LEVEL_PX, 1), borderType=cv2.BORDER_REPLICATE), np.float32)
    return np.asarray((weights * high).sum(axis=0) / weights.sum(axis=0), np.float32)


def high_pass(bands: Floats) -> Floats:
    """Remove slow changes along each band, and clip outliers."""
    window = bands.shape[1] // 10 | 1
    high = bands - np.asarray(cv2.blur(bands, (window, 1), borderType=cv2.BORDER_REPLICATE), np.float32)
    limit = 2.5 * float(np.percentile(np.abs(high), 80)) + 1e-3  # the edge of a label must not outweigh the bars
    return np.clip(high, -limit, limit)


def alike_run(high: Floats) -> tuple[int, int]:
    """Return (first, last + 1) of the run of bands, each like the one before, with the greatest sum of contrast."""
    spread = high.std(axis=1) + 1e-3
    shifts = range(-4, 5, 2)
    likeness = np.max(
        [(np.roll(high[1:], shift, axis=1) * high[:-1]).mean(axis=1) / (spread[1:] * spread[:-1]) for shift in shifts],
        axis=0,
    )
    best, best_sum, start = (0, 0), 0.0, 0
    for i in range(1, len(high) + 1):
        if i == len(high) or likeness[i - 1] < ALIKE:
            contrast = float(spread[start:i].sum())
            if contrast > best_sum:
                best, best_sum = (start, i), contrast
            start = i
    return best


def warp_band(band: Floats, shift: float, stretch: float) -> Floats:
    """Return the band's values at x + shift + stretch x."""
    x = np.arange(len(band), dtype=np.float32)
    return np.asarray(np.interp(x * (1 + stretch) + shift, x, band), np.float32)


def align_bands(high: Floats, first: int, last: int) -> list[tuple[float, float]]:
    """Return the shift and stretch that align each band of the run with the band of most contrast."""
    seed = first + int(np.argmax(np.convolve(high[first:last].std(axis=1), np.ones(3) / 3, "same")))
    warps: dict[int, tuple[float, float]] = {seed: (0.0, 0.0)}
    for way in (range(seed + 1, last), range(seed - 1, first - 1, -1)):
        model, warp = high[seed].copy(), (0.0, 0.0)
        for i in way:
            warp = refine_warp(model, high[i], warp)
            warps[i] = warp
            model += 0.3 * (warp_band(high[i], *warp) - model)
    return [warps[i] for i in range(first, last)]


def refine_warp(model: Floats, band: Floats, warp: tuple[float, float], rounds: int = 3) -> tuple[float, float]:
    """Return the shift and stretch of one band, improved by Gauss-Newton steps."""
    x = np.arange(len(band), dtype=np.float32)
    energy = float(model @ model) + 1e-3
    shift, stretch = warp
    for _ in range(rounds):
        here = warp_band(band, shift, stretch)
        slope = np.gradient(here)
        gain = float(here @ model) / energy
        error = gain * model - here
        a11, a12, a22 = float(slope @ slope), float((slope * slope) @ x), float((slope * slope) @ (x * x))
        b1, b2 = float(slope @ error), float((slope * x) @ error)
        determinant = a11 * a22 - a12 * a12
        if determinant < 1e-6 * a11 * a22 + 1e-9:
            break
        shift += min(max((a22 * b1 - a12 * b2) / determinant, -6.0), 6.0)
        stretch += min(max((a11 * b2 - a12 * b1) / determinant, -0.02), 0.02)
    return shift, stretch


def trimmed_mean(rows: Floats) -> Floats:
    """Return the mean of each column without its lowest and highest quarter."""
    cut = len(rows) // 4
    return np.asarray(np.sort(rows, axis=0)[cut : len(rows) - cut].mean(axis=0), np.float32)

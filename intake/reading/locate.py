"""Locating regions that may contain bars: regions in which all edges have one direction.

The structure tensor of the grey picture, averaged over a window a few bars wide, measures at each place how strong the
edges are and how well their directions agree. Places where both are high are joined into regions; a region's own tensor
gives the direction across its bars, the change of that direction gives the lean of its sides in perspective, and its
extent in both directions gives a trapezium.

Regions are not symbols: a fence, a blind or a line of small print is a region too. The decoders have to decide.

Source: J. Bigün and G. H. Granlund, "Optimal orientation detection of linear symmetry", ICCV 1987.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.model.readings import Point
from intake.reading.geometry import Floats, Grey, centre_of, contains, width_of, within
from intake.reading.rectify import rectify

Doubles = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.integer | np.floating]

WORKING_PX = 1600
CELLS = 200
"""Gradients are averaged over cells, about this many along the longer side, before directions are compared."""
WINDOWS = (20, 48)
"""The picture's longer side divided by the averaging window: for symbols near the camera, and for small ones."""
COHERENCE = 0.55
FAINT_WINDOWS = (16, 28)
FAINT_COHERENCE = 0.8
FLAT = 12
"""The picture's longer side divided by the window over which contrast is evened out."""
PLAIN_LEVELS = 6.0
"""Contrast, in grey levels, that counts as camera noise."""
ENERGY = 20.0
"""Mean squared gradient, in grey levels per pixel, below which a surface is plain paper and camera noise."""
LEVEL, FAN = 0.07, 0.4
"""Radians between the bars' direction at an end and in the middle: less is noise, more is not one symbol."""
EDGE = 1.5
"""Widest region of a single edge, in windows, and how many times as long it is at least."""
TEXTURE_PX, TEXTURE_CELL, TEXTURE_ENERGY = 640, 3, 100.0
"""The longer side, cells and energy at which texture is looked for: three cells are less than the smallest label's
width, and its bars have far more energy than noise."""
PALE_ENERGY = 3.0
"""The same as `ENERGY` where noise is first averaged over 3 by 3 pixels."""
FAINT_BARS = 8
"""Edges that remain of an EAN-13's 60 when it is blurred so much that only the code book can read it."""
LACKING = 0.9
"""Share of a region's width below which a region inside it lacks some of its bars."""
NARROWEST_PX = 50.0
"""The shortest symbol has 51 modules, and no decoder reads modules narrower than a pixel."""


@dataclass(frozen=True, slots=True)
class Region:
    """A region of edges that are parallel, or fan out evenly.

    Attributes:
        corners: clockwise, the first edge running across the bars, in pixels of the picture.
        strength: total edge energy in its main direction, comparable within one picture.
    """

    corners: tuple[Point, ...]
    strength: float


def locate(
    grey: Grey, *, most: int = 6, faint: bool = False, pale: bool = False, working_px: int = WORKING_PX
) -> tuple[Region, ...]:
    """Find regions that may contain a linear symbol, strongest first.

    Args:
        grey: uint8, height by width.
        most: greatest number to return.
        faint: first give every neighbourhood the same contrast, so that blurred bars count as much as the edge of their
            label; more regions that are not symbols are found too.
        pale: average out noise and accept weak edges: pale ink, or little light.
        working_px: longer side to which a larger picture is scaled down.
    """
    shrink = max(1.0, max(grey.shape) / working_px)
    if min(grey.shape) / shrink < 16:
        return ()
    small = within(grey, working_px)
    small = np.asarray(cv2.blur(small, (3, 3)), np.uint8) if pale else small
    cell = max(1, min(4, round(max(small.shape) / CELLS)))
    gradients = squared_gradients(even_contrast(small) if faint else small, cell)
    least = PALE_ENERGY if pale else ENERGY
    parts, coherence = (FAINT_WINDOWS, FAINT_COHERENCE) if faint else (WINDOWS, COHERENCE)
    regions: list[Region] = []
    for window in sorted({max(11, max(small.shape) // part) // cell | 1 for part in parts}, reverse=True):
        regions += regions_at_window(
            gradients, window, shrink * cell, regions, most=most, coherence=coherence, least=least
        )
    return tuple(sorted(regions, key=lambda region: -region.strength)[:most])


def even_contrast(grey: Grey) -> Grey:
    """Give every neighbourhood a mean of 128 and about the same contrast; plain paper stays plain."""
    size = max(grey.shape) // FLAT | 1
    values = grey.astype(np.float32)
    values -= cv2.boxFilter(values, -1, (size, size), borderType=cv2.BORDER_REPLICATE)
    square = cv2.boxFilter(values * values, -1, (size, size), borderType=cv2.BORDER_REPLICATE)
    return np.asarray(np.clip(128 + 50 * values / np.sqrt(square + PLAIN_LEVELS**2), 0, 255), np.uint8)


def regions_at_window(
    gradients: Floats, window: int, shrink: float, known: Sequence[Region], *, most: int, coherence: float, least: float
) -> list[Region]:
    """Find the strongest regions, besides those known, whose edges agree over a window of cells of `shrink` pixels."""
    tensor = np.asarray(cv2.boxFilter(gradients, -1, (window, window)), np.float32)
    xx, yy, xy = cv2.split(tensor)
    energy = xx + yy
    coherent = (xx - yy) ** 2 + 4 * xy**2 > (coherence * energy) ** 2
    some = energy[::4, ::4].ravel()
    strong = energy > max(least, 0.03 * float(np.partition(some, 99 * len(some) // 100)[99 * len(some) // 100]))
    mask = cv2.morphologyEx((coherent & strong).astype(np.uint8), cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
    wide = np.hypot(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]) * shrink
    large = (stats[:, cv2.CC_STAT_AREA] >= (1.5 * window) ** 2) & (wide >= NARROWEST_PX)
    large[0] = False
    regions: list[Region] = []
    if not large.any():
        return regions
    sums = sums_by_label(np.asarray(labels), np.asarray(xx - yy), np.asarray(xy))
    # Strongest first: a texture has many, of which few count.
    for i in strongest_first(sums, large & ~is_single_edge(sums, stats, window)):
        x, y, width, height, _ = (int(value) for value in stats[i])
        box = np.s_[y : y + height, x : x + width]
        region = measure_region(labels[box] == i, tensor[box], (x, y), shrink)
        if width_of(region.corners) >= NARROWEST_PX and not any(is_same_region(region, other) for other in known):
            regions.append(region)
        if len(regions) == most:
            break
    return regions


def sums_by_label(labels: Numbers, level: Numbers, aslant: Numbers) -> Doubles:
    """Return the tensor of each label, turned to twice its angle, (labels, 2)."""
    flat = labels.ravel()
    return np.stack([np.bincount(flat, level.ravel()), 2 * np.bincount(flat, aslant.ravel())], axis=1)


def strongest_first(sums: Doubles, large: npt.NDArray[np.bool_]) -> list[int]:
    """Return the labels that are large enough, those with most energy in one direction first."""
    found: list[int] = np.nonzero(large)[0].tolist()
    return sorted(found, key=lambda i: -math.hypot(*sums[i]))


def is_single_edge(sums: Doubles, stats: Numbers, window: int) -> npt.NDArray[np.bool_]:
    """Return which regions are no wider across their edges than the window makes one edge, and long: those of pages."""
    angle = 0.5 * np.arctan2(sums[:, 1], sums[:, 0])
    cos, sin = np.abs(np.cos(angle)), np.abs(np.sin(angle))
    wide, high = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]
    across, along = wide * cos + high * sin, wide * sin + high * cos
    return np.asarray((across < EDGE * window) & (along > EDGE * across))


def has_texture(grey: Grey) -> bool:
    """Return whether anything in a picture has edges that are more than the outlines of large things."""
    small = within(grey, TEXTURE_PX)
    if min(small.shape) < 3 * TEXTURE_CELL:
        return True
    xx, yy, _ = cv2.split(squared_gradients(small, TEXTURE_CELL))
    return bool(
        cv2.morphologyEx(((xx + yy) > TEXTURE_ENERGY).astype(np.uint8), cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)).any()
    )


def is_same_region(region: Region, other: Region) -> bool:
    """Return whether two regions are the same: each contains the other's centre, and their widths are similar."""
    alike = 0.7 < width_of(region.corners) / width_of(other.corners) < 1.4
    return alike and all(contains(a.corners, centre_of(b.corners)) for a, b in ((region, other), (other, region)))


def squared_gradients(grey: Grey, cell: int) -> Floats:
    """Return the mean xx, yy, xy of the gradients in each cell, (rows, columns, 3), in squared levels per pixel."""
    grey = grey[: grey.shape[0] // cell * cell, : grey.shape[1] // cell * cell]  # whole cells: averaged much faster
    dx = cv2.Sobel(grey, cv2.CV_32F, 1, 0, ksize=3, scale=1 / 8)
    dy = cv2.Sobel(grey, cv2.CV_32F, 0, 1, ksize=3, scale=1 / 8)
    size = (grey.shape[1] // cell, grey.shape[0] // cell)
    products = (cv2.multiply(dx, dx), cv2.multiply(dy, dy), cv2.multiply(dx, dy))
    return np.asarray(
        cv2.merge([cv2.resize(product, size, interpolation=cv2.INTER_AREA) for product in products]), np.float32
    )


def measure_region(inside: npt.NDArray[np.bool_], tensor: Floats, origin: tuple[int, int], shrink: float) -> Region:
    """Measure one connected region: direction across its bars, extent in both directions, strength."""
    xx, yy, xy = (float(total) for total in tensor[inside].sum(axis=0))
    angle = 0.5 * math.atan2(2 * xy, xx - yy)
    axes = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    ys, xs = np.nonzero(inside)
    few = np.s_[:: max(1, len(xs) // 1000)]
    xs, ys = xs[few], ys[few]
    points = np.stack([xs + origin[0], ys + origin[1]], axis=1).astype(np.float64)
    u, v = axes @ points.T
    corners = trapezium_around(u, v, *fan_of_bars(tensor[ys, xs], u, angle)) @ axes
    places = tuple(((float(x) + 0.5) * shrink - 0.5, (float(y) + 0.5) * shrink - 0.5) for x, y in corners)
    return Region(places, math.hypot(xx - yy, 2 * xy))


def fan_of_bars(tensor: Floats, u: Doubles, angle: float) -> tuple[float, float]:
    """Return how the bars' direction changes across a region: in perspective they fan out.

    Args:
        tensor: at some places of the region, (n, 3).
        u: the position of each along the line across the bars.
        angle: of that line.

    Returns:
        The lean of the bars in radians at u = 0, and its change with u: zero below `LEVEL`, at most `FAN`.
    """
    xx, yy, xy = tensor.T.astype(np.float64)
    cos, sin = math.cos(2 * angle), math.sin(2 * angle)
    level, aslant = (xx - yy) * cos + 2 * xy * sin, 2 * xy * cos - (xx - yy) * sin
    weight = np.hypot(level, aslant)
    weight /= max(float(weight.sum()), 1e-6)
    middle = float(weight @ u)
    offset = u - middle
    spread = float(weight @ offset**2)
    change = float((weight * offset) @ np.arctan2(aslant, level)) / 2 / max(spread, 1e-6)
    half = max(float(np.abs(offset).max()), 1e-6)
    if abs(change) * half < LEVEL:
        return 0.0, 0.0
    change = min(max(change, -FAN / half), FAN / half)
    return -change * middle, change


def trapezium_around(u: Doubles, v: Doubles, lean: float, change: float) -> Doubles:
    """Return the corners, clockwise, of a trapezium around most of the places; its sides lean like the bars there."""
    frayed = len(u) // 100  # number of outermost places that are left out
    height = np.sort(v)
    top, low = height[frayed], height[-1 - frayed]
    halfway = np.sort(u + np.tan(lean + change * u) * (v - (top + low) / 2))  # where their bars pass half way down
    ends = halfway[[frayed // 2, -1 - frayed // 2]]
    out = (low - top) / 2 * np.tan(lean + change * ends)
    (left, right), (left_out, right_out) = ends, out
    return np.array(
        [[left + left_out, top], [right + right_out, top], [right - right_out, low], [left - left_out, low]]
    )


def crispness(grey: Grey, corners: tuple[Point, ...]) -> float:
    """Return how close the grey along the middle of a symbol is to its darkest and lightest level, 0 to 1.

    About 0.7 where edges are blurred by a fifth of a module, 0.6 by a third, and 0.5 from a half on (drawn symbols).
    """
    profile = rectify(grey, corners, 300, side=0.0, tallest_px=24).grey[4:-4].astype(np.float32).mean(axis=0)
    low, high = np.percentile(profile, [5, 95])
    return float(np.abs(profile - (low + high) / 2).mean() / ((high - low) / 2 + 1e-3))


def count_edges_across(grey: Grey, corners: tuple[Point, ...]) -> int:
    """Count the changes from dark to light or back along the middle of a region.

    At least a quarter of an EAN-13's 60 edges remain in a blur that decoders can read; the edge of a page has two.
    """
    strip = rectify(grey, corners, 200, side=0.0, tallest_px=48).grey
    profile = strip[len(strip) // 4 : -len(strip) // 4].astype(np.float32).mean(axis=0)
    profile -= cv2.blur(profile[None], (41, 1))[0]
    sure = np.sign(profile)[np.abs(profile) > 0.25 * profile.std()]
    return int(np.count_nonzero(np.diff(sure)))


def likeliest_faint(grey: Grey, *, most: int) -> list[tuple[Point, ...]]:
    """Find bars so blurred that the edges of labels and pages have more contrast."""
    return likeliest(grey, [region.corners for region in locate(grey, faint=True)])[:most]


def likeliest(grey: Grey, regions: Sequence[tuple[Point, ...]]) -> list[tuple[Point, ...]]:
    """Return the regions with edges enough for a blurred symbol.

    Those with as many as blur leaves of one come first, however strong the edges of others are.
    """
    counts = {corners: count_edges_across(grey, corners) for corners in regions}
    likely = sorted(regions, key=lambda corners: -min(counts[corners] // FAINT_BARS, 2))
    return [corners for corners in likely if counts[corners] >= FAINT_BARS]


def is_part(corners: tuple[Point, ...], whole: tuple[Point, ...]) -> bool:
    """Return whether a region is a part of another, of which it lacks some bars."""
    return contains(whole, centre_of(corners)) and width_of(corners) < LACKING * width_of(whole)

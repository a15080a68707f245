"""The frame of a cover that two pictures show: the four straight edges that both have in the same place.

Once the later picture is laid over the earlier one by what is printed on the cover, the edges of the cover lie on each
other, and those of the table and of what lies on it do not.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

Colours = npt.NDArray[np.uint8]
Floats = npt.NDArray[np.float32]
Doubles = npt.NDArray[np.float64]
Homography = Doubles

LONGEST_PX = 800
"""The edges are looked for at this size."""
CLEAR_STEP = 5.0
"""A step of so many levels a pixel, of 255, is an edge, whatever more it has."""
STEEPEST = 60.0
EDGE = 0.5
"""Of a clear step: where a straight edge may run."""
REACH_PX = 3
"""So far from each other the two pictures may have it."""
SUPPORT = 0.45
"""So much of a line must be seen in both pictures."""
NEARLY = 0.5
"""Of the lines with so much of the best one's support, the outermost is taken."""
SLANT = np.radians(25)
MOST_LINES = 400
SAMPLES = 160
FAIREST = 0.35
"""The shorter of two opposite sides must have so much of the longer."""
LEAST_AREA = 0.04


def find_frame(before: Colours, after: Colours, lens: Homography, agreeing: Floats) -> Doubles | None:
    """Return the corners of the cover in the earlier picture, clockwise from its top left.

    Args:
        before: uint8, height by width by 3.
        after: the later picture, of any size.
        lens: from pixels of the later picture to those of the earlier.
        agreeing: points of the earlier picture that are on the cover, n by 2.

    Returns:
        float64, 4 by 2, in pixels; None where four edges are not seen in both.
    """
    height, width = before.shape[:2]
    scale = min(LONGEST_PX / max(height, width), 1.0)
    small = np.asarray(cv2.resize(before, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8)
    to_small = np.diag([scale, scale, 1.0]) @ lens
    steps, framed = common_steps(small, after, to_small)
    points = (agreeing * scale).astype(np.float64)
    for edges in (steps, np.maximum(steps, framed)):
        if (corners := quadrilateral(edges, points)) is not None:
            return np.asarray(corners / scale, np.float64)
    return None


def common_steps(small: Colours, after: Colours, lens: Homography) -> tuple[Floats, Floats]:
    """Return how steep both pictures are at each place, 1 for a clear step; the same with their borders as edges."""
    height, width = small.shape[:2]
    ours = steps_in(small)
    shrink = min(float(np.sqrt(abs(np.linalg.det(lens[:2, :2])))), 1.0)
    soft = cv2.GaussianBlur(after, (0, 0), 0.4 / shrink) if shrink < 0.7 else after
    theirs = steps_in(np.asarray(cv2.warpPerspective(soft, lens, (width, height), flags=cv2.INTER_LINEAR), np.uint8))
    whole = np.full(after.shape[:2], 255, np.uint8)
    shown = cv2.warpPerspective(whole, lens, (width, height))
    kernel = np.ones((2 * REACH_PX + 1, 2 * REACH_PX + 1), np.uint8)
    borders = cv2.morphologyEx(np.pad(shown, 2), cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8))[2:-2, 2:-2] > 0
    theirs[cv2.erode(shown, kernel) == 0] = 0
    ours_framed = ours.copy()
    ours_framed[[0, 1, -2, -1], :] = 1
    ours_framed[:, [0, 1, -2, -1]] = 1
    theirs_framed = np.maximum(theirs, borders.astype(np.float32))
    return (
        np.minimum(ours, cv2.dilate(theirs, kernel)),
        np.minimum(ours_framed, cv2.dilate(theirs_framed, kernel)),
    )


def steps_in(picture: Colours) -> Floats:
    """Return how steep each place of a picture is, 1 for a clear step, whichever colours it divides."""
    soft = cv2.GaussianBlur(picture, (0, 0), 1.0).astype(np.float32)
    across = cv2.Sobel(soft, cv2.CV_32F, 1, 0) / 8
    down = cv2.Sobel(soft, cv2.CV_32F, 0, 1) / 8
    steepest = np.sqrt(across**2 + down**2).reshape(*picture.shape[:2], -1).max(axis=-1)
    return np.asarray(np.minimum(steepest / CLEAR_STEP, STEEPEST / CLEAR_STEP), np.float32)


def quadrilateral(steps: Floats, points: Doubles) -> Doubles | None:
    """Return the corners of the outermost four lines around these points, in two directions across each other."""
    found = cv2.HoughLines(np.asarray(steps > EDGE, np.uint8), 1, np.pi / 360, min(steps.shape) // 8)
    if found is None:
        return None
    lines = found.reshape(-1, found.shape[-1])[:MOST_LINES, :2].astype(np.float64)
    around = EdgesAround(steps, points, np.median(points, axis=0))
    rho, theta = lines[:, 0], lines[:, 1]
    normals = np.stack([np.cos(theta), np.sin(theta)], axis=1)
    outwards = rho - normals @ around.middle
    normals[outwards < 0] *= -1
    outwards = np.abs(outwards)
    support = np.array([around.support(*line) for line in zip(normals, outwards, strict=True)])
    first = int(np.argmax(support))
    base = float(np.arctan2(normals[first, 1], normals[first, 0]))
    sides = []
    for nth in range(4):
        way = base + nth * np.pi / 2
        turned = np.abs(np.angle(np.exp(1j * (np.arctan2(normals[:, 1], normals[:, 0]) - way))))
        chosen = np.flatnonzero((turned < SLANT) & (support >= SUPPORT))
        if not len(chosen):
            return None
        chosen = chosen[support[chosen] >= NEARLY * support[chosen].max()]
        best = chosen[np.argmax(outwards[chosen])]
        sides.append(around.fitted_line(normals[best], outwards[best]))
    return corners_of(sides, steps.shape, points)


@dataclass(frozen=True, slots=True, eq=False)
class EdgesAround:
    """The edges of a picture, and points that the lines sought lie around.

    A line is told by its normal, a unit vector that points away from the middle, and by how far out it lies there.

    Attributes:
        steps: how steep each place is, 1 for a clear step.
        points: n by 2, in px.
        middle: of the points.
    """

    steps: Floats
    points: Doubles
    middle: Doubles

    def along(self, normal: Doubles, out: float) -> Doubles:
        """Return places on a line, as far as the points reach along it."""
        along = np.array([-normal[1], normal[0]])
        low, high = np.quantile((self.points - self.middle) @ along, (0.02, 0.98))
        return np.asarray(self.middle + normal * out + np.linspace(low, high, SAMPLES)[:, None] * along)

    def support(self, normal: Doubles, out: float) -> float:
        """Return how much of a line is an edge; none where points lie clearly beyond it."""
        if np.mean((self.points - self.middle) @ normal > out + REACH_PX) > 0.02:
            return 0.0
        places = self.along(normal, out)
        seen = [sampled(self.steps, places + normal * beside) for beside in (-1, 0, 1)]
        return float(np.minimum(np.max(seen, axis=0), 1.0).mean())

    def fitted_line(self, normal: Doubles, out: float) -> Doubles:
        """Return the line, as (a, b, c) with ax + by + c = 0, through the clearest edge beside a rough one."""
        places = self.along(normal, out)
        beside = np.arange(-5, 6)
        profiles = np.array([sampled(self.steps, places + normal * offset) for offset in beside]) + np.float32(1e-6)
        weight = profiles.max(axis=0)
        steep = np.where(profiles > 0.6 * weight, profiles, 0)
        at = (steep * beside[:, None]).sum(axis=0) / steep.sum(axis=0)
        edge = places + normal * at[:, None]
        good = weight > EDGE
        for _ in range(4):
            if good.sum() < SAMPLES // 10:
                edge, good = places, np.ones(SAMPLES, bool)
            centre = edge[good].mean(axis=0)
            direction = np.linalg.svd(edge[good] - centre, full_matrices=False)[2][0]
            line_normal = np.array([-direction[1], direction[0]])
            off = np.abs((edge - centre) @ line_normal)
            good = (weight > EDGE) & (off < max(2.0 * float(np.median(off[good])), 0.5))
        return np.array([*line_normal, -float(line_normal @ centre)])


def sampled(field: Floats, places: Doubles) -> Floats:
    """Return the values of a field at places, 0 outside."""
    x, y = (places[:, axis].astype(np.float32)[None] for axis in (0, 1))
    return np.asarray(cv2.remap(field, x, y, cv2.INTER_LINEAR)[0], np.float32)


def corners_of(sides: list[Doubles], shape: tuple[int, ...], points: Doubles) -> Doubles | None:
    """Return where neighbouring sides meet, clockwise from the top left; None where this is no cover's shape."""
    crossings = [np.cross(sides[nth], sides[(nth + 1) % 4]) for nth in range(4)]
    if any(abs(each[2]) < 1e-9 for each in crossings):
        return None
    corners = np.array([each[:2] / each[2] for each in crossings])
    lengths = np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1)
    fair = all(min(pair) >= FAIREST * max(pair) for pair in (lengths[::2], lengths[1::2]))
    quad = corners.astype(np.float32)
    large = cv2.contourArea(quad) >= LEAST_AREA * shape[0] * shape[1]
    if not fair or not large or not cv2.isContourConvex(quad):
        return None
    inside = np.mean([cv2.pointPolygonTest(quad, (float(x), float(y)), measureDist=False) >= 0 for x, y in points])
    if inside < 0.9:
        return None
    return clockwise(corners)


def clockwise(corners: Doubles) -> Doubles:
    """Return corners clockwise from the top left as the picture shows them.

    >>> clockwise(np.array([(9.0, 9.0), (0.0, 9.0), (0.0, 0.0), (9.0, 0.0)])).tolist()
    [[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]]
    """
    middle = corners.mean(axis=0)
    angles = np.arctan2(corners[:, 1] - middle[1], corners[:, 0] - middle[0])
    ordered = corners[np.argsort(angles)]
    first = int(np.argmin(ordered.sum(axis=1)))
    return np.roll(ordered, -first, axis=0)

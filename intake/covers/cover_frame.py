"""The frame of a cover that two pictures show: the four straight edges that both have in the same place.

Once the later picture is laid over the earlier one by what is printed on the cover, the edges of the cover lie on each
other, and those of the table and of what lies on it do not. The grain of a table or a cloth has steps everywhere, so
that some of both pictures meet at any place: a line is an edge only where the colours on its two sides differ piece by
piece, each piece many pixels long, in which grain averages out.
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
EDGE = 2.5
"""Levels a pixel, of 255: where a straight edge may run."""
DIRECTIONS = 12
"""Straight edges are looked for in so many directions, each among the steps across it."""
MOST_LINES = 30
"""In one direction; lines so near to a clearer one are left out:"""
NEAR_PX, NEAR_TURN = 4.0, np.radians(2)
REACH_PX = 3
"""So far from each other the two pictures may have an edge."""
BEYOND_PX = 20
"""A patch that agrees is so large to each side: its middle may lie so far beyond the edge that it shows."""
OUTSIDE = 0.02
"""Of the points, so many may lie beyond that."""
BESIDE_PX = 6
"""So far beside a line its edge is looked for."""
ACROSS_PX = 2
"""The two sides of an edge are so far from it."""
CLEAR_STEP = 12.0
"""Levels by which the two sides of a piece must differ."""
SAMPLES, PIECES = 160, 20
STEEPEST = 0.6
"""Of the clearest edge beside it, that of a line must have: a shadow beside a cover has less."""
SUPPORT = 0.45
"""So much of a line must be an edge in both pictures."""
NEARLY = 0.7
"""Of the lines with so much of the best one's support, the outermost is taken,"""
SAME_PX, SAME_TURN = 10.0, np.radians(4)
"""or the clearest of those so near to it."""
FILLED = 0.06
"""Of the points' extent: the border of a picture counts as the edge of a cover only if points come so near to it."""
SLANT = np.radians(25)
FAIREST = 0.35
"""The shorter of two opposite sides must have so much of the longer."""
LEAST_AREA = 0.04


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One of the two pictures, in the pixels of the earlier one.

    Attributes:
        colours: float32, height by width by 3.
        shown: 1 where the picture is, 0 outside of it and at its rim.
        borders: 1 where it ends.
    """

    colours: Floats
    shown: Floats
    borders: Floats


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
    size = small.shape[1], small.shape[0]
    views = view_of(small, np.eye(3), size), view_of(after, np.diag([scale, scale, 1.0]) @ lens, size)
    points = (agreeing * scale).astype(np.float64)
    for framed in (False, True):
        around = EdgesAround(views, points, np.median(points, axis=0), framed)
        if (corners := quadrilateral(around)) is not None:
            return np.asarray(corners / scale, np.float64)
    return None


def view_of(picture: Colours, lens: Homography, size: tuple[int, int]) -> View:
    """Return a picture under a homography."""
    shrink = min(float(np.sqrt(abs(np.linalg.det(lens[:2, :2])))), 1.0)
    soft = cv2.GaussianBlur(picture, (0, 0), 0.4 / shrink) if shrink < 0.7 else picture
    there = cv2.warpPerspective(soft, lens, size, flags=cv2.INTER_LINEAR)
    whole = cv2.warpPerspective(np.full(picture.shape[:2], 255, np.uint8), lens, size)
    rim = np.ones((2 * REACH_PX + 1, 2 * REACH_PX + 1), np.uint8)
    inner = cv2.erode(whole, rim, borderType=cv2.BORDER_CONSTANT, borderValue=0.0)
    ends = (cv2.dilate(whole, rim) > 0) & (inner < 255)
    return View(
        cv2.GaussianBlur(there, (0, 0), 1.0).astype(np.float32),
        (inner == 255).astype(np.float32),
        ends.astype(np.float32),
    )


def quadrilateral(around: "EdgesAround") -> Doubles | None:
    """Return the corners of the outermost four lines around the points, in two directions across each other."""
    found = [around.fitted_line(*line) for line in around.lines()]
    if not found:
        return None
    normals, outwards = np.array([line[0] for line in found]), np.array([line[1] for line in found])
    support = np.array([around.support(*line) for line in found])
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
        outermost = chosen[np.argmax(outwards[chosen])]
        apart = np.abs(outwards[chosen] - outwards[outermost])
        alike = chosen[(apart < SAME_PX) & (normals[chosen] @ normals[outermost] > np.cos(SAME_TURN))]
        normal, out = found[alike[np.argmax(support[alike])]]
        sides.append(np.array([*normal, -float(normal @ around.middle) - out]))
    return corners_of(sides, around.views[0].shown.shape, around.points)


@dataclass(frozen=True, slots=True, eq=False)
class EdgesAround:
    """The edges that two pictures have, and points that the lines sought lie around.

    A line is told by its normal, a unit vector that points away from the middle, and by how far out it lies there.

    Attributes:
        views: the earlier picture, and the later one.
        points: n by 2, in px.
        middle: of the points.
        framed: whether the borders of the pictures are edges too, of a cover that fills them.
    """

    views: tuple[View, View]
    points: Doubles
    middle: Doubles
    framed: bool

    def lines(self) -> list[tuple[Doubles, float]]:
        """Return lines along which both pictures have steps across them."""
        (ours, our_ways), (theirs, their_ways) = (steps_in(view) for view in self.views)
        reach = np.ones((2 * REACH_PX + 1, 2 * REACH_PX + 1), np.uint8)
        borders = [(view.borders * self.framed).astype(np.uint8) for view in self.views]
        wide = np.pi / DIRECTIONS
        lines = []
        for nth in range(DIRECTIONS):
            way = (nth + 0.5) * wide
            here, there = (
                np.maximum((steps > EDGE) & (np.abs(np.sin(ways - way)) < np.sin(wide)), border).astype(np.uint8)
                for steps, ways, border in zip((ours, theirs), (our_ways, their_ways), borders, strict=True)
            )
            both = here & cv2.dilate(there, reach)
            found = cv2.HoughLines(
                both, 1, np.pi / 360, min(both.shape) // 8, min_theta=nth * wide, max_theta=(nth + 1) * wide
            )
            for rho, theta in distinct([] if found is None else found.reshape(-1, found.shape[-1])[:, :2]):
                normal = np.array([np.cos(theta), np.sin(theta)])
                out = float(rho - normal @ self.middle)
                lines.append((normal, out) if out >= 0 else (-normal, -out))
        return [line for line in lines if not self.crosses(*line)]

    def crosses(self, normal: Doubles, out: float) -> bool:
        """Return whether points lie clearly beyond a line."""
        return bool(np.mean((self.points - self.middle) @ normal > out + BEYOND_PX) > OUTSIDE)

    def fills(self, normal: Doubles, out: float) -> bool:
        """Return whether the points come so near to a line that it may be the border of a picture the cover fills."""
        low, high = np.quantile((self.points - self.middle) @ normal, (0.02, 0.98))
        return bool(out - high < FILLED * (high - low))

    def along(self, normal: Doubles, out: float) -> Doubles:
        """Return places on a line, as far as the points reach along it."""
        along = np.array([-normal[1], normal[0]])
        low, high = np.quantile((self.points - self.middle) @ along, (0.02, 0.98))
        return np.asarray(self.middle + normal * out + np.linspace(low, high, SAMPLES)[:, None] * along)

    def profiles(self, view: View, normal: Doubles, out: float) -> Floats:
        """Return by how much the two sides of each piece differ, beside a line: places beside by pieces."""
        beside = np.arange(-BESIDE_PX - ACROSS_PX, BESIDE_PX + ACROSS_PX + 1)
        places = self.along(normal, out)[None] + beside[:, None, None] * normal
        colours, shown = (sampled(each, places) for each in (view.colours, view.shown))
        step = (colours[2 * ACROSS_PX :] - colours[: -2 * ACROSS_PX]).reshape(-1, PIECES, SAMPLES // PIECES, 3)
        seen = np.minimum(shown[2 * ACROSS_PX :], shown[: -2 * ACROSS_PX]).reshape(step.shape[:-1]).min(axis=-1)
        differs = np.abs(step.mean(axis=2)).max(axis=-1) * seen
        if self.framed and self.fills(normal, out):
            ends = sampled(view.borders, places[ACROSS_PX:-ACROSS_PX]).reshape(step.shape[:-1]).min(axis=-1)
            differs = np.maximum(differs, CLEAR_STEP * ends)
        return np.asarray(differs, np.float32)

    def support(self, normal: Doubles, out: float) -> float:
        """Return how much of a line is an edge in both pictures, and as clear as any edge beside it."""
        if self.crosses(normal, out):
            return 0.0
        seen = []
        for view, reach in zip(self.views, (1, REACH_PX), strict=True):
            profiles = self.profiles(view, normal, out)
            at = profiles[BESIDE_PX - reach : BESIDE_PX + reach + 1].max(axis=0)
            seen.append(np.where(at >= STEEPEST * profiles.max(axis=0), np.minimum(at / CLEAR_STEP, 1.0), 0.0))
        return float(np.minimum(*seen).mean())

    def fitted_line(self, normal: Doubles, out: float) -> tuple[Doubles, float]:
        """Return the line through the clearest edge beside a rough one."""
        places = self.along(normal, out).reshape(PIECES, -1, 2).mean(axis=1)
        beside = np.arange(-BESIDE_PX, BESIDE_PX + 1)
        profiles = self.profiles(self.views[0], normal, out) + np.float32(1e-6)
        weight = profiles.max(axis=0)
        steep = np.where(profiles > STEEPEST * weight, profiles, 0)
        at = (steep * beside[:, None]).sum(axis=0) / steep.sum(axis=0)
        edge = places + normal * at[:, None]
        good = weight > CLEAR_STEP
        for _ in range(4):
            if good.sum() < PIECES // 4:
                return normal, out
            centre = edge[good].mean(axis=0)
            direction = np.linalg.svd(edge[good] - centre, full_matrices=False)[2][0]
            fitted = np.array([-direction[1], direction[0]])
            off = np.abs((edge - centre) @ fitted)
            good = (weight > CLEAR_STEP) & (off < max(2.0 * float(np.median(off[good])), 0.5))
        fitted = fitted if fitted @ normal > 0 else -fitted
        return fitted, float((centre - self.middle) @ fitted)


def distinct(lines: npt.ArrayLike) -> list[tuple[float, float]]:
    """Return the clearest of these lines, as (rho, theta), clearest first, without those near a clearer one."""
    kept: list[tuple[float, float]] = []
    for rho, theta in np.asarray(lines, np.float64):
        if len(kept) == MOST_LINES:
            break
        if all(abs(rho - each[0]) > NEAR_PX or abs(theta - each[1]) > NEAR_TURN for each in kept):
            kept.append((float(rho), float(theta)))
    return kept


def steps_in(view: View) -> tuple[Floats, Floats]:
    """Return how steep each place of a picture is in its steepest colour, and in which direction."""
    across, down = (cv2.Sobel(view.colours, cv2.CV_32F, *way) / 8 for way in ((1, 0), (0, 1)))
    steep = np.hypot(across, down)
    steepest = steep.argmax(axis=-1)[..., None]
    across, down, steep = (np.take_along_axis(each, steepest, axis=-1)[..., 0] for each in (across, down, steep))
    return np.asarray(steep * view.shown, np.float32), np.arctan2(down, across)


def sampled(field: Floats, places: Doubles) -> Floats:
    """Return the values of a field at places, 0 outside."""
    x, y = (places[..., axis].astype(np.float32) for axis in (0, 1))
    return np.asarray(cv2.remap(field, x, y, cv2.INTER_LINEAR), np.float32)


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
    out = [-cv2.pointPolygonTest(quad, (float(x), float(y)), measureDist=True) for x, y in points]
    if np.mean(np.array(out) > BEYOND_PX) > OUTSIDE:
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

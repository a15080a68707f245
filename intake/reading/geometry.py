"""Quadrilaterals in pictures: x to the right, y down, corners clockwise from the symbol's own top left."""

import math
from collections.abc import Sequence

import cv2
import numpy as np
import numpy.typing as npt

from intake.model.readings import Point

Grey = npt.NDArray[np.uint8]
Matrix = npt.NDArray[np.float64]
"""A 3 by 3 projective map of pixel coordinates."""

Floats = npt.NDArray[np.float32]

WITH_SUPPLEMENT = 1.62
"""Width of a symbol of 95 modules with a gap of up to 12 and a supplement of 47, in widths of the symbol."""
IDENTITY: Matrix = np.eye(3)


def downscale(grey: Grey, width_px: int, height_px: int) -> Grey:
    """Scale a picture down by averaging, to one row or column at least."""
    size = (max(width_px, 1), max(height_px, 1))
    return np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), np.uint8)


def within(grey: Grey, longest_px: int) -> Grey:
    """Return a picture whose longer side has no more pixels than this, scaled down by averaging."""
    shrink = max(grey.shape) / longest_px
    return downscale(grey, round(grey.shape[1] / shrink), round(grey.shape[0] / shrink)) if shrink > 1 else grey


def order_along(points: Sequence[Point]) -> list[int]:
    """Return the order of places from the left or from the top, whichever way they spread more.

    >>> order_along([(5, 0), (1, 2), (3, 1)]), order_along([(0, 9), (1, 4)])
    ([1, 2, 0], [1, 0])
    """
    places = np.array(points).reshape(-1, 2)
    along = int(len(places) > 0 and np.ptp(places[:, 1]) > np.ptp(places[:, 0]))
    return [int(i) for i in np.lexsort((places[:, 1 - along], places[:, along]))]


def centre_of(corners: Sequence[Point]) -> Point:
    """Return the mean of the corners."""
    return (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))


def width_of(corners: Sequence[Point]) -> float:
    """Return the length along the reading direction, the mean of top and bottom edge."""
    a, b, c, d = corners
    return (math.dist(a, b) + math.dist(d, c)) / 2


def height_of(corners: Sequence[Point]) -> float:
    """Return the length along the bars, the mean of left and right edge."""
    a, b, c, d = corners
    return (math.dist(a, d) + math.dist(b, c)) / 2


def area_of(corners: Sequence[Point]) -> float:
    """Return width times height."""
    return width_of(corners) * height_of(corners)


def lengthen(corners: Sequence[Point], factor: float) -> tuple[Point, ...]:
    """Return an outline extended to the right, to `factor` times its width."""
    a, b, c, d = (np.array(corner) for corner in corners)
    return tuple((float(x), float(y)) for x, y in (a, a + (b - a) * factor, d + (c - d) * factor, d))


def map_points(corners: Sequence[Point], matrix: Matrix) -> tuple[Point, ...]:
    """Map points by a projective map."""
    points = np.array(corners, np.float64).reshape(1, -1, 2)
    return tuple((float(x), float(y)) for x, y in cv2.perspectiveTransform(points, matrix)[0])


def cross(box: npt.NDArray[np.float64]) -> float:
    """Return the cross product of the first two edges: positive where the corners go clockwise, y being down."""
    (ax, ay), (bx, by), (cx, cy) = box[:3].tolist()
    return float((bx - ax) * (cy - by) - (by - ay) * (cx - bx))


def rectangle_around(points: Floats, ahead: Point) -> tuple[Point, ...]:
    """Return the smallest rectangle around points; its first edge is the one nearest the reading direction `ahead`."""
    box = cv2.boxPoints(cv2.minAreaRect(points)).astype(np.float64)
    if cross(box) < 0:  # keep it clockwise on the screen
        box = box[::-1]
    edges = np.roll(box, -1, axis=0) - box
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    if lengths.min() < 1e-6 < lengths.max():  # one scan line: a thin rectangle, whose long edges alone have a direction
        edges = np.where(lengths[:, None] < 1e-6, 0.0, edges)
    first = int(np.argmax(edges @ np.array(ahead) / np.maximum(lengths, 1e-6)))
    return tuple((float(x), float(y)) for x, y in np.roll(box, -first, axis=0))


def contains(corners: Sequence[Point], point: Point, *, slack_px: float = 0.0) -> bool:
    """Return whether a point is in the quadrilateral or within `slack_px` of it."""
    quad = np.array(corners, np.float32).reshape(-1, 1, 2)
    return float(cv2.pointPolygonTest(quad, point, measureDist=True)) >= -slack_px

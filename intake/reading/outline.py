"""The outline of a linear symbol, from the line along which a decoder read it.

A decoder reports where its scan lines crossed the first and the last bar, but not the direction and the length of the
bars: a slanted symbol is read along a slanted line. The direction across the bars is that of the grey gradients around
the line (`intake.reading.locate` uses the same measure), and the bars reach as far as the rows beside it look alike.

The outline is a rectangle: it does not follow bars that fan out in strong perspective.
"""

import math

import cv2
import numpy as np

from intake.model.readings import Point
from intake.reading.geometry import Floats, Grey, height_of, width_of

SAMPLES = 128
ROWS = 192
ALIKE = 0.55
"""Least correlation with the row that was read at which a row belongs to the symbol."""


def outline(grey: Grey, corners: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return the symbol's rectangle, clockwise from its own top left.

    Args:
        grey: the picture, uint8, height by width.
        corners: a decoder's outline: the first edge from the first bar to the last, however thin or slanted.
    """
    a, b, c, d = (np.array(corner) for corner in corners)
    start, end = (a + d) / 2, (b + c) / 2
    ahead = end - start
    if float(np.hypot(*ahead)) < 8:
        return corners
    across = bar_direction(grey, start, end)
    if float(across @ ahead) < 0:
        across = -across
    width = float(ahead @ across)
    if width < 0.5 * float(np.hypot(*ahead)):  # the gradients are not those of its bars
        return corners
    down = np.array([-across[1], across[0]])
    middle = (start + end) / 2
    left = middle - across * width / 2
    above, below = bar_reach(grey, left, across * width, down)
    top, low = left - down * above, left + down * below
    quad = (top, top + across * width, low + across * width, low)
    rectangle = tuple((float(x), float(y)) for x, y in quad)
    return rectangle if height_of(rectangle) > 0 and width_of(rectangle) > 0 else corners


def bar_direction(grey: Grey, start: Floats, end: Floats) -> Floats:
    """Return the unit vector across the bars around the line from start to end."""
    reach_px = max(3.0, 0.08 * math.dist(start, end))
    left, top = np.floor(np.minimum(start, end) - reach_px).astype(int)
    right, low = np.ceil(np.maximum(start, end) + reach_px).astype(int) + 1
    left, top = max(left, 0), max(top, 0)
    part = grey[top:low, left:right]
    dx = cv2.Sobel(part, cv2.CV_32F, 1, 0, ksize=3)
    dy = cv2.Sobel(part, cv2.CV_32F, 0, 1, ksize=3)
    # Only pixels near the line count: the box around a slanted line contains the background beside the symbol too.
    near = np.zeros(part.shape, np.uint8)
    ends = [tuple(int(v) for v in np.rint(point - (left, top))) for point in (start, end)]
    cv2.line(near, ends[0], ends[1], 1, thickness=max(1, int(reach_px)))
    inside = near > 0
    xx, yy, xy = float((dx * dx)[inside].sum()), float((dy * dy)[inside].sum()), float((dx * dy)[inside].sum())
    angle = 0.5 * math.atan2(2 * xy, xx - yy)
    return np.array([math.cos(angle), math.sin(angle)])


def bar_reach(grey: Grey, left: Floats, along: Floats, down: Floats) -> tuple[float, float]:
    """Return how far, in pixels, the bars continue above and below the line from `left` to `left + along`."""
    half = 1.2 * float(np.hypot(*along))
    source = np.array([left - down * half, left + along - down * half, left + down * half], np.float32)
    target = np.array([[0, 0], [SAMPLES, 0], [0, ROWS]], np.float32)
    rows = cv2.warpAffine(grey, cv2.getAffineTransform(source, target), (SAMPLES, ROWS), flags=cv2.INTER_AREA)
    values = rows.astype(np.float32) - rows.mean(axis=1, keepdims=True)
    norms = np.sqrt((values * values).sum(axis=1)) + 1e-3
    middle = ROWS // 2
    model = values[middle - 1 : middle + 2].mean(axis=0)
    likeness = values @ model / (norms * (math.sqrt(float(model @ model)) + 1e-3))
    step = 2 * half / ROWS
    above = count_alike_rows(likeness[middle - 1 :: -1])
    below = count_alike_rows(likeness[middle:])
    return max(above, 1) * step, max(below, 1) * step


def count_alike_rows(likeness: Floats) -> int:
    """Count the rows before the first two successive ones that are unlike the symbol."""
    unlike = likeness < ALIKE
    for i in range(len(unlike) - 1):
        if unlike[i] and unlike[i + 1]:
            return i
    return len(unlike)

"""The outline of a linear symbol, from the line along which a decoder read it.

A decoder says where its scan lines crossed the first and the last bar, but not how the bars lie and how far they reach:
a slanted symbol is read along a slanted line. The direction across the bars is that of the grey gradients
about the line (`intake.reading.locate` uses the same measure), and the bars reach as far as rows beside it look alike.

Does not follow bars that fan out in strong perspective: the outline is a rectangle.
"""

import math

import cv2
import numpy as np

from intake.model.readings import Point
from intake.reading.geometry import Floats, Grey, height_of, width_of

SAMPLES = 128
ROWS = 192
ALIKE = 0.55
"""Correlation with the row that was read from which on a row still belongs to the symbol."""


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
    across = direction(grey, start, end)
    if float(across @ ahead) < 0:
        across = -across
    width = float(ahead @ across)
    if width < 0.5 * float(np.hypot(*ahead)):  # the gradients are not those of its bars
        return corners
    down = np.array([-across[1], across[0]])
    middle = (start + end) / 2
    left = middle - across * width / 2
    above, below = reach(grey, left, across * width, down)
    top, low = left - down * above, left + down * below
    quad = (top, top + across * width, low + across * width, low)
    found = tuple((float(x), float(y)) for x, y in quad)
    return found if height_of(found) > 0 and width_of(found) > 0 else corners


def direction(grey: Grey, start: Floats, end: Floats) -> Floats:
    """Return the unit vector across the bars about the line from start to end."""
    reach_px = max(3.0, 0.08 * math.dist(start, end))
    left, top = np.floor(np.minimum(start, end) - reach_px).astype(int)
    right, low = np.ceil(np.maximum(start, end) + reach_px).astype(int) + 1
    left, top = max(left, 0), max(top, 0)
    part = grey[top:low, left:right]
    dx = cv2.Sobel(part, cv2.CV_32F, 1, 0, ksize=3)
    dy = cv2.Sobel(part, cv2.CV_32F, 0, 1, ksize=3)
    # Only pixels about the line count: the box round a slanted line holds the ground beside the symbol too.
    near = np.zeros(part.shape, np.uint8)
    ends = [tuple(int(v) for v in np.rint(point - (left, top))) for point in (start, end)]
    cv2.line(near, ends[0], ends[1], 1, thickness=max(1, int(reach_px)))
    inside = near > 0
    xx, yy, xy = float((dx * dx)[inside].sum()), float((dy * dy)[inside].sum()), float((dx * dy)[inside].sum())
    angle = 0.5 * math.atan2(2 * xy, xx - yy)
    return np.array([math.cos(angle), math.sin(angle)])


def reach(grey: Grey, left: Floats, along: Floats, down: Floats) -> tuple[float, float]:
    """Return how far, in pixels, the bars go on above and below the line from `left` to `left + along`."""
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
    above = run(likeness[middle - 1 :: -1])
    below = run(likeness[middle:])
    return max(above, 1) * step, max(below, 1) * step


def run(likeness: Floats) -> int:
    """Count the rows up to the first two in a row that are unlike the symbol."""
    unlike = likeness < ALIKE
    for i in range(len(unlike) - 1):
        if unlike[i] and unlike[i + 1]:
            return i
    return len(unlike)

"""Strips of bars beside a straight edge: what is left of a symbol that something lies over.

A sticker, a card or another book leaves a strip of a few rows, often a wedge, beside an edge that has more contrast
than the bars, so that `intake.reading.locate` sees the edge and not them. But all bars that still show end there, as
they end where their print does: a line close to the edge, and about parallel to it, crosses all of them.

1. Straight edges are found by the lines through most edge points, across gaps as wide as bars.
2. Beside each, rows parallel to it are searched for stretches in which dark and light alternate.
3. The rows of a stretch may fan out from the edge: the line is turned until most rows show most alternations.

Source: J. Matas, C. Galambos and J. Kittler, "Robust detection of lines using the progressive probabilistic Hough
transform", Computer Vision and Image Understanding 78 (2000), 119-137.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.model.readings import Point
from intake.reading.geometry import Floats, Grey, centre_of, width_of, within

WORKING_PX = 800
"""The longer side of the picture that is searched."""
WEAK, STRONG = 20, 60
"""Gradients between which an edge is one where it joins a stronger one (J. Canny, 1986)."""
BUSIEST = 0.08
"""Share of edge points beyond which there is too much in a picture for its straight lines to mean anything. Drawn
textures have 0.13 and more, and print all about 0.11; covered symbols on plain ground less than 0.02."""
VOTES, SHORTEST_PX, GAP_PX = 50, 70, 14
"""Points of a line, its length, and the gaps that are bridged in it."""
LINES = 24
"""Most lines that are looked at."""
REACH_PX = 12
"""How far from a line rows are searched, on both sides."""
BEYOND_PX = 60
"""How far beyond a line's ends rows are searched: label and cover may end before the bars do."""
FEWEST = 24
"""Alternations of a row that may be a symbol's: a UPC-E has 34."""
BAR_PX, USUAL_PX, STEP_PX = 11, 61, 14
"""Windows of the mean that bars are compared with, and of their usual contrast; the widest gap inside a stretch."""
CONTRAST, NOISE = 0.35, 3.0
"""Contrast of an alternation, as a share of that about it and of half of the most beside the line, and in standard
deviations of the picture's noise."""
LEAST_NOISE = 1.0
"""Least noise, in grey levels, that is reckoned with."""
ALIKE = 0.8
"""Share of the most alternations that a row of the same strip has at least."""
ROWS = 4
"""Rows that are enough; a strip is worth more for each of them, and more for all bars than for more rows of some."""
TURNED, TURNS = 2, (2.0, -2.0, 1.0, -1.0, 0.5, -0.5)
"""Strips that are turned, and the degrees by which they are, in turn."""
APART_PX = 2.0
"""Strips whose corners are all closer are one."""


@dataclass(frozen=True, slots=True)
class StraightEdge:
    """A stretch of a straight line: its middle, its direction in radians and its length, in pixels."""

    x: float
    y: float
    angle: float
    length: float

    def at(self, along: float, aside: float) -> Point:
        """Return the place at a distance from the middle along the line and to its right."""
        cos, sin = math.cos(self.angle), math.sin(self.angle)
        return self.x + along * cos - aside * sin, self.y + along * sin + aside * cos


@dataclass(frozen=True, slots=True)
class BarStrip:
    """Rows of bars beside a line.

    Attributes:
        line: beside which they are.
        corners: clockwise, the first edge across the bars.
        worth: how much they are like a symbol: more for all bars than for more rows of some.
    """

    line: StraightEdge
    corners: tuple[Point, ...]
    worth: int


def find_strips(grey: Grey, *, most: int) -> list[tuple[Point, ...]]:
    """Return the outlines of strips of bars beside straight edges, those with most alternations first.

    Args:
        grey: uint8, height by width.
        most: greatest number to return.
    """
    small = within(grey, WORKING_PX)
    if min(small.shape) <= 2 * REACH_PX:
        return []
    shrink = grey.shape[1] / small.shape[1]
    noise = NOISE * max(noise_of(small), LEAST_NOISE)
    found = [strip for line in straight_edges(small) if (strip := strip_beside(small, line, noise))]
    found.sort(key=lambda strip: -strip.worth)
    turned = [best_turn(small, strip, noise) for strip in found[:TURNED]]
    distinct: list[BarStrip] = []
    for strip in sorted([*turned, *found[TURNED:]], key=lambda strip: -strip.worth):
        if not any(is_same(strip, other) for other in distinct):
            distinct.append(strip)
    return [
        tuple(((x + 0.5) * shrink - 0.5, (y + 0.5) * shrink - 0.5) for x, y in strip.corners)
        for strip in distinct[:most]
    ]


def straight_edges(grey: Grey) -> list[StraightEdge]:
    """Return the straight edges of a picture; none where there is too much in it."""
    points = cv2.Canny(cv2.blur(grey, (3, 3)), WEAK, STRONG)
    if np.count_nonzero(points) > BUSIEST * points.size:
        return []
    found = cv2.HoughLinesP(points, 1, math.pi / 360, VOTES, minLineLength=SHORTEST_PX, maxLineGap=GAP_PX)
    ends = np.zeros((0, 4)) if found is None else np.reshape(found, (-1, 4)).astype(np.float64)[:LINES]
    return [
        StraightEdge((x + u) / 2, (y + v) / 2, math.atan2(v - y, u - x), math.hypot(u - x, v - y))
        for x, y, u, v in ends.tolist()
    ]


def noise_of(grey: Grey) -> float:
    """Return the standard deviation of a picture's noise: that of neighbours, in most of which there is no edge."""
    apart = np.abs(np.diff(grey[::2].astype(np.int16), axis=1))
    return float(np.median(apart)) * 1.4826 / math.sqrt(2)


def strip_beside(grey: Grey, line: StraightEdge, noise: float) -> BarStrip | None:
    """Return the rows beside a line in which dark and light alternate most; None where they hardly do."""
    half = line.length / 2 + BEYOND_PX
    along = np.arange(-half, half, dtype=np.float32)
    aside = np.arange(-REACH_PX, REACH_PX + 1, dtype=np.float32)
    stretches = [longest_stretch(row) for row in alternations(rows_beside(grey, line, along, aside), noise)]
    counts = np.array([len(stretch) for stretch in stretches])
    if counts.max() < FEWEST:
        return None
    first, last = run_about(counts >= ALIKE * counts.max(), int(counts.argmax()))
    run = range(first, last + 1)
    begin = float(along[min(int(stretches[i][0]) for i in run)]) - 1
    end = float(along[max(int(stretches[i][-1]) for i in run)]) + 1
    top, low = float(aside[first]) - 0.5, float(aside[last]) + 0.5
    corners = (line.at(begin, top), line.at(end, top), line.at(end, low), line.at(begin, low))
    return BarStrip(line, corners, int(counts.max()) ** 2 * min(len(run), ROWS))


def rows_beside(grey: Grey, line: StraightEdge, along: Floats, aside: Floats) -> Floats:
    """Return the grey at places along a line and aside of it, (aside, along)."""
    cos, sin = math.cos(line.angle), math.sin(line.angle)
    columns, rows = line.x + along * cos - aside[:, None] * sin, line.y + along * sin + aside[:, None] * cos
    seen = cv2.remap(
        grey, columns.astype(np.float32), rows.astype(np.float32), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return seen.astype(np.float32)


def alternations(rows: Floats, noise: float) -> list[npt.NDArray[np.intp]]:
    """Return where dark and light alternate in each row by more than noise does."""
    about = rows - cv2.blur(rows, (BAR_PX, 1))
    usual = cv2.blur(np.abs(about), (USUAL_PX, 1))
    least = np.maximum(CONTRAST * np.maximum(usual, float(usual.max()) / 2), noise)
    signs = np.where(np.abs(about) > least, np.sign(about), 0)
    found = []
    for row in signs:
        sure = np.nonzero(row)[0]
        found.append(sure[1:][row[sure[1:]] != row[sure[:-1]]])
    return found


def longest_stretch(places: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
    """Return the most places of which none is far from the next."""
    return max(np.split(places, np.nonzero(np.diff(places) > STEP_PX)[0] + 1), key=len)


def run_about(alike: npt.NDArray[np.bool_], best: int) -> tuple[int, int]:
    """Return the first and the last of the rows about the best one that are all alike."""
    unlike = np.nonzero(~alike)[0]
    before, after = unlike[unlike < best], unlike[unlike > best]
    return int(before[-1]) + 1 if len(before) else 0, int(after[0]) - 1 if len(after) else len(alike) - 1


def best_turn(grey: Grey, strip: BarStrip, noise: float) -> BarStrip:
    """Turn a strip's line about the strip's middle as long as that gives more alternations."""
    for degrees in TURNS:
        x, y = centre_of(strip.corners)
        line = StraightEdge(x, y, strip.line.angle + math.radians(degrees), width_of(strip.corners))
        other = strip_beside(grey, line, noise)
        if other and other.worth > strip.worth:
            strip = other
    return strip


def is_same(strip: BarStrip, other: BarStrip) -> bool:
    """Return whether two strips are so alike that the second tells no more, or the same from the other end."""
    ends = np.array(other.corners)
    return any(
        float(np.abs(np.array(strip.corners) - each).max()) < APART_PX for each in (ends, np.roll(ends, 2, axis=0))
    )

"""A film of a shelf: the camera goes along it, and each book is told once, in the order in which the books stand.

Which numbers are accepted is decided as for any film (`intake.reading.frame_pool`); here they are put in order. How far
the camera went between two frames is measured by phase correlation, so that every sighting has a place along the whole
way; a book stands at the median of its own. A number seen again later is the same book: only as many copies of it are
told as one frame shows at a time.

Source: C. D. Kuglin and D. C. Hines, "The phase correlation image alignment method", IEEE Conference on Cybernetics and
Society (1975) 163.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import cv2
import numpy as np

from intake.model.readings import Point, Reading
from intake.reading.frame_pool import FramePool
from intake.reading.geometry import Grey, centre_of, order_along, within

SMALL_PX = 320
"""Longer side at which the way of the camera is measured."""
STILL = 0.03
"""Way since the last frame that was read, as a share of the longer side, below which a frame shows nothing new."""


def moved(grey: Grey, before: Grey) -> Point:
    """Return how far the camera went between two frames, in pixels: what was at p before is at p less this now.

    Args:
        grey: the frame, uint8, height by width.
        before: the one before, of the same size.
    """
    small, earlier = (within(frame, SMALL_PX).astype(np.float32) for frame in (grey, before))
    window = cv2.createHanningWindow(small.shape[::-1], cv2.CV_32F)
    (x, y), _ = cv2.phaseCorrelate(small, earlier, window)
    scale = max(grey.shape) / max(small.shape)
    return float(x * scale), float(y * scale)


@dataclass(frozen=True, slots=True)
class Sweep:
    """The state between two frames that were read.

    Attributes:
        pool: decides which numbers are accepted.
        way: where the frame's top left lies on the whole way, in pixels.
        places: of each number, all places at which it was seen.
        at_once: how often one frame showed a number that it accepted.
        told: the readings of the numbers accepted so far.
    """

    pool: FramePool = field(default_factory=FramePool)
    way: Point = (0.0, 0.0)
    places: dict[str, tuple[Point, ...]] = field(default_factory=dict)
    at_once: dict[str, int] = field(default_factory=dict)
    told: dict[str, Reading] = field(default_factory=dict)

    def add(self, readings: Sequence[Reading], step: Point) -> "Sweep":
        """Add a frame.

        Args:
            readings: everything that was read in it.
            step: how far the camera went since the frame that was added before.
        """
        way = (self.way[0] + step[0], self.way[1] + step[1])
        pool, new = self.pool.add(readings)
        places, at_once = dict(self.places), dict(self.at_once)
        for reading in readings:
            x, y = centre_of(reading.corners)
            places[reading.number] = (*places.get(reading.number, ()), (x + way[0], y + way[1]))
        accepted = [reading.number for reading in readings if reading.accepted]
        for number in set(accepted):
            at_once[number] = max(at_once.get(number, 0), accepted.count(number))
        told = {**{reading.number: reading for reading in new}, **self.told}
        return replace(self, pool=pool, way=way, places=places, at_once=at_once, told=told)

    def books(self) -> tuple[Reading, ...]:
        """Return the readings of all books, in the order in which they stand along the way."""
        numbers = list(self.told)
        middles = [np.median(np.array(self.places[number]), axis=0) for number in numbers]
        order = order_along([(float(x), float(y)) for x, y in middles])
        ordered = (numbers[i] for i in order)
        return tuple(self.told[number] for number in ordered for _ in range(self.at_once.get(number, 1)))

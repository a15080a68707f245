"""The ways a crop is cleaned before the decoders see it, in the order in which they are tried.

One blurred symbol is read in some versions and misread in others; a number that comes back from several is the one
printed. The order of the first rungs was chosen by adding, one at a time, the version that let most of two thirds of a
set of real photographs be accepted with none wrong (`tests/benchmarks/photo_table.py` shows the other third beside
them); the rest of the ladder is every other pair of width and cleaning, for symbols that gave some sign of themselves.

Widths are those of the located region: 300 pixels are about 3 to a module of an EAN-13, 600 about 6.
"""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np

from intake.reading.geometry import Grey, resized
from intake.reading.rectify import TALLEST_PX

SYMBOL_MODULES = 110
"""Modules across a located region: the 95 of the symbol and what of its surroundings the locator takes in."""
WIDTHS_PX = (300, 420, 600)


@dataclass(frozen=True, slots=True)
class Version:
    """A width to rectify to, how many rows are kept at most, and what is then done to the crop."""

    cleaning: str
    width_px: int
    tallest_px: int = TALLEST_PX

    @property
    def name(self) -> str:
        """What tells it from the other versions."""
        return f"{self.cleaning}, {self.width_px} px"

    def clean(self, crop: Grey) -> Grey:
        """Return the crop, cleaned; its width stays."""
        return CLEANINGS[self.cleaning](crop, self.width_px / SYMBOL_MODULES)


def sharpened(grey: Grey, sigma_px: float, amount: float) -> Grey:
    """Add what a Gaussian of that width takes away, `amount` times (unsharp masking)."""
    blurred = cv2.GaussianBlur(grey, (0, 0), sigma_px)
    return np.asarray(cv2.addWeighted(grey, 1 + amount, blurred, -amount, 0), np.uint8)


def equalised(grey: Grey) -> Grey:
    """Equalise contrast tile by tile, limited (CLAHE): lifts dark and shaded symbols."""
    return np.asarray(cv2.createCLAHE(3.0, (4, 4)).apply(grey), np.uint8)


def stretched(grey: Grey) -> Grey:
    """Stretch each neighbourhood from its own darkest to its own lightest: bars stay black through a shadow's edge."""
    kernel = np.ones((9, 41), np.uint8)
    low = cv2.blur(cv2.erode(grey, kernel).astype(np.float32), (41, 9))
    high = cv2.blur(cv2.dilate(grey, kernel).astype(np.float32), (41, 9))
    return np.asarray(np.clip((grey - low) / np.maximum(high - low, 12) * 255, 0, 255), np.uint8)


def levelled(grey: Grey, window_px: int) -> Grey:
    """Give each neighbourhood the same mean and spread: takes out glare and gradients, keeps the edges' shape."""
    values = grey.astype(np.float32)
    mean = cv2.boxFilter(values, -1, (window_px, window_px), borderType=cv2.BORDER_REPLICATE)
    square = cv2.boxFilter(values * values, -1, (window_px, window_px), borderType=cv2.BORDER_REPLICATE)
    spread = np.sqrt(np.maximum(square - mean * mean, 9.0))
    return np.clip(128 + (values - mean) / spread * 60, 0, 255).astype(np.uint8)


def along(grey: Grey, rows: int) -> Grey:
    """Average along the bars: takes out noise and scratches where the bars stand straight."""
    return np.asarray(cv2.blur(grey, (1, rows)), np.uint8)


def squat(grey: Grey, factor: int) -> Grey:
    """Shrink along the bars only, averaging: as `along`, and quick to read."""
    return resized(grey, grey.shape[1], max(12, grey.shape[0] // factor))


CLEANINGS: dict[str, Callable[[Grey, float], Grey]] = {
    "plain": lambda crop, _: crop,
    "equalised": lambda crop, _: equalised(crop),
    "sharpened": lambda crop, module: sharpened(crop, module, 2),
    "sharpened hard": lambda crop, module: sharpened(crop, 1.6 * module, 4),
    "equalised, sharpened": lambda crop, module: sharpened(equalised(crop), module, 3),
    "levelled": lambda crop, module: levelled(crop, int(24 * module) | 1),
    "levelled, sharpened": lambda crop, module: sharpened(levelled(crop, int(24 * module) | 1), module, 3),
    "stretched": lambda crop, _: stretched(crop),
    "stretched, sharpened": lambda crop, module: sharpened(stretched(crop), module, 3),
    "stretched, sharpened hard": lambda crop, module: sharpened(stretched(crop), 1.4 * module, 5),
    "squat": lambda crop, module: sharpened(squat(crop, 4), module, 3),
    "rows": lambda crop, module: sharpened(along(crop, 9), module, 3),
    "rows, stretched": lambda crop, module: sharpened(stretched(along(crop, 9)), module, 3),
    "many rows": lambda crop, module: sharpened(stretched(along(crop, 31)), module, 4),
}
"""Each takes the crop and the width of a module in pixels."""

FIRST = (
    Version("rows, stretched", 300),
    Version("levelled", 600),
    Version("equalised, sharpened", 300),
    Version("stretched, sharpened", 300),
    Version("equalised", 300),
    Version("many rows", 300),
    Version("many rows", 420),
    Version("squat", 300),
    Version("squat", 420),
    Version("rows", 300),
    Version("sharpened", 300),
    Version("levelled", 300),
)
REST = tuple(each for name in CLEANINGS for width in WIDTHS_PX if (each := Version(name, width)) not in FIRST)

SLIGHT = Version("plain", 240, 64)
"""For a sharp symbol that lies askew: little to look at."""
PLAIN = Version("plain", 250)
CLEAR = Version("stretched, sharpened", 330)
"""For a symbol whose outline is known: 2 1/2 pixels to a module of an EAN-13 to confirm it, 3 1/2 for another look."""

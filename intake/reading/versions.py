"""The ways in which a crop is cleaned before it is decoded, in the order in which they are tried.

A blurred symbol is read correctly in some versions and misread in others; a number read in several versions is the one
printed. The first versions were chosen one at a time: each is the one that raised the number of accepted symbols most,
with none wrong, on two thirds of a set of real photographs (`tests/benchmarks/photo_table.py` prints the other third
beside them); the fourth was brought forward from the seventh place later, as regions of which nothing is read are given
up after four. The rest are all other pairs of width and cleaning, for symbols of which something was read.

Widths are those of the located region: 300 pixels are about 3 per module of an EAN-13, 600 about 6.
"""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np

from intake.reading.geometry import Grey, downscale
from intake.reading.rectify import TALLEST_PX

SYMBOL_MODULES = 110
"""Modules across a located region: the 95 of the symbol and the surroundings that the locator includes."""
WIDTHS_PX = (300, 420, 600)


@dataclass(frozen=True, slots=True)
class Version:
    """A width to rectify to, the greatest height, and how the crop is then cleaned."""

    cleaning: str
    width_px: int
    tallest_px: int = TALLEST_PX

    @property
    def name(self) -> str:
        """The cleaning and the width, which identify the version."""
        return f"{self.cleaning}, {self.width_px} px"

    def clean(self, crop: Grey) -> Grey:
        """Return the cleaned crop, of the same width."""
        return CLEANINGS[self.cleaning](crop, self.width_px / SYMBOL_MODULES)


def sharpen(grey: Grey, sigma_px: float, amount: float) -> Grey:
    """Add `amount` times the detail that a Gaussian of that width removes (unsharp masking)."""
    blurred = cv2.GaussianBlur(grey, (0, 0), sigma_px)
    return np.asarray(cv2.addWeighted(grey, 1 + amount, blurred, -amount, 0), np.uint8)


def equalise(grey: Grey) -> Grey:
    """Equalise contrast tile by tile with a limit (CLAHE): brightens dark and shaded symbols."""
    return np.asarray(cv2.createCLAHE(3.0, (4, 4)).apply(grey), np.uint8)


def stretch_contrast(grey: Grey) -> Grey:
    """Stretch each neighbourhood to its own darkest and lightest level: bars stay black across a shadow's edge."""
    kernel = np.ones((9, 41), np.uint8)
    low = cv2.blur(cv2.erode(grey, kernel).astype(np.float32), (41, 9))
    high = cv2.blur(cv2.dilate(grey, kernel).astype(np.float32), (41, 9))
    return np.asarray(np.clip((grey - low) / np.maximum(high - low, 12) * 255, 0, 255), np.uint8)


def level_contrast(grey: Grey, window_px: int) -> Grey:
    """Give each neighbourhood the same mean and standard deviation: removes glare and gradients, keeps edges."""
    values = grey.astype(np.float32)
    mean = cv2.boxFilter(values, -1, (window_px, window_px), borderType=cv2.BORDER_REPLICATE)
    square = cv2.boxFilter(values * values, -1, (window_px, window_px), borderType=cv2.BORDER_REPLICATE)
    spread = np.sqrt(np.maximum(square - mean * mean, 9.0))
    return np.clip(128 + (values - mean) / spread * 60, 0, 255).astype(np.uint8)


def average_rows(grey: Grey, rows: int) -> Grey:
    """Average along the bars: removes noise and scratches where the bars are vertical."""
    return np.asarray(cv2.blur(grey, (1, rows)), np.uint8)


def shrink_rows(grey: Grey, factor: int) -> Grey:
    """Shrink along the bars only, averaging as `average_rows` does; the smaller crop is decoded faster."""
    return downscale(grey, grey.shape[1], max(12, grey.shape[0] // factor))


CLEANINGS: dict[str, Callable[[Grey, float], Grey]] = {
    "plain": lambda crop, _: crop,
    "equalised": lambda crop, _: equalise(crop),
    "sharpened": lambda crop, module: sharpen(crop, module, 2),
    "sharpened hard": lambda crop, module: sharpen(crop, 1.6 * module, 4),
    "equalised, sharpened": lambda crop, module: sharpen(equalise(crop), module, 3),
    "levelled": lambda crop, module: level_contrast(crop, int(24 * module) | 1),
    "levelled, sharpened": lambda crop, module: sharpen(level_contrast(crop, int(24 * module) | 1), module, 3),
    "stretched": lambda crop, _: stretch_contrast(crop),
    "stretched, sharpened": lambda crop, module: sharpen(stretch_contrast(crop), module, 3),
    "stretched, sharpened hard": lambda crop, module: sharpen(stretch_contrast(crop), 1.4 * module, 5),
    "squat": lambda crop, module: sharpen(shrink_rows(crop, 4), module, 3),
    "rows": lambda crop, module: sharpen(average_rows(crop, 9), module, 3),
    "rows, stretched": lambda crop, module: sharpen(stretch_contrast(average_rows(crop, 9)), module, 3),
    "many rows": lambda crop, module: sharpen(stretch_contrast(average_rows(crop, 31)), module, 4),
}
"""Functions of the crop and of the width of a module in pixels."""

FIRST = (
    Version("rows, stretched", 300),
    Version("levelled", 600),
    Version("equalised, sharpened", 300),
    Version("many rows", 420),
    Version("stretched, sharpened", 300),
    Version("equalised", 300),
    Version("many rows", 300),
    Version("squat", 300),
    Version("squat", 420),
    Version("rows", 300),
    Version("sharpened", 300),
    Version("levelled", 300),
)
REST = tuple(each for name in CLEANINGS for width in WIDTHS_PX if (each := Version(name, width)) not in FIRST)

SLIGHT = Version("plain", 240, 64)
"""For a sharp symbol that lies askew: small, and so fast to decode."""
PLAIN = Version("plain", 250)
CLEAR = Version("stretched, sharpened", 330)
"""For a symbol whose outline is known: 2 1/2 pixels per module of an EAN-13 to confirm it, 3 1/2 to try again."""

"""Whether there can be print in a picture: a quick look for pieces of the size of letters, before text is read.

A letter is a small piece that is darker or lighter than what is around it, beside others of its height. Fences, cloth
and the bars of a symbol have such pieces too: the answer is either "none" or "perhaps".

Source: top-hat transforms, J. Serra, "Image Analysis and Mathematical Morphology", 1982.
"""

import cv2
import numpy as np

from intake.reading.geometry import Floats, Grey, within

WORKING_PX = 800
"""Longer side at which is looked: letters 5 pixels high there are the smallest that can be read."""
STROKE_PX = 7
"""Widest stroke: wider things are shapes and shadows."""
CONTRAST, NOISE = 16, 2.5
"""Least difference from the surroundings in grey levels, and how many times its median is added: that is noise."""
LOWEST_PX, TALLEST_PX, SLIMMEST = 5, 60, 0.15
FEWEST = 6
"""Letters beside one another that make it worth reading: the shortest number has eight digits."""


def may_show_print(grey: Grey) -> bool:
    """Return whether print may stand in a picture (uint8, height by width)."""
    small = within(grey, WORKING_PX)
    kernel = np.ones((STROKE_PX, STROKE_PX), np.uint8)
    return any(
        beside_each_other(letter_boxes(np.asarray(cv2.morphologyEx(small, way, kernel), np.uint8))) >= FEWEST
        for way in (cv2.MORPH_BLACKHAT, cv2.MORPH_TOPHAT)
    )


def letter_boxes(hat: Grey) -> Floats:
    """Return the pieces that have the size and shape of letters: middle x, middle y, size, (pieces, 3)."""
    strokes = hat > CONTRAST + NOISE * float(np.median(hat))
    _, _, stats, middles = cv2.connectedComponentsWithStats(strokes.astype(np.uint8), connectivity=8)
    wide, high, area = (stats[1:, column] for column in (cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT, cv2.CC_STAT_AREA))
    long, short = np.maximum(wide, high), np.minimum(wide, high)
    fits = (long >= LOWEST_PX) & (long <= TALLEST_PX) & (short >= SLIMMEST * long) & (area >= SLIMMEST * wide * high)
    return np.column_stack([middles[1:], long])[fits].astype(np.float32)


def beside_each_other(pieces: Floats) -> int:
    """Count the pieces that have another of about their size within two sizes."""
    if len(pieces) < 2:
        return 0
    some = pieces[:600]
    apart = np.hypot(*(some[:, None, :2] - some[None, :, :2]).transpose(2, 0, 1))
    size = some[:, 2]
    near = (apart < 2 * size[:, None]) & (size[:, None] < 1.8 * size) & (size < 1.8 * size[:, None])
    return int(np.count_nonzero(near.sum(axis=1) > 1))

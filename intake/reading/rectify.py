"""A region of the picture turned upright: bars vertical, at a chosen width, with a margin for the quiet zones.

A crop includes the map back to the picture, so that what is read in it can be located there.

Sources: GS1 General Specifications, 5.2.3.4 (quiet zones of 7 to 11 modules) and 5.2.5 (supplement after a gap).
"""

from dataclasses import dataclass

import cv2
import numpy as np

from intake.model.readings import Point
from intake.reading.geometry import IDENTITY, Grey, Matrix, downscale, height_of, width_of

SIDE = 0.16
"""Margin left and right as a share of the region's width: 11 modules beside 95, and what the locator missed."""
TALLEST_PX = 150


@dataclass(frozen=True, slots=True)
class Crop:
    """A grey picture and the projective map from its pixels to those of the picture it was made from."""

    grey: Grey
    to_picture: Matrix


def whole_picture(grey: Grey) -> Crop:
    """Return the picture as a crop of itself."""
    return Crop(grey, IDENTITY)


def rectify(
    grey: Grey, corners: tuple[Point, ...], width_px: int, *, side: float = SIDE, tallest_px: int = TALLEST_PX
) -> Crop:
    """Turn a quadrilateral upright.

    Args:
        grey: the picture, uint8, height by width.
        corners: clockwise, the first edge across the bars.
        width_px: width of the quadrilateral in the crop, without its margin.
        side: the margin left and right, as a share of the width.
        tallest_px: greatest height in the crop; a taller quadrilateral is squeezed, which does not affect the bars.
    """
    wide, high = max(width_of(corners), 1.0), max(height_of(corners), 1.0)
    scale = width_px / wide
    height_px = round(min(max(high * scale, 24.0), tallest_px))
    margin, edge = round(side * width_px), 4
    target = np.array([[0, 0], [width_px, 0], [width_px, height_px], [0, height_px]], np.float32)
    target += np.array([margin, edge], np.float32)
    source, origin, shrink = crop_and_shrink(grey, corners, scale)
    local = ((np.array(corners) + 0.5 - origin) / shrink - 0.5).astype(np.float32)
    size = (width_px + 2 * margin, height_px + 2 * edge)
    upright = cv2.warpPerspective(
        source, cv2.getPerspectiveTransform(local, target), size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    back = cv2.getPerspectiveTransform(target, np.array(corners, np.float32))
    return Crop(np.ascontiguousarray(upright, np.uint8), np.asarray(back, np.float64))


def crop_and_shrink(grey: Grey, corners: tuple[Point, ...], scale: float) -> tuple[Grey, Point, float]:
    """Cut out what the crop needs and shrink it by averaging, so that a large symbol is sampled without gaps.

    Returns:
        The part, the position of its top left in the picture, and the pixels of the picture per pixel of the part.
    """
    if scale > 0.5:
        return grey, (0.0, 0.0), 1.0
    points = np.array(corners)
    reach = SIDE * width_of(corners) * 1.5 + 4
    left, top = np.maximum(np.floor(points.min(axis=0) - reach), 0).astype(int)
    right, low = np.ceil(points.max(axis=0) + reach).astype(int) + 1
    part = grey[top:low, left:right]
    factor = 1 / (1.5 * scale)
    size = (max(1, round(part.shape[1] / factor)), max(1, round(part.shape[0] / factor)))
    return downscale(part, *size), (float(left), float(top)), part.shape[1] / size[0]


def rotate(grey: Grey, degrees: float, *, longest_px: int) -> Crop:
    """Rotate the whole picture anticlockwise, scaled down to `longest_px`, without cutting anything off."""
    scale = min(1.0, longest_px / max(grey.shape))
    height, width = (max(1, round(side * scale)) for side in grey.shape)
    small = downscale(grey, width, height) if scale < 1 else grey
    matrix = cv2.getRotationMatrix2D((width / 2, height / 2), degrees, 1.0)
    cos, sin = abs(matrix[0, 0]), abs(matrix[0, 1])
    size = (int(height * sin + width * cos) + 1, int(height * cos + width * sin) + 1)
    matrix[:, 2] += (size[0] / 2 - width / 2, size[1] / 2 - height / 2)
    upright = cv2.warpAffine(small, matrix, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    back = np.vstack([cv2.invertAffineTransform(matrix), [0, 0, 1]])
    return Crop(np.ascontiguousarray(upright, np.uint8), np.diag([1 / scale, 1 / scale, 1.0]) @ back)

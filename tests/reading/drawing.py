"""Symbols drawn by an encoder that is not ours (zint), and photographs of them made by arithmetic.

A photograph is the symbol's bitmap put on a grey ground by a projective map, blurred, and sprinkled with noise; so the
numbers and the corners are known by construction.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
import zint

from intake.reading.symbol_forms import check_digit

Grey = npt.NDArray[np.uint8]
Points = npt.NDArray[np.float64]

QUIET = 12
"""Modules of white round the symbol."""


def symbol(symbology: zint.Symbology, text: str, *, scale: int = 8) -> Grey:
    """Draw a symbol, black on white, bars only, trimmed, `scale` pixels to a module."""
    drawn = zint.Symbol()
    drawn.symbology = symbology
    drawn.scale = scale / 2  # zint draws two pixels to a module at scale 1
    drawn.show_text = False
    drawn.encode(text)
    drawn.buffer()
    return trimmed(np.array(drawn.bitmap)[..., 0])


def trimmed(bitmap: Grey) -> Grey:
    """Cut off the white round the ink."""
    ys, xs = np.nonzero(bitmap < 128)
    return np.ascontiguousarray(bitmap[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1])


def from_modules(modules: str, *, scale: int = 8, height: int = 60) -> Grey:
    """Draw bars from a string of modules, 1 for ink, `height` modules tall."""
    row = np.array([0 if module == "1" else 255 for module in modules], np.uint8)
    return np.asarray(np.kron(np.tile(row, (height, 1)), np.ones((scale, scale), np.uint8)), np.uint8)


@dataclass(frozen=True)
class Shot:
    """How a symbol is photographed: angle anticlockwise in degrees, lengths in pixels, levels of 0 to 255."""

    size: tuple[int, int] = (640, 480)
    centre: tuple[float, float] | None = None
    module_px: float = 3.0
    angle: float = 0.0
    tilt: float = 0.0
    blur_px: float = 0.6
    noise: float = 3.0
    ink: int = 35
    paper: int = 215
    ground: int = 150


def photograph(bitmap: Grey, shot: Shot, *, scale: int = 8, onto: Grey | None = None) -> tuple[Grey, Points]:
    """Photograph a symbol; return the picture and where the ink's corners lie, clockwise from the symbol's top left."""
    height, width = bitmap.shape
    padded = np.pad(bitmap, QUIET * scale, constant_values=255)
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], float)
    placed = places(corners - [width / 2, height / 2], shot, shot.module_px / scale, width / 2)
    matrix = cv2.getPerspectiveTransform((corners + QUIET * scale).astype(np.float32), placed.astype(np.float32))
    # Four samples a pixel each way, then averaged, as a sensor does.
    fine = np.diag([4.0, 4.0, 1.0]) @ matrix
    big = (shot.size[0] * 4, shot.size[1] * 4)
    levels = shot.ink + (padded.astype(np.float32) / 255) * (shot.paper - shot.ink)
    inked = cv2.warpPerspective(levels, fine, big, flags=cv2.INTER_AREA, borderValue=-1000)
    mask = (inked > -500).astype(np.float32)
    paint = np.where(mask > 0, inked, 0).astype(np.float32)
    cover, ink = (cv2.resize(each, shot.size, interpolation=cv2.INTER_AREA) for each in (mask, paint))
    below = np.full(shot.size[::-1], shot.ground, np.float32) if onto is None else onto.astype(np.float32)
    picture = below * (1 - cover) + ink
    return developed(picture, shot), placed - 0.5


def places(corners: Points, shot: Shot, px: float, half_width: float) -> Points:
    """Turn, tilt about the upright axis and shift the corners of a symbol centred on the origin."""
    nearer = 1 + shot.tilt * corners[:, :1] / half_width
    x, y = (corners * px / nearer).T
    cos, sin = math.cos(math.radians(shot.angle)), math.sin(math.radians(shot.angle))
    middle = shot.centre or (shot.size[0] / 2, shot.size[1] / 2)
    return np.stack([x * cos + y * sin, -x * sin + y * cos], axis=1) + middle


def developed(picture: npt.NDArray[np.float32], shot: Shot) -> Grey:
    """Blur and add noise, the same each time."""
    if shot.blur_px > 0:
        picture = np.asarray(cv2.GaussianBlur(picture, (0, 0), shot.blur_px), np.float32)
    noise = np.random.default_rng(20).normal(0, shot.noise, picture.shape) if shot.noise else 0
    return np.asarray(np.clip(np.rint(picture + noise), 0, 255), np.uint8)


def invented(count: int) -> list[str]:
    """Draw numbers as catalogs hold them: books, periodicals and things with a UPC-A."""
    random = np.random.default_rng(11)
    numbers = []
    for _ in range(count):
        prefix = str(random.choice(["978", "978", "979", "977", "0", "0", "4"]))
        data = prefix + "".join(str(digit) for digit in random.integers(0, 10, 12 - len(prefix)))
        numbers.append(data + check_digit(data))
    return numbers

"""Paint what stands between the eye and a clean picture: shrink wrap, a thumb, uneven light, blur, motion and noise.

Pictures are float arrays, 0 to 255, RGB, and are changed in place where nothing is returned.
"""

import cv2
import numpy as np
from numpy.typing import NDArray
from photograph_art import smooth_noise

Floats = NDArray[np.float64]


def creases(shape: tuple[int, int], rng: np.random.Generator) -> Floats:
    """Return tight, nearly straight creases that run in two directions, some sharp and some soft, 0 to about 1."""
    total = np.zeros(shape)
    ways = rng.uniform(0, np.pi, 2)
    for softness, count in ((0.7, 16), (2.2, 12), (7.0, 7)):
        layer = np.zeros(shape)
        for _ in range(count):
            angle = ways[int(rng.integers(2))] + rng.normal(0, 0.16)
            start = rng.uniform((0, 0), (shape[1], shape[0]))
            end = start + rng.uniform(0.1, 0.5) * shape[1] * np.array([np.cos(angle), np.sin(angle)])
            knee = (start + end) / 2 + rng.normal(0, 0.012 * shape[1], 2)
            points = np.round(np.array([start, knee, end])).astype(np.int32)
            ink, thickness = float(rng.uniform(0.3, 1)), max(int(softness), 1)
            cv2.polylines(layer, [points], isClosed=False, color=ink, thickness=thickness, lineType=cv2.LINE_AA)
        total += cv2.GaussianBlur(layer, (0, 0), softness) * (0.9 if softness > 1 else 1.1)
    return total


def wrap(canvas: Floats, corners: Floats, strength: float, rng: np.random.Generator) -> None:
    """Put shrink wrap over the quadrilateral `corners` (px): a milky film, creases that shine, a seam."""
    high, wide = canvas.shape[:2]
    small = (high // 2, wide // 2)
    mask = np.zeros((high, wide), dtype=np.uint8)
    cv2.fillConvexPoly(mask, np.round(corners).astype(np.int32), 255, cv2.LINE_AA)
    fans = np.exp(-(smooth_noise(rng, small, (2, 14), 2) ** 2) / 0.006) * np.clip(
        smooth_noise(rng, small, (2, 2), 1), 0, 1
    )
    y, x = np.mgrid[0 : small[0], 0 : small[1]]
    px, py = rng.uniform(0.25, 0.75) * small[1], rng.uniform(0.2, 0.6) * small[0]
    lamp = np.exp(-(((x - px) / (small[1] * 0.16)) ** 2 + ((y - py) / (small[0] * 0.10)) ** 2))
    shine = creases(small, rng) + 0.15 * fans + 0.75 * lamp
    shine = cv2.resize(shine, (wide, high), interpolation=cv2.INTER_LINEAR)
    film = np.clip(0.07 + strength * shine, 0, 0.97) * (mask / 255.0)
    canvas += film[..., None] * (np.array([252, 253, 255]) - canvas)


def thumb(canvas: Floats, tip: tuple[float, float], root: tuple[float, float], radius: float) -> None:
    """Lay a thumb from `root` to `tip` (px), `radius` px thick at the tip, with its nail."""
    high, wide = canvas.shape[:2]
    y, x = np.mgrid[0:high, 0:wide].astype(np.float64)
    axis = np.array(root) - np.array(tip)
    length = float(np.hypot(*axis))
    ux, uy = axis / length
    along = (x - tip[0]) * ux + (y - tip[1]) * uy
    across = (y - tip[1]) * ux - (x - tip[0]) * uy
    thick = radius * (1 + 0.28 * np.clip(along / length, 0, 1))
    off = np.hypot(np.minimum(along, 0) * 0.8, across) / thick
    shadow = np.clip(1.35 - np.hypot(np.minimum(along + radius * 0.2, 0), across + radius * 0.25) / thick, 0, 0.4)
    canvas *= (1 - shadow)[..., None]
    shape = np.clip((1 - off) * radius / 2, 0, 1)
    dome = np.sqrt(np.clip(1 - off**2, 0, 1))
    skin = np.array([214, 160, 132.0]) * (0.58 + 0.46 * dome)[..., None]
    folds = 1 - 0.10 * np.exp(-((np.mod(along - radius * 2.2, radius * 0.22) / (radius * 0.05)) ** 2)) * (
        np.abs(along - radius * 2.6) < radius * 0.5
    )
    canvas += shape[..., None] * (skin * folds[..., None] - canvas)
    nail_along, nail_across = (along - radius * 0.25) / (radius * 0.78), across / (radius * 0.58)
    nail = np.clip((1 - (np.abs(nail_along) ** 2.6 + np.abs(nail_across) ** 2.6)) * 6, 0, 1)
    tone = np.array([232, 188, 170.0]) * (0.82 + 0.2 * np.clip(1 - np.abs(nail_across + 0.3), 0, 1))[..., None]
    canvas += 0.85 * nail[..., None] * (tone - canvas)


def light(canvas: Floats, gain: float, slope: tuple[float, float], warmth: float, falloff: float) -> Floats:
    """Return the picture under a lamp: `slope` says how much brighter to the right and below, `falloff` the corners."""
    high, wide = canvas.shape[:2]
    x, y = np.linspace(-1, 1, wide)[None, :], np.linspace(-1, 1, high)[:, None]
    field = (1 + slope[0] * x + slope[1] * y) * (1 - falloff * (x**2 + y**2))
    tint = np.array([1 + 0.06 * warmth, 1.0, 1 - 0.09 * warmth])
    lit: Floats = canvas * (gain * np.clip(field, 0.04, 2))[..., None] * tint
    return lit


def blur(canvas: Floats, sigma: float, motion: float, heading: float) -> Floats:
    """Return the picture out of focus by `sigma` px and shaken by `motion` px along `heading` degrees."""
    if sigma:
        canvas = cv2.GaussianBlur(canvas, (0, 0), sigma).astype(np.float64)
    if motion >= 1:
        size = int(motion) // 2 * 2 + 3
        kernel = np.zeros((size, size), dtype=np.float32)
        step = np.array([np.cos(np.radians(heading)), np.sin(np.radians(heading))]) * motion / 2
        middle = np.array([size // 2, size // 2])
        ends = [tuple(int(v) for v in np.round((middle + sign * step) * 16)) for sign in (-1, 1)]
        cv2.line(kernel, ends[0], ends[1], 1.0, 1, cv2.LINE_8, 4)
        canvas = cv2.filter2D(canvas, -1, kernel / kernel.sum()).astype(np.float64)
    return canvas


def develop(canvas: Floats, noise: float, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Return the picture as a sensor gives it: noise in brightness, some in colour, cut to whole numbers."""
    grain = rng.normal(0, 1, (*canvas.shape[:2], 1)) + 0.35 * rng.normal(0, 1, canvas.shape)
    return np.clip(np.round(canvas + noise * grain), 0, 255).astype(np.uint8)

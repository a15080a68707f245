"""Draw the pictures on the covers: hills, contour lines, ferns, waves, beetles, birds and stars, from a seed."""

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

Colour = tuple[int, int, int]
Inks = tuple[Colour, Colour]
Floats = NDArray[np.float64]
WORK_PX = (900, 640)


def blend(first: Colour, second: Colour, share: float) -> Colour:
    """Mix two colours; `share` is that of the second."""
    mixed = [round(a + share * (b - a)) for a, b in zip(first, second, strict=True)]
    return mixed[0], mixed[1], mixed[2]


def smooth_noise(rng: np.random.Generator, shape: tuple[int, int], cells: tuple[int, int], octaves: int = 4) -> Floats:
    """Return noise of mean about 0 and spread about 1, smooth over `cells` (down, across) patches."""
    total: Floats = np.zeros(shape)
    for octave in range(octaves):
        grid = rng.normal(0, 1, (cells[0] * 2**octave + 1, cells[1] * 2**octave + 1))
        total += cv2.resize(grid, shape[::-1], interpolation=cv2.INTER_CUBIC) / 2**octave
    return total


def ridge(rng: np.random.Generator, width: int, cells: int) -> Floats:
    """Return one skyline, about -1 to 1."""
    line: Floats = smooth_noise(rng, (2, width), (1, cells), 5)[0] / 2
    return line


def hills(rng: np.random.Generator, inks: Inks) -> Image.Image:
    """Draw ranges of hills, one behind the other in the haze."""
    width, height = WORK_PX
    picture = Image.new("RGB", WORK_PX, blend((236, 226, 206), inks[1], 0.25))
    pen = ImageDraw.Draw(picture)
    sun = rng.uniform(0.2, 0.8) * width
    pen.ellipse((sun - 46, 70, sun + 46, 162), fill=blend((250, 240, 216), inks[1], 0.1))
    for layer in range(6):
        line = height * (0.34 + 0.12 * layer) + ridge(rng, width, 3 + layer) * 52
        tone = blend((196, 200, 192), blend(inks[0], (30, 44, 48), 0.6), 0.16 + 0.16 * layer)
        pen.polygon([(0, height), *((x, float(line[x])) for x in range(0, width, 4)), (width, height)], fill=tone)
    return picture


def contours(rng: np.random.Generator, _inks: Inks) -> Image.Image:
    """Draw a relief with its contour lines, the lowest of it under water."""
    field = smooth_noise(rng, WORK_PX[::-1], (2, 3), 4)
    land = np.clip((field + 1.6) / 3.4, 0, 1)[..., None]
    low, high = np.array([206, 214, 190.0]), np.array([186, 146, 100.0])
    picture = low + land * (high - low)
    sea = field < -0.5
    depth = np.clip((-0.5 - field) / 1.5, 0, 1)[..., None]
    picture[sea] = (np.array([172, 198, 202]) - depth * np.array([80, 70, 50]))[sea]
    steep = np.hypot(*np.gradient(field)) + 1e-6
    line = np.abs((field * 6) % 1 - 0.5) / (steep * 6)
    picture *= (1 - 0.45 * np.exp(-(line**2) / 0.8))[..., None]
    return Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8))


def ferns(rng: np.random.Generator, _inks: Inks) -> Image.Image:
    """Draw fronds as a botanist's plate shows them."""
    picture = Image.new("RGB", WORK_PX, (238, 232, 214))
    pen = ImageDraw.Draw(picture)
    for place in range(5):
        x, y = 90.0 + place * 180 + rng.uniform(-30, 30), 620.0
        green = blend((72, 98, 62), (140, 120, 62), rng.uniform(0, 0.7))
        angle, bend = rng.uniform(-0.15, 0.15), rng.uniform(-0.012, 0.012)
        for step in range(52):
            nx, ny = x + 11 * np.sin(angle), y - 11 * np.cos(angle)
            pen.line((x, y, nx, ny), fill=green, width=3)
            reach = 92 * np.sin(np.pi * (step + 3) / 58) ** 0.8
            for side in (-1, 1):
                tip = angle + side * 1.05
                ex, ey = nx + reach * np.sin(tip), ny - reach * np.cos(tip)
                px, py = 4.6 * np.cos(tip), 4.6 * np.sin(tip)
                pen.polygon([(nx - px, ny - py), (nx + px, ny + py), (ex, ey)], fill=green)
            x, y, angle = nx, ny, angle + bend
    return picture


def waves(rng: np.random.Generator, inks: Inks) -> Image.Image:
    """Draw swell upon swell under a pale sky."""
    width, height = WORK_PX
    picture = Image.new("RGB", WORK_PX, (222, 226, 218))
    pen = ImageDraw.Draw(picture)
    for layer in range(13):
        x = np.arange(0, width + 12, 6)
        swell = 13 * np.sin(x / rng.uniform(34, 72) + rng.uniform(0, 6)) + ridge(rng, len(x), 6) * 16
        line = height * 0.25 + layer * 40 + swell
        tone = blend((126, 158, 160), blend((22, 52, 70), inks[0], 0.25), layer / 12)
        crest = [(float(a), float(b)) for a, b in zip(x, line, strict=True)]
        pen.polygon([(0, height), *crest, (width, height)], fill=tone)
        pen.line(crest, fill=blend(tone, (250, 250, 244), 0.5), width=3)
    return picture


def beetles(rng: np.random.Generator, _inks: Inks) -> Image.Image:
    """Draw rows of pinned beetles and moths."""
    picture = Image.new("RGB", WORK_PX, (234, 228, 212))
    pen = ImageDraw.Draw(picture)
    for row in range(3):
        for column in range(6):
            x, y = 80 + column * 148, 110 + row * 205
            long, wide = rng.uniform(42, 62), rng.uniform(24, 38)
            coat = blend((46, 62, 58), (158, 84, 40), rng.uniform(0, 1))
            for leg in (-0.55, 0.0, 0.55):
                pen.line((x - wide * 1.7, y + long * (leg + 0.25), x, y + long * leg), fill=(40, 34, 30), width=3)
                pen.line((x + wide * 1.7, y + long * (leg + 0.25), x, y + long * leg), fill=(40, 34, 30), width=3)
            pen.ellipse(
                (x - wide * 0.5, y - long * 1.5, x + wide * 0.5, y - long * 0.8), fill=blend(coat, (0, 0, 0), 0.4)
            )
            pen.ellipse((x - wide, y - long, x + wide, y + long), fill=coat)
            pen.line((x, y - long * 0.9, x, y + long), fill=blend(coat, (0, 0, 0), 0.5), width=3)
            shine = blend(coat, (255, 255, 255), 0.45)
            pen.ellipse((x - wide * 0.6, y - long * 0.6, x - wide * 0.25, y + long * 0.1), fill=shine)
    return picture


def birds(rng: np.random.Generator, inks: Inks) -> Image.Image:
    """Draw a flock over the hills."""
    picture = hills(rng, inks)
    pen = ImageDraw.Draw(picture)
    for _ in range(17):
        x, y = rng.uniform(60, 840), rng.uniform(40, 330)
        span, lift = rng.uniform(16, 40), rng.uniform(0.2, 0.5)
        wing = [
            (x - span, y - span * lift),
            (x - span * 0.4, y - span * 0.25),
            (x, y),
            (x + span * 0.4, y - span * 0.25),
        ]
        pen.line([*wing, (x + span, y - span * lift)], fill=(48, 50, 54), width=max(int(span / 8), 2), joint="curve")
    return picture


def stars(rng: np.random.Generator, _inks: Inks) -> Image.Image:
    """Draw a star chart with its circles and a few joined stars."""
    picture = Image.new("RGB", WORK_PX, (24, 32, 56))
    pen = ImageDraw.Draw(picture)
    for radius in range(120, 900, 130):
        pen.ellipse((450 - radius, 320 - radius, 450 + radius, 320 + radius), outline=(66, 78, 112), width=2)
    places = rng.uniform((0, 0), WORK_PX, (240, 2))
    for start in range(0, 40, 5):
        near = np.argsort(np.hypot(*(places - places[start]).T))[:5]
        pen.line([(float(places[i, 0]), float(places[i, 1])) for i in near], fill=(112, 124, 150), width=2)
    for x, y in places:
        size = 1 + rng.exponential(1.6)
        pen.ellipse((x - size, y - size, x + size, y + size), fill=(238, 232, 208))
    return picture


KINDS: dict[str, Callable[[np.random.Generator, Inks], Image.Image]] = {
    "Atlases": contours,
    "Birds": birds,
    "Insects": beetles,
    "Plants": ferns,
    "Sea life": waves,
    "Stars": stars,
}


def draw(subject: str, seed: int, inks: Inks, size: tuple[int, int]) -> Image.Image:
    """Draw the picture for a subject and bring it to `size` (px), cropped to that shape."""
    rng = np.random.default_rng(seed)
    picture = KINDS.get(subject, hills)(rng, inks)
    width, height = WORK_PX
    high = min(height, round(width * size[1] / size[0]))
    wide = min(width, round(high * size[0] / size[1]))
    left, top = (width - wide) // 2, (height - high) // 2
    cropped = picture.crop((left, top, left + wide, top + high))
    return cropped.resize(size, Image.Resampling.LANCZOS)

"""Photographs of printed sheets by a modelled camera: flat or bent paper, light, lens, hand and file.

A sheet is a grey bitmap of `SCALE` pixels to a module, its middle the middle of the symbol. The paper lies in space,
flat or round a cylinder, and a pinhole camera looks at it: each of the picture's fine samples is a ray, and where the
ray meets the paper the sheet's grey is taken. What follows happens in light and not in grey levels, as in a camera:
shade, shadow and gloss, blur by the lens and by the hand, the average over each pixel; then noise, the bend of the
grey scale (sRGB, about 2.2), and JPEG.

Lengths on the paper are in modules: x across the bars, y along them, z towards the camera.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

Grey = npt.NDArray[np.uint8]
Floats = npt.NDArray[np.float32]

SCALE = 6
"""Pixels of a sheet to a module."""
FINE = 3
"""Samples to a pixel of the picture, each way."""
FOCAL = 1.15
"""Focal length as a multiple of the picture's longer side: the main camera of a telephone."""
GAMMA = 2.2


@dataclass(frozen=True, kw_only=True)
class View:
    """How a sheet lies before the camera.

    Attributes:
        size: of the picture, width and height.
        module_px: of a module in the middle of the symbol, if it faced the camera.
        turn: about the line of sight, in degrees.
        lean: about the bars' direction, and about the line across them, in degrees.
        radius: of the cylinder that the paper lies on, in modules; 0 for flat.
        spine: the bars run along the cylinder's axis, as on a book's spine, so that outer modules look narrower.
        offset: where the middle of the symbol lies on the paper, in modules, so that the bulge is beside it.
    """

    size: tuple[int, int] = (640, 480)
    module_px: float = 2.4
    turn: float = 0.0
    lean: tuple[float, float] = (0.0, 0.0)
    radius: float = 0.0
    spine: bool = True
    offset: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class Development:
    """What light, lens, hand, sensor and file do.

    Attributes:
        defocus_px: radius of the disc that a point becomes.
        motion_px: length and direction in degrees of the hand's way.
        shade: the change of light from one side to the other, as a share, and its direction in degrees.
        shadow: how much light a shadow's edge leaves, 1 for no shadow; the edge goes through the middle third.
        glare: how many spots are blown out.
        wrinkles: how many folds of the wrap bend what lies behind them and shine.
        rows: grey levels of noise that is the same along a row.
        noise: standard deviation in grey levels.
        jpeg: quality, 0 for none.
        seed: for what is drawn at random.
    """

    defocus_px: float = 0.6
    motion_px: tuple[float, float] = (0.0, 0.0)
    shade: tuple[float, float] = (0.0, 0.0)
    shadow: float = 1.0
    glare: int = 0
    wrinkles: int = 0
    rows: float = 0.0
    noise: float = 3.0
    jpeg: int = 0
    seed: int = 0


def taken(sheet: Grey, view: View, development: Development) -> Grey:
    """Photograph a sheet; beyond its edges lies a grey desk."""
    random = np.random.default_rng(development.seed)
    x, y = on_paper(view)
    spots = Wrap(random, view, development.wrinkles)
    x, y = spots.bend(x, y)
    light = spots.shine(np.asarray((seen(sheet, x, y, view) / 255) ** GAMMA, np.float32))
    light = lit(light, development, random, view)
    light = lensed(light, development)
    light = np.asarray(cv2.resize(light, view.size, interpolation=cv2.INTER_AREA), np.float32)
    levels = 255 * np.clip(light, 0, 1) ** (1 / GAMMA)
    levels += random.normal(0, development.noise, levels.shape)
    levels += development.rows * random.normal(0, 1, (len(levels), 1))
    grey = np.clip(np.rint(levels), 0, 255).astype(np.uint8)
    return filed(grey, development.jpeg) if development.jpeg else grey


def filed(grey: Grey, quality: int) -> Grey:
    """Save a picture as JPEG and load it."""
    data = cv2.imencode(".jpg", grey, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.asarray(cv2.imdecode(data, cv2.IMREAD_GRAYSCALE), np.uint8)


def on_paper(view: View) -> tuple[Floats, Floats]:
    """Return where on the paper each fine sample's ray falls, in modules from the middle; far away for none."""
    width, height = view.size
    focal = FOCAL * max(view.size)
    columns = ((np.arange(width * FINE) + 0.5) / FINE - width / 2) / focal
    rows = ((np.arange(height * FINE) + 0.5) / FINE - height / 2) / focal
    px, py = np.meshgrid(columns.astype(np.float32), rows.astype(np.float32))
    turned = rotation(view)
    away = focal / view.module_px  # modules between camera and paper
    eye = turned.T @ np.array([0.0, 0.0, away])
    # The camera looks along -z; the picture's y points down, as the paper's does.
    ray = [turned[0, i] * px + turned[1, i] * py - turned[2, i] for i in range(3)]
    if not view.radius:
        reach = np.where(ray[2] < -1e-6, -eye[2] / np.minimum(ray[2], -1e-6), np.nan)
        x, y = eye[0] + reach * ray[0], eye[1] + reach * ray[1]
    else:
        x, y = round_cylinder(eye, ray, view)
    x, y = x + view.offset[0], y + view.offset[1]
    return np.nan_to_num(x, nan=1e5).astype(np.float32), np.nan_to_num(y, nan=1e5).astype(np.float32)


def rotation(view: View) -> npt.NDArray[np.float64]:
    """Return the rotation from the paper's axes to the camera's, mirrored as the picture's y is."""
    a, b, c = (math.radians(angle) for angle in (view.turn, *view.lean))
    turn = np.array([[math.cos(a), math.sin(a), 0], [-math.sin(a), math.cos(a), 0], [0, 0, 1]])
    about_bars = np.array([[math.cos(b), 0, math.sin(b)], [0, 1, 0], [-math.sin(b), 0, math.cos(b)]])
    about_rows = np.array([[1, 0, 0], [0, math.cos(c), math.sin(c)], [0, -math.sin(c), math.cos(c)]])
    return np.asarray(turn @ about_bars @ about_rows)


def round_cylinder(eye: npt.NDArray[np.float64], ray: list[Floats], view: View) -> tuple[Floats, Floats]:
    """Return where rays meet a cylinder that touches the plane z = 0 from below, unrolled."""
    across, axis = (0, 1) if view.spine else (1, 0)
    start = (eye[across], eye[2] + view.radius)
    a = ray[across] ** 2 + ray[2] ** 2
    b = start[0] * ray[across] + start[1] * ray[2]
    rest = b * b - a * (start[0] ** 2 + start[1] ** 2 - view.radius**2)
    reach = np.where(rest > 0, (-b - np.sqrt(np.maximum(rest, 0))) / a, np.nan)
    around = view.radius * np.arctan2(start[0] + reach * ray[across], start[1] + reach * ray[2])
    along = eye[axis] + reach * ray[axis]
    return (around, along) if view.spine else (along, around)


def seen(sheet: Grey, x: Floats, y: Floats, view: View) -> Floats:
    """Return the sheet's grey at places on the paper."""
    blunt = max(1.0, SCALE / (view.module_px * FINE))  # several of the sheet's pixels fall on a sample
    source = cv2.GaussianBlur(sheet, (0, 0), 0.4 * blunt) if blunt > 1.2 else sheet
    columns = x * SCALE + (sheet.shape[1] - 1) / 2
    rows = y * SCALE + (sheet.shape[0] - 1) / 2
    found = cv2.remap(source, columns, rows, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(120.0,))
    return np.asarray(found, np.float32)


class Wrap:
    """Folds of a transparent wrap, straight lines across the symbol, drawn at random."""

    def __init__(self, random: np.random.Generator, view: View, count: int) -> None:
        self.folds = [
            (
                float(random.uniform(0, math.pi)),
                float(random.uniform(-35, 35)),
                float(random.uniform(1.5, 5.0)),
                float(random.uniform(-1.2, 1.2)),
                float(random.uniform(0.1, 0.9)),
            )
            for _ in range(count)
        ]
        self.strength: Floats | None = None

    def bend(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Shift what is seen through each fold to its side, by up to `push` modules."""
        shine = np.zeros_like(x)
        moved_x, moved_y = x.copy(), y.copy()
        for angle, place, wide, push, gloss in self.folds:
            offset = (x * math.cos(angle) + y * math.sin(angle) - place) / wide
            bump = np.exp(-0.5 * offset**2)
            moved_x += push * math.cos(angle) * bump
            moved_y += push * math.sin(angle) * bump
            shine += gloss * np.exp(-0.5 * ((offset - 0.4) * 3) ** 2)
        self.strength = shine if self.folds else None
        return moved_x, moved_y

    def shine(self, light: Floats) -> Floats:
        """Add the gloss on the folds."""
        return light if self.strength is None else light + self.strength


def lit(light: Floats, development: Development, random: np.random.Generator, view: View) -> Floats:
    """Shade a picture, lay a shadow's edge across it, and blow out spots."""
    height, width = light.shape
    y, x = np.mgrid[:height, :width].astype(np.float32)
    x, y = (x - width / 2) / width, (y - height / 2) / width
    share, angle = development.shade
    way = math.radians(angle)
    light = light * (1 + 2 * share * (x * math.cos(way) + y * math.sin(way)))
    if development.shadow < 1:
        edge = random.uniform(0, 2 * math.pi)
        softness = random.uniform(0.002, 0.04)
        depth = (x * math.cos(edge) + y * math.sin(edge) - random.uniform(-0.1, 0.1)) / softness
        light = light * (development.shadow + (1 - development.shadow) / (1 + np.exp(-np.clip(depth, -30, 30))))
    for _ in range(development.glare):
        module = view.module_px / view.size[0]
        cx, cy = random.uniform(-40, 40) * module, random.uniform(-25, 25) * module
        long, short, tilt = random.uniform(10, 35) * module, random.uniform(4, 14) * module, random.uniform(0, math.pi)
        u = ((x - cx) * math.cos(tilt) + (y - cy) * math.sin(tilt)) / long
        v = (-(x - cx) * math.sin(tilt) + (y - cy) * math.cos(tilt)) / short
        light = light + 1.6 * np.exp(-((u * u + v * v) ** 1.5))
    return np.asarray(light, np.float32)


def lensed(light: Floats, development: Development) -> Floats:
    """Blur by a disc and by a straight move of the hand."""
    radius = development.defocus_px * FINE
    if radius > 0.7:
        reach = int(radius) + 2
        y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
        disc = np.clip(radius + 0.5 - np.hypot(x, y), 0, 1).astype(np.float32)
        light = np.asarray(cv2.filter2D(light, -1, disc / disc.sum()), np.float32)
    length, angle = development.motion_px[0] * FINE, math.radians(development.motion_px[1])
    if length > 1:
        reach = int(length / 2) + 2
        way = np.zeros((2 * reach + 1, 2 * reach + 1), np.float32)
        for step in np.linspace(-length / 2, length / 2, 4 * int(length) + 1):
            column, row = reach + step * math.cos(angle), reach + step * math.sin(angle)
            way[round(row), round(column)] += 1
        light = np.asarray(cv2.filter2D(light, -1, way / way.sum()), np.float32)
    return light

"""Photograph books that lie on a table: where each point falls in the picture, and what light and lens do to it.

The world is in millimetres: x to the right and y towards the person, on the table; z up from it. A camera hangs over
the point it looks at, tilted from the vertical, turned about it, and rolled. Pictures are float arrays, 0 to 255, RGB.
The light is not computed from physics: shadows, glare and unevenness are painted so that they look right.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from photograph_art import smooth_noise
from photograph_covers import Book, draw_cover, draw_edge, draw_spine

Floats = NDArray[np.float64]
FOCAL_WIDTHS = 1.05
"""Focal length in widths of the picture: a telephone's main lens, a little cropped."""


@dataclass(frozen=True, slots=True)
class Camera:
    """A pinhole camera.

    Attributes:
        target: the point it looks at, in mm.
        field_mm: how much of the world is across the picture at that point.
        tilt, turn, roll: degrees from the vertical, about the target, about the line of sight.
        width, height: of the picture, in px.
    """

    target: tuple[float, float, float]
    field_mm: float
    tilt: float
    turn: float
    roll: float
    width: int
    height: int

    @property
    def axes(self) -> tuple[Floats, Floats, Floats]:
        """Right, down and forward, as unit vectors."""
        tilt, turn, roll = np.radians([self.tilt, self.turn, self.roll])
        right = np.array([np.cos(turn), np.sin(turn), 0])
        forward = np.array([np.sin(turn) * np.sin(tilt), -np.cos(turn) * np.sin(tilt), -np.cos(tilt)])
        down = np.cross(right, forward)
        return np.cos(roll) * right + np.sin(roll) * down, np.cos(roll) * down - np.sin(roll) * right, forward

    @property
    def eye(self) -> Floats:
        """Where the camera is."""
        return np.array(self.target) - self.axes[2] * FOCAL_WIDTHS * self.field_mm

    def project(self, points: Floats) -> Floats:
        """Return where points (n, 3) fall in the picture, (n, 2) in px."""
        right, down, forward = self.axes
        seen = points - self.eye
        depth = seen @ forward
        focal = FOCAL_WIDTHS * self.width
        return np.stack(
            [self.width / 2 + focal * (seen @ right) / depth, self.height / 2 + focal * (seen @ down) / depth], axis=-1
        )


@dataclass(frozen=True, slots=True)
class Lying:
    """A book on the table: its middle, the turn in degrees, the height of what it lies on, the bend of its cover."""

    book: Book
    at: tuple[float, float]
    turn: float
    base: float = 0.0
    curve: float = 0.0

    def place(self, x: float, y: float, z: float) -> Floats:
        """Return the world point of a point of the book: mm from the middle of the cover, z from its underside."""
        turn = np.radians(self.turn)
        across = np.cos(turn) * x - np.sin(turn) * y
        along = np.sin(turn) * x + np.cos(turn) * y
        return np.array([self.at[0] + across, self.at[1] + along, self.base + z])

    def on_cover(self, x: float, y: float) -> Floats:
        """Return the world point of a point of the cover, in mm from its top left corner."""
        book = self.book
        return self.place(x - book.width_mm / 2, y - book.height_mm / 2, book.thickness_mm)


def paste(canvas: Floats, texture: Floats, corners: Floats) -> None:
    """Lay a texture onto the canvas, its corners (clockwise from its top left) at `corners`."""
    high, wide = texture.shape[:2]
    source = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], dtype=np.float32) - 0.5
    matrix = cv2.getPerspectiveTransform(source, corners.astype(np.float32))
    size = (canvas.shape[1], canvas.shape[0])
    warped = cv2.warpPerspective(texture, matrix, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    mask = np.zeros(canvas.shape[:2], dtype=np.uint8)
    cv2.fillConvexPoly(mask, np.round(corners * 16).astype(np.int32), 255, cv2.LINE_AA, 4)
    share = mask[..., None] / 255.0
    canvas += share * (warped - canvas)


def bend(texture: Floats, curve: float) -> Floats:
    """Bend a cover about an upright axis as a soft cover bulges; `curve` is the sine of the angle at its edges."""
    if not curve:
        return texture
    high, wide = texture.shape[:2]
    across = np.linspace(-1, 1, wide)
    angle = np.arcsin(across * curve)
    x = (angle / np.arcsin(curve) + 1) / 2 * (wide - 1)
    rise = (1 - np.cos(angle)) * high * 0.06
    rows = np.arange(high)[:, None] - rise[None, :]
    columns = np.broadcast_to(x, (high, wide))
    bent = cv2.remap(texture, columns.astype(np.float32), rows.astype(np.float32), cv2.INTER_LINEAR)
    shaded: Floats = bent * (0.55 + 0.45 * np.cos(angle - 0.35))[None, :, None]
    return shaded


def table(kind: str, rng: np.random.Generator) -> Floats:
    """Return the surface of a table, 1000 x 1000 px: oak, walnut, linen, felt, stripes, paper, lid."""
    size = (1000, 1000)
    if kind in {"oak", "walnut"}:
        grain = smooth_noise(rng, size, (90, 2), 3) * 0.6 + smooth_noise(rng, size, (14, 2), 3) * 0.7
        base = np.array([176, 134, 90.0]) if kind == "oak" else np.array([92, 62, 44.0])
        surface = base * (1 + 0.07 * grain)[..., None]
        for seam in range(160, 1000, 240):
            surface[seam : seam + 3] *= 0.55
        return np.asarray(surface)
    if kind in {"linen", "stripes"}:
        y, x = np.mgrid[0:1000, 0:1000]
        weave = 0.05 * np.sin(x * 1.3) + 0.05 * np.sin(y * 1.3) + 0.03 * smooth_noise(rng, size, (60, 60), 2)
        surface = np.array([196, 188, 170.0]) * (1 + weave)[..., None]
        if kind == "stripes":
            edges = np.cumsum(rng.integers(4, 22, 150)) % 2000
            bars = np.zeros(1000)
            for left, right in zip(edges[::2], edges[1::2], strict=True):
                bars[left:right] = 1
            surface *= (1 - 0.75 * bars)[None, :, None]
        return np.asarray(surface)
    if kind == "paper":
        folds = -np.abs(smooth_noise(rng, size, (7, 8), 3)) * 22
        down, across = np.gradient(folds)
        return np.asarray(np.array([190, 166, 130.0]) * np.clip(1 + 0.5 * across + 0.35 * down, 0.4, 1.3)[..., None])
    if kind == "lid":
        return np.full((*size, 3), 226.0)
    return np.asarray(np.array([78, 92, 84.0]) * (1 + 0.03 * smooth_noise(rng, size, (3, 4), 6))[..., None])


def draw_table(camera: Camera, kind: str, rng: np.random.Generator) -> Floats:
    """Return the picture of the bare table."""
    near = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])  # a far corner may lie behind the camera
    texture = table(kind, rng)
    source = near * 1000 / (3.8 * camera.field_mm) + 500
    corners = camera.project(np.hstack([near + np.array(camera.target[:2]), np.zeros((4, 1))]))
    matrix = cv2.getPerspectiveTransform(source.astype(np.float32), corners.astype(np.float32))
    size = (camera.width, camera.height)
    return np.asarray(cv2.warpPerspective(texture, matrix, size, borderMode=cv2.BORDER_REFLECT_101))


def shade(canvas: Floats, camera: Camera, lying: Lying) -> None:
    """Paint the shadow that a book throws to the lower left."""
    book = lying.book
    reach = book.thickness_mm * 0.55 + 2
    w, h = book.width_mm / 2, book.height_mm / 2
    foot = np.array([lying.place(x, y, 0) for x, y in ((-w, -h), (w, -h), (w, h), (-w, h))])
    thrown = np.vstack([foot, foot + np.array([-reach, reach * 0.7, 0])])
    hull = cv2.convexHull(camera.project(thrown).astype(np.float32))
    mask = np.zeros(canvas.shape[:2], dtype=np.float32)
    cv2.fillConvexPoly(mask, np.round(hull).astype(np.int32), 1.0)
    soft = cv2.GaussianBlur(mask, (0, 0), max(reach * camera.width / camera.field_mm * 0.3, 1))
    canvas *= 1 - 0.55 * soft[..., None]


def draw_book(canvas: Floats, camera: Camera, lying: Lying, rng: np.random.Generator) -> None:
    """Draw a book's visible sides, then the cover that lies up."""
    book = lying.book
    scale = camera.width / camera.field_mm
    w, h, t = book.width_mm / 2, book.height_mm / 2, book.thickness_mm
    spine = -1 if book.spine_left else 1
    faces = [((0, 1), 2 * w, (-w, h), (w, h)), ((0, -1), 2 * w, (w, -h), (-w, -h))]
    faces += [((1, 0), 2 * h, (w, h), (w, -h)), ((-1, 0), 2 * h, (-w, -h), (-w, h))]
    shade(canvas, camera, lying)
    for (nx, ny), length, start, end in faces:
        normal = lying.place(nx, ny, 0) - lying.place(0, 0, 0)
        middle = lying.place((start[0] + end[0]) / 2, (start[1] + end[1]) / 2, t / 2)
        if normal @ (camera.eye - middle) <= 0:
            continue
        side = draw_spine(book, scale) if nx == spine else draw_edge(book, length, scale, rng)
        corners = np.array([lying.place(*start, t), lying.place(*end, t), lying.place(*end, 0), lying.place(*start, 0)])
        paste(canvas, side.astype(np.float64) * (0.86 if ny >= 0 else 0.7), camera.project(corners))
    cover = bend(draw_cover(book, scale).astype(np.float64), lying.curve)
    top = np.array([lying.place(x, y, t) for x, y in ((-w, -h), (w, -h), (w, h), (-w, h))])
    paste(canvas, cover, camera.project(top))

"""Pairs of pictures of one drawn cover: before, and after with damage of known place and size, or with none.

What differs besides is named by `Difference`: the side it is seen from and the light always, and by choice glare,
shrink wrap, or blur. Everything is fixed by a number. The covers are invented, and no damage is of a real book.
"""

from dataclasses import dataclass
from enum import Enum

import cv2
import numpy as np
import numpy.typing as npt

from tests.covers.drawn_covers import clouds, draw_picture, draw_words

Colours = npt.NDArray[np.uint8]
Floats = npt.NDArray[np.float32]

WIDTH, HEIGHT = 660, 924
"""Of a cover, in px, each half a millimetre: a book of 330 by 462 mm."""
PX_PER_MM = 2.0
SIZE_MM = (WIDTH / PX_PER_MM, HEIGHT / PX_PER_MM)
PICTURE = (960, 1280)


class Damage(Enum):
    """What happened to a cover on the way."""

    CORNER = "crushed corner"
    TEAR = "tear"
    SCRATCH = "scratch"
    STAIN = "stain"


class Difference(Enum):
    """What else differs between two pictures."""

    LIGHT = "light and side"
    GLARE = "glare"
    WRAP = "shrink wrap"
    BLUR = "blur"
    ALL = "glare and blur"


@dataclass(frozen=True, slots=True)
class Drawn:
    """Damage that was drawn.

    Attributes:
        middle: of it, in px of the cover.
        reach: half of its length, in px.
    """

    kind: Damage
    middle: tuple[float, float]
    reach: float


def draw_coloured(number: int) -> Colours:
    """Return a cover in colour, `HEIGHT` by `WIDTH`."""
    rng = np.random.default_rng((17, number))
    grey = np.full((HEIGHT, WIDTH), int(rng.integers(30, 226)), np.uint8)
    draw_picture(rng, grey)
    if rng.random() < 0.6:
        draw_picture(rng, grey)
    draw_words(rng, grey)
    dark, light = rng.integers(0, 90, 3), rng.integers(150, 256, 3)
    return np.asarray((dark + (light - dark) * (grey[..., None] / 255.0)).clip(0, 255), np.float32).astype(np.uint8)


def damaged(cover: Colours, kind: Damage, number: int, scale: float = 1.0) -> tuple[Colours, Drawn]:
    """Return a cover with damage, and where it is; the colour of what lies under the cloth or paper is board grey.

    Args:
        cover: without damage.
        kind: a corner of 12 to 25 mm is gone and creased beside, a tear is 25 to 45 mm long and open by 2 to 5 mm, a
            scratch 40 to 80 mm long and 1 to 3 mm wide, a stain 8 to 18 mm in radius.
        number: fixes all this.
        scale: of the sizes.
    """
    rng = np.random.default_rng((19, number, list(Damage).index(kind)))
    out = cover.copy()
    if kind is Damage.CORNER:
        return crush(out, rng, scale)
    if kind is Damage.STAIN:
        radius = rng.uniform(8, 18) * PX_PER_MM * scale
        x, y = rng.uniform(0.15, 0.85) * WIDTH, rng.uniform(0.15, 0.85) * HEIGHT
        yy, xx = np.mgrid[0:HEIGHT, 0:WIDTH]
        wobble = 1 + 0.25 * (clouds(rng, HEIGHT, WIDTH) - 0.5)
        inside = (np.hypot(xx - x, yy - y) / wobble < radius).astype(np.float32)
        share = cv2.GaussianBlur(inside, (0, 0), 1.5)[..., None]
        tint = np.array([0.62, 0.52, 0.4]) if cover[int(y), int(x)].mean() > 60 else np.array([1.6, 1.5, 1.35])
        return np.clip(out * (1 - share + share * tint), 0, 255).astype(np.uint8), Drawn(kind, (x, y), radius)
    if kind is Damage.TEAR:
        start, way = on_an_edge(rng)
        length, gape = rng.uniform(25, 45) * PX_PER_MM * scale, rng.uniform(2, 5) * PX_PER_MM * scale
        end = start + way * length
        across = np.array([-way[1], way[0]]) * gape / 2
        points = np.array([start + across, end, start - across])
        cv2.fillPoly(out, [np.round(points * 16).astype(np.int32)], paper(rng, cover, end), cv2.LINE_AA, 4)
        middle = (start + end) / 2
        return out, Drawn(kind, (float(middle[0]), float(middle[1])), float(length / 2))
    length, wide = rng.uniform(40, 80) * PX_PER_MM * scale, rng.uniform(1, 3) * PX_PER_MM
    angle = rng.uniform(0, np.pi)
    middle = np.array([rng.uniform(0.3, 0.7) * WIDTH, rng.uniform(0.3, 0.7) * HEIGHT])
    half = np.array([np.cos(angle), np.sin(angle)]) * length / 2
    ends = [tuple(int(v) for v in np.round((middle + sign * half) * 16)) for sign in (-1, 1)]
    cv2.line(out, ends[0], ends[1], paper(rng, cover, middle), max(round(wide), 1), cv2.LINE_AA, 4)
    return out, Drawn(kind, (float(middle[0]), float(middle[1])), float(length / 2))


def paper(rng: np.random.Generator, cover: Colours, at: npt.NDArray[np.float64]) -> tuple[float, ...]:
    """Return the colour of torn paper; a dark one, as of a shadow in the gap, where the cover is pale."""
    x, y = (int(np.clip(v, 0, limit - 1)) for v, limit in zip(at, (WIDTH, HEIGHT), strict=True))
    around = cover[max(y - 12, 0) : y + 12, max(x - 12, 0) : x + 12].mean()
    shade = rng.uniform(205, 232) if around < 140 else rng.uniform(40, 75)
    return tuple(float(v) for v in shade * np.array([1.0, 0.97, 0.9]))


def on_an_edge(rng: np.random.Generator) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Return a point of an edge, and a direction inwards."""
    side, along = int(rng.integers(4)), rng.uniform(0.2, 0.8)
    starts = ((along * WIDTH, 0.0), (WIDTH - 1.0, along * HEIGHT), (along * WIDTH, HEIGHT - 1.0), (0.0, along * HEIGHT))
    inwards = (np.pi / 2, np.pi, -np.pi / 2, 0.0)[side] + rng.uniform(-0.5, 0.5)
    return np.array(starts[side]), np.array([np.cos(inwards), np.sin(inwards)])


def crush(out: Colours, rng: np.random.Generator, scale: float) -> tuple[Colours, Drawn]:
    """Take a corner away (marked by 0, the table shows there), with a pale, ragged rim of bare board."""
    size = rng.uniform(12, 25) * PX_PER_MM * scale
    right, low = bool(rng.integers(2)), bool(rng.integers(2))
    corner = np.array([WIDTH if right else 0, HEIGHT if low else 0], float)
    inwards = np.array([-1 if right else 1, -1 if low else 1], float)
    yy, xx = np.mgrid[0:HEIGHT, 0:WIDTH]
    along = np.abs(xx - corner[0]) + np.abs(yy - corner[1]) + 14 * (clouds(rng, HEIGHT, WIDTH) - 0.5)
    rim = (along < size * 1.25).astype(np.float32)[..., None] * rng.uniform(0.7, 1.0)
    board = np.array([176, 168, 150])
    out[:] = np.clip(out * (1 - rim) + board * rim, 1, 255).astype(np.uint8)
    out[along < size * 0.75] = 0
    middle = corner + inwards * size * 0.4
    return out, Drawn(Damage.CORNER, (float(middle[0]), float(middle[1])), float(size / 2))


def shrink_wrap(scene: Floats, rng: np.random.Generator, inside: Floats) -> Floats:
    """Return a scene with a milky film over the book and straight creases that shine."""
    high, wide = scene.shape[:2]
    shine = np.zeros((high, wide), np.float32)
    for _ in range(22):
        angle, softness = rng.choice((0.5, 1.9)) + rng.normal(0, 0.16), float(rng.choice((0.8, 2.0, 6.0)))
        layer = np.zeros_like(shine)
        start = rng.uniform((0, 0), (wide, high))
        end = start + rng.uniform(0.1, 0.5) * wide * np.array([np.cos(angle), np.sin(angle)])
        points = np.round(np.array([start, end])).astype(np.int32)
        cv2.polylines(
            layer, [points], isClosed=False, color=float(rng.uniform(0.3, 1)), thickness=max(int(softness), 1)
        )
        shine += cv2.GaussianBlur(layer, (0, 0), softness)
    film = np.clip(0.06 + 0.5 * shine, 0, 0.95)[..., None] * inside[..., None]
    return np.asarray(scene + film * (253 - scene), np.float32)


def seen(cover: Colours, number: int, *differences: Difference, scale: float = 1.0) -> Colours:
    """Return a cover on a table as a camera sees it: tilted, turned by up to 8 degrees, under uneven, tinted light.

    Args:
        cover: flat.
        number: fixes the picture.
        differences: what spoils it.
        scale: of the picture's size.
    """
    rng = np.random.default_rng((23, number))
    width, height = (round(side * scale) for side in PICTURE)
    table = (40 + 150 * rng.random() + 26 * (clouds(rng, height, width) - 0.5))[..., None] * rng.uniform(0.85, 1.1, 3)
    turn, ratio = np.deg2rad(rng.uniform(-8, 8)), rng.uniform(0.72, 0.88) * height / HEIGHT
    half = np.array([WIDTH, HEIGHT]) * ratio / 2
    square = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half
    there = square @ np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
    there = there + (width / 2, height / 2) + rng.uniform(-0.035, 0.035, (4, 2)) * (width, height)
    here = np.array([(0, 0), (WIDTH, 0), (WIDTH, HEIGHT), (0, HEIGHT)], np.float32) - np.float32(0.5)
    lens = cv2.getPerspectiveTransform(here, there.astype(np.float32))
    shown = cv2.warpPerspective(cover.astype(np.float32), lens, (width, height), flags=cv2.INTER_LINEAR)
    kept = (cover.max(axis=-1) > 0).astype(np.float32)
    inside = np.asarray(cv2.warpPerspective(kept, lens, (width, height), flags=cv2.INTER_LINEAR), np.float32)
    scene = (shown + table * (1 - inside[..., None])).astype(np.float32)
    if Difference.WRAP in differences:
        scene = shrink_wrap(scene, rng, inside)
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    angle = rng.uniform(0, 2 * np.pi)
    across = (x / width - 0.5) * np.cos(angle) + (y / height - 0.5) * np.sin(angle)
    light = rng.uniform(0.7, 1.05) * (1 + rng.uniform(0.1, 0.5) * across)
    scene = scene * light[..., None].astype(np.float32) * rng.uniform(0.92, 1.08, 3).astype(np.float32)
    if Difference.GLARE in differences or Difference.ALL in differences:
        at, spread = rng.uniform(0.3, 0.7, 2) * (width, height), rng.uniform(60, 150, 2)
        spread *= scale
        distance = ((x - at[0]) / spread[0]) ** 2 + ((y - at[1]) / spread[1]) ** 2
        scene += (rng.uniform(120, 420) * np.exp(-distance / 2))[..., None].astype(np.float32)
    sigma = rng.uniform(0.5, 0.8)
    if Difference.BLUR in differences or Difference.ALL in differences:
        sigma = rng.uniform(1.4, 2.4)
    scene = cv2.GaussianBlur(scene, (0, 0), sigma * max(scale, 0.8))
    grain = rng.normal(0, rng.uniform(1.5, 3.5), (height, width, 1)) + rng.normal(0, 0.8, (height, width, 3))
    return np.asarray((scene + grain).clip(0, 255), np.float32).astype(np.uint8)

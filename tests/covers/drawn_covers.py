"""Invented covers, drawn by us, and what a camera makes of them: perspective, light, glare, blur, noise.

A cover is fixed by its number. All share one set of letter forms and the same few layouts, as real covers do, so that
much of one is found on another. Titles are invented words; no real book is meant.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

Grey = npt.NDArray[np.uint8]

WIDTH, HEIGHT = 300, 420
SYLLABLES = (
    *("ka", "lo", "min", "tra", "vel", "dor", "sen", "ura", "pel", "ost"),
    *("bri", "gan", "the", "nor", "wyn", "esk", "mal", "ito", "rue", "zan"),
)
FONTS = (
    cv2.FONT_HERSHEY_SIMPLEX,
    cv2.FONT_HERSHEY_DUPLEX,
    cv2.FONT_HERSHEY_COMPLEX,
    cv2.FONT_HERSHEY_TRIPLEX,
)


def invented_word(rng: np.random.Generator) -> str:
    """Return a word of two to four syllables."""
    word = "".join(rng.choice(SYLLABLES, rng.integers(2, 5)))
    return word.upper() if rng.random() < 0.4 else word.capitalize()


def clouds(rng: np.random.Generator, height: int, width: int) -> npt.NDArray[np.float32]:
    """Return a field of 0 to 1 with structure of all sizes, as a photograph has."""
    field = np.zeros((height, width), np.float32)
    for octave in range(1, 7):
        coarse = rng.random((2**octave + 1, 2**octave + 1), np.float32)
        field += cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC) * np.float32(0.62**octave)
    low, high = float(field.min()), float(field.max())
    return np.asarray((field - low) / (high - low), np.float32)


def draw_picture(rng: np.random.Generator, cover: Grey) -> None:
    """Draw an illustration on a cover: a scene of clouds and shapes in a rectangle."""
    height, width = cover.shape
    wide, tall = int(rng.integers(width // 3, width)), int(rng.integers(height // 4, height * 3 // 4))
    left, top = int(rng.integers(0, width - wide + 1)), int(rng.integers(0, height - tall + 1))
    dark, light = sorted(rng.integers(0, 256, 2).tolist())
    scene = np.asarray(dark + clouds(rng, tall, wide) * (light - dark + 20), np.float32).clip(0, 255).astype(np.uint8)
    for _ in range(int(rng.integers(0, 7))):
        at = (int(rng.integers(0, wide)), int(rng.integers(0, tall)))
        shade = int(rng.integers(0, 256))
        if rng.random() < 0.5:
            axes = (int(rng.integers(5, 60)), int(rng.integers(5, 60)))
            cv2.ellipse(scene, at, axes, float(rng.integers(0, 180)), 0, 360, shade, -1, cv2.LINE_AA)
        else:
            points = (np.array(at) + rng.integers(-60, 60, (int(rng.integers(3, 6)), 2))).astype(np.int32)
            cv2.fillPoly(scene, [points], shade, cv2.LINE_AA)
    cover[top : top + tall, left : left + wide] = scene


def draw_words(rng: np.random.Generator, cover: Grey) -> None:
    """Write a title of one to three lines, an author, and a line at the foot."""
    height, width = cover.shape
    font, thick = int(rng.choice(FONTS)), int(rng.integers(1, 4))
    ink = int(rng.choice((0, 20, 235, 255)))
    y = int(rng.integers(40, height * 2 // 3))
    lines = [(invented_word(rng), 0.85) for _ in range(int(rng.integers(1, 4)))]
    lines += [(f"{invented_word(rng)} {invented_word(rng)}", 0.55)]
    for text, share in lines:
        (wide, tall), _ = cv2.getTextSize(text, font, 1.0, thick)
        size = min(width * share / wide, 2.0)
        at = (int((width - wide * size) * rng.choice((0.1, 0.5, 0.9))), y)
        cv2.putText(cover, text, at, font, size, ink, thick if share > 0.6 else 1, cv2.LINE_AA)
        y += int(tall * size * 1.6) + 6
    cv2.putText(cover, invented_word(rng), (width // 3, height - 12), font, 0.45, ink, 1, cv2.LINE_AA)


def draw_cover(number: int) -> Grey:
    """Return the cover of this number, `HEIGHT` by `WIDTH`."""
    rng = np.random.default_rng((7, number))
    cover = np.full((HEIGHT, WIDTH), int(rng.integers(10, 246)), np.uint8)
    if rng.random() < 0.4:
        slope = np.linspace(0, int(rng.integers(-90, 90)), HEIGHT)[:, None]
        cover = np.clip(cover + slope, 0, 255).astype(np.uint8)
    for _ in range(int(rng.choice((0, 1, 1, 1, 2)))):
        draw_picture(rng, cover)
    if rng.random() < 0.3:
        margin = int(rng.integers(6, 20))
        cv2.rectangle(cover, (margin, margin), (WIDTH - margin, HEIGHT - margin), int(rng.integers(0, 256)), 2)
    draw_words(rng, cover)
    return cover


@dataclass(frozen=True, slots=True)
class Camera:
    """How hard a photograph is; 1 is an ordinary phone held by hand."""

    hardness: float = 1.0


def photograph(cover: Grey, number: int, camera: Camera | None = None) -> Grey:
    """Return a cover on a table as a camera sees it, 560 by 420: always the same one of a number.

    Tilt moves each corner by up to 6 % of the picture, the book is turned by up to 12 degrees and fills 62 to 90 % of
    the height; light falls off by up to half; one picture in two has a glare that burns out up to a quarter of the
    cover; blur has a sigma of 0.4 to 1.6 px, or 3 to 6 px of motion; noise has a deviation of 2 to 7.
    """
    hard = (camera or Camera()).hardness
    rng = np.random.default_rng((11, number))
    height, width = 560, 420
    table = 40 + 150 * rng.random() + 30 * (clouds(rng, height, width) - 0.5)
    ratio = rng.uniform(0.62, 0.9) * height / cover.shape[0]
    turn = np.deg2rad(rng.uniform(-12, 12) * hard)
    half = np.array(cover.shape[::-1]) * ratio / 2
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half
    turned = corners @ np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
    there = turned + (width / 2, height / 2) + rng.uniform(-0.06, 0.06, (4, 2)) * hard * (width, height)
    here = np.array([(0, 0), (cover.shape[1], 0), cover.shape[::-1], (0, cover.shape[0])], np.float32)
    lens = cv2.getPerspectiveTransform(here, there.astype(np.float32))
    size = (width, height)
    seen = cv2.warpPerspective(cover, lens, size, flags=cv2.INTER_AREA).astype(np.float32)
    inside = cv2.warpPerspective(np.ones_like(cover), lens, size)
    scene = np.where(inside > 0, seen, table).astype(np.float32)
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    angle = rng.uniform(0, 2 * np.pi)
    across = (x / width - 0.5) * np.cos(angle) + (y / height - 0.5) * np.sin(angle)
    scene *= np.float32(rng.uniform(0.6, 1.1)) * (1 + np.float32(rng.uniform(0, 0.6) * hard) * across)
    if rng.random() < 0.5:
        at, spread = rng.uniform(0.2, 0.8, 2) * (width, height), rng.uniform(30, 75, 2) * hard
        distance = ((x - at[0]) / spread[0]) ** 2 + ((y - at[1]) / spread[1]) ** 2
        scene += np.float32(rng.uniform(120, 420)) * np.exp(-distance / 2, dtype=np.float32)
    scene = blurred(rng, scene, hard)
    scene += rng.normal(0, rng.uniform(2, 7) * hard, scene.shape)
    return scene.clip(0, 255).astype(np.uint8)


def blurred(rng: np.random.Generator, scene: npt.NDArray[np.float32], hard: float) -> npt.NDArray[np.float32]:
    """Return a picture out of focus, or moved, one in four."""
    if rng.random() < 0.25:
        length = int(rng.integers(3, 7) * hard)
        kernel = np.zeros((9, 9), np.float32)
        turn = rng.uniform(0, np.pi)
        reach = (np.cos(turn) * length / 2, np.sin(turn) * length / 2)
        start, end = (4 - reach[0], 4 - reach[1]), (4 + reach[0], 4 + reach[1])
        cv2.line(kernel, (round(start[0]), round(start[1])), (round(end[0]), round(end[1])), 1.0, 1, cv2.LINE_AA)
        return np.asarray(cv2.filter2D(scene, -1, kernel / kernel.sum()), np.float32)
    return np.asarray(cv2.GaussianBlur(scene, (0, 0), rng.uniform(0.4, 1.6) * hard), np.float32)

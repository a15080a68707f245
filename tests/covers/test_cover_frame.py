"""The frame of a cover on two grounds with a grain: where the cover was drawn, not where grain meets grain."""

import cv2
import numpy as np
import pytest

from intake.covers.cover_frame import Colours, Doubles, find_frame
from tests.covers.drawn_damage import HEIGHT, WIDTH, draw_coloured

SIZE = 900, 1200
CORNERS = np.array([(0, 0), (WIDTH, 0), (WIDTH, HEIGHT), (0, HEIGHT)], np.float32)


def planks(rng: np.random.Generator) -> Colours:
    """Return a table of long fibres from side to side."""
    fibres = cv2.resize(rng.normal(0, 1, (SIZE[1], 8)), SIZE, interpolation=cv2.INTER_CUBIC)
    return np.asarray((np.array([140, 95, 60]) + 18 * fibres[..., None]).clip(0, 255), np.float32).astype(np.uint8)


def rough(rng: np.random.Generator) -> Colours:
    """Return a floor of grey patches and grains."""
    patches = cv2.resize(rng.normal(0, 1, (SIZE[1] // 12, SIZE[0] // 12)), SIZE, interpolation=cv2.INTER_CUBIC)
    floor = 145 + 12 * (patches + rng.normal(0, 0.5, patches.shape))
    return np.repeat(floor.clip(0, 255)[..., None], 3, axis=-1).astype(np.uint8)


def on_ground(cover: Colours, ground: Colours, rng: np.random.Generator) -> tuple[Colours, Doubles]:
    """Return a picture of a cover in perspective with the shadow it casts, and where its corners are."""
    middle, half = np.array(SIZE) / 2, np.array([WIDTH, HEIGHT]) * 0.5
    square = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half
    corners = (middle + square + rng.uniform(-40, 40, (4, 2))).astype(np.float32)
    lens = cv2.getPerspectiveTransform(CORNERS, corners)
    shown = cv2.warpPerspective(cover, lens, SIZE, flags=cv2.INTER_LINEAR)
    inside = cv2.warpPerspective(np.ones(cover.shape[:2], np.float32), lens, SIZE)[..., None]
    shadow = cv2.GaussianBlur(np.roll(inside, (8, 8), (0, 1)), (0, 0), 8)[..., None]
    scene = ground * (1 - 0.5 * shadow) * (1 - inside) + shown * inside + rng.normal(0, 3, ground.shape)
    return np.asarray(scene.clip(0, 255), np.float32).astype(np.uint8), corners.astype(np.float64)


@pytest.mark.parametrize("number", [0, 3, 100, 104])
def test_the_frame_is_where_the_cover_was_drawn_and_not_in_the_grain_of_the_ground(number: int) -> None:
    """The homography that drew each picture says where the corners are."""
    rng = np.random.default_rng((29, number))
    cover = draw_coloured(number)
    before, drawn_before = on_ground(cover, planks(rng), rng)
    after, drawn_after = on_ground(cover, rough(rng), rng)
    lens = cv2.getPerspectiveTransform(drawn_after.astype(np.float32), drawn_before.astype(np.float32))
    to_before = cv2.getPerspectiveTransform(CORNERS, drawn_before.astype(np.float32))
    places = rng.uniform((0.1, 0.1), (0.9, 0.9), (80, 2)) * (WIDTH, HEIGHT)
    agreeing = np.asarray(cv2.perspectiveTransform(places[None], to_before)[0], np.float32)
    frame = find_frame(before, after, np.asarray(lens, np.float64), agreeing)
    assert frame is not None
    assert np.abs(frame - drawn_before).max() < 0.01 * HEIGHT


def test_two_grounds_without_a_cover_have_no_frame() -> None:
    """Said to agree in the middle, as if a label lay there: grain is no edge of a cover."""
    rng = np.random.default_rng(31)
    label = (np.array(SIZE) / 2 + rng.uniform(-60, 60, (40, 2))).astype(np.float32)
    assert find_frame(planks(rng), rough(rng), np.eye(3), label) is None

"""Regions turned upright, against drawn pictures whose geometry is known."""

import math

import numpy as np
import pytest

from intake.model.readings import Point
from intake.reading.geometry import Grey, mapped
from intake.reading.rectify import rectify, turned, whole


def striped(width: int = 400, height: int = 300) -> Grey:
    """A picture whose grey grows by one with every four columns."""
    return np.tile((np.arange(width) // 4).astype(np.uint8), (height, 1))


def box(x: float, y: float, width: float, height: float) -> tuple[Point, ...]:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def test_the_whole_picture_is_a_crop_of_itself() -> None:
    crop = whole(striped())
    assert mapped(((3.0, 4.0),), crop.to_picture) == ((3, 4),)


def test_a_region_becomes_as_wide_as_asked_with_its_margins() -> None:
    # 100 x 60 at twice its width: 200 and 16 % on either side; 120 and 4 above and below.
    crop = rectify(striped(), box(100, 80, 100, 60), 200)
    assert crop.grey.shape == (120 + 8, 200 + 2 * 32)
    corners = mapped(((32.0, 4.0), (232.0, 4.0), (232.0, 124.0), (32.0, 124.0)), crop.to_picture)
    assert np.allclose(corners, box(100, 80, 100, 60), atol=1e-4)
    # Column 32 shows the left edge: x 100 has grey 25, x 199 has 49.
    assert abs(int(crop.grey[60, 33]) - 25) <= 1
    assert abs(int(crop.grey[60, 231]) - 49) <= 1


def test_heights_are_kept_within_24_and_the_tallest() -> None:
    assert rectify(striped(), box(100, 80, 100, 5), 100).grey.shape[0] == 24 + 8
    assert rectify(striped(), box(100, 20, 100, 250), 100).grey.shape[0] == 150 + 8
    assert rectify(striped(), box(100, 20, 100, 250), 100, tallest_px=64).grey.shape[0] == 64 + 8
    assert rectify(striped(), box(100, 20, 100, 60), 100, side=0).grey.shape[1] == 100


def test_a_large_region_is_averaged_and_still_lies_where_it_was() -> None:
    wide = np.tile((np.arange(1600) // 8).astype(np.uint8), (900, 1))
    crop = rectify(wide, box(400, 300, 800, 400), 200)
    back = mapped(((32.0, 4.0), (232.0, 104.0)), crop.to_picture)
    assert np.allclose(back, ((400, 300), (1200, 700)), atol=1e-3)
    assert abs(int(crop.grey[50, 32]) - 50) <= 1
    assert abs(int(crop.grey[50, 231]) - 149) <= 1
    # Stripes finer than a pixel of the crop become an even grey.
    fine = np.tile(np.array([0, 200], np.uint8), (900, 800))
    inside = rectify(fine, box(400, 300, 800, 400), 200).grey[20:80, 40:220].astype(int)
    assert abs(inside - 100).max() < 30


@pytest.mark.parametrize("degrees", [0, 30, 90, 180, -45])
def test_a_turned_picture_keeps_everything_and_the_way_back(degrees: float) -> None:
    grey = striped()
    crop = turned(grey, degrees, longest_px=1000)
    cos, sin = abs(math.cos(math.radians(degrees))), abs(math.sin(math.radians(degrees)))
    assert crop.grey.shape[1] == pytest.approx(400 * cos + 300 * sin, abs=2)
    assert crop.grey.shape[0] == pytest.approx(400 * sin + 300 * cos, abs=2)
    # The middle of the crop is the middle of the picture, and so is its grey.
    middle = (crop.grey.shape[1] / 2, crop.grey.shape[0] / 2)
    ((x, y),) = mapped((middle,), crop.to_picture)
    assert (x, y) == pytest.approx((200, 150), abs=1.5)
    slope = math.radians(degrees)
    beside = (middle[0] + 50 * math.cos(slope), middle[1] - 50 * math.sin(slope))
    ((x, _),) = mapped((beside,), crop.to_picture)
    assert x == pytest.approx(250, abs=1.5)


def test_a_turned_picture_is_scaled_down_to_the_longest_side() -> None:
    crop = turned(striped(), 0, longest_px=100)
    assert crop.grey.shape == (76, 101)
    ((x, y),) = mapped(((50.0, 37.5),), crop.to_picture)
    assert (x, y) == pytest.approx((200, 150), abs=4)

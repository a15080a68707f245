"""Quadrilaterals, worked by hand on squared paper."""

import math

import numpy as np
import pytest

from intake.reading.geometry import (
    area_of,
    centre_of,
    contains,
    cross,
    downscale,
    height_of,
    lengthen,
    map_points,
    rectangle_around,
    width_of,
)

FLAT = ((10.0, 20.0), (50.0, 20.0), (50.0, 30.0), (10.0, 30.0))
TAPERED = ((0.0, 0.0), (40.0, 0.0), (30.0, 30.0), (10.0, 30.0))
"""40 wide at the top and 20 at the bottom; its sides are the root of 1000 long."""


def test_centre_width_height_and_area() -> None:
    assert centre_of(FLAT) == (30, 25)
    assert (width_of(FLAT), height_of(FLAT), area_of(FLAT)) == (40, 10, 400)
    assert width_of(TAPERED) == 30
    assert height_of(TAPERED) == pytest.approx(math.sqrt(1000))
    assert area_of(TAPERED) == pytest.approx(30 * math.sqrt(1000))


def test_lengthened_keeps_its_left_edge() -> None:
    assert lengthen(FLAT, 1.5) == ((10, 20), (70, 20), (70, 30), (10, 30))
    assert lengthen(TAPERED, 2) == ((0, 0), (80, 0), (50, 30), (10, 30))


def test_points_are_carried_over_by_a_map() -> None:
    # x and y doubled and moved by 1 and 2; then a quarter turn.
    assert map_points(FLAT, np.array([[2.0, 0, 1], [0, 2, 2], [0, 0, 1]]))[:2] == ((21, 42), (101, 42))
    turned = map_points(((1.0, 0.0), (0.0, 1.0)), np.array([[0.0, -1, 0], [1, 0, 0], [0, 0, 1]]))
    assert np.allclose(turned, ((0, 1), (-1, 0)))


def test_clockwise_on_the_screen_is_positive() -> None:
    box = np.array(FLAT)
    assert cross(box) == 40 * 10
    assert cross(box[::-1]) == -40 * 10


@pytest.mark.parametrize(
    ("ahead", "first"), [((1, 0), FLAT[0]), ((0, 1), FLAT[1]), ((-1, 0), FLAT[2]), ((0, -1), FLAT[3])]
)
def test_a_rectangle_begins_where_it_is_read_from(ahead: tuple[float, float], first: tuple[float, float]) -> None:
    found = rectangle_around(np.array([*FLAT, (30.0, 25.0)], np.float32), ahead)
    assert found[0] == pytest.approx(first)
    start = FLAT.index(first)
    assert np.allclose(found, FLAT[start:] + FLAT[:start])


def test_a_single_scan_line_keeps_its_direction() -> None:
    line = np.array([(10.0, 20.0), (50.0, 20.0), (30.0, 20.0)], np.float32)
    for ahead, left, right in (((1, 0), 10, 50), ((-1, 0), 50, 10)):
        found = rectangle_around(line, ahead)
        assert [round(x) for x, _ in found] == [left, right, right, left]
        assert all(abs(y - 20) < 0.01 for _, y in found)


def test_inside_on_the_edge_and_within_the_slack() -> None:
    assert contains(FLAT, (30, 25))
    assert contains(FLAT, (10, 25))
    assert not contains(FLAT, (9, 25))
    assert contains(FLAT, (9, 25), slack_px=1)
    assert not contains(FLAT, (8, 25), slack_px=1)


def test_scaling_down_averages() -> None:
    grey = np.array([[0, 100, 10, 30], [100, 200, 20, 40]], np.uint8)
    assert downscale(grey, 2, 1).tolist() == [[100, 25]]

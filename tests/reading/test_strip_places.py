"""Strips of bars beside straight edges: symbols drawn by an encoder that is not ours (zint), mostly covered."""

import math

import cv2
import numpy as np
import pytest
import zint

from intake.reading.geometry import Grey, centre_of, width_of
from intake.reading.strip_places import find_strips, longest_stretch, run_about
from tests.reading.drawing import Shot, photograph, symbol
from tests.reading.lures import lure

NUMBER = "9780306406157"


def lidded(share: float, slope: float, shot: Shot) -> tuple[Grey, tuple[tuple[float, float], ...]]:
    """Photograph a symbol of which a grey card hides the lower part; return its upper edge's ends too."""
    bars = symbol(zint.Symbology.EANX, NUMBER).copy()
    height, width = bars.shape
    card = np.array([[0, share * height], [width, share * height + slope * width], [width, height], [0, height]])
    cv2.fillPoly(bars, [np.rint(card).astype(np.int32)], 140)
    grey, truth = photograph(bars, shot)
    return grey, tuple((float(x), float(y)) for x, y in truth)


@pytest.mark.parametrize("angle", [0, 70, 130, 190])
@pytest.mark.parametrize("slope", [0.0, 0.06])
def test_the_best_strip_spans_the_bars_that_show_in_their_direction(angle: float, slope: float) -> None:
    grey, truth = lidded(0.2, slope, Shot(size=(640, 480), module_px=2.4, angle=angle))
    strips = find_strips(grey, most=3)
    assert strips
    best, wide = strips[0], width_of(truth)
    assert 0.9 * wide < width_of(best) < 1.1 * wide
    (ax, ay), (bx, by) = truth[:2]
    (cx, cy), (dx, dy) = best[:2]
    turned = abs(math.degrees(math.atan2(by - ay, bx - ax) - math.atan2(dy - cy, dx - cx))) % 180
    assert min(turned, 180 - turned) < 6
    assert math.dist(centre_of(best), ((ax + bx) / 2, (ay + by) / 2)) < 0.15 * wide


def test_a_large_picture_is_answered_in_its_own_pixels() -> None:
    grey, truth = lidded(0.2, 0.03, Shot(size=(2400, 1800), module_px=9.0))
    assert 0.9 < width_of(find_strips(grey, most=1)[0]) / width_of(truth) < 1.1


@pytest.mark.parametrize("noise", [0, 6, 20])
def test_the_edges_of_a_plain_page_are_no_strips_however_much_noise_there_is(noise: float) -> None:
    page, _ = photograph(np.full((400, 600), 255, np.uint8), Shot(size=(640, 480), module_px=1.0, noise=noise))
    assert find_strips(page, most=3) == []


@pytest.mark.parametrize("kind", ["texture", "halftone"])
def test_nothing_is_looked_for_where_edges_are_everywhere(kind: str) -> None:
    assert find_strips(lure(kind, 3).grey, most=3) == []


def test_a_stretch_ends_where_nothing_alternates_for_long() -> None:
    assert longest_stretch(np.array([3, 8, 12, 90, 95, 99, 104, 300])).tolist() == [90, 95, 99, 104]
    assert longest_stretch(np.array([], np.intp)).tolist() == []


def test_rows_alike_are_those_about_the_best_one() -> None:
    assert run_about(np.array([True, False, True, True, True, False]), 3) == (2, 4)
    assert run_about(np.array([True, True]), 0) == (0, 1)

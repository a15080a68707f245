"""The outline of a symbol from the line along which it was read; the truth is known from the drawing (by zint)."""

import math

import numpy as np
import pytest
import zint

from intake.reading.geometry import Grey, height_of, width_of
from intake.reading.outline import bar_direction, count_alike_rows, outline
from tests.reading.drawing import Points, Shot, photograph, symbol

NUMBER = "9780306406157"
Corners = tuple[tuple[float, float], ...]


def shown(angle: float = 0.0, *, height: float = 1.0) -> tuple[Grey, Points]:
    bitmap = symbol(zint.Symbology.EANX, NUMBER)
    bitmap = bitmap[: round(len(bitmap) * height)]
    return photograph(bitmap, Shot(size=(700, 600), angle=angle, module_px=3.0))


def along(truth: Points, down: float, *, to_the_end: float = 1.0) -> Corners:
    """The line on which a decoder read the symbol, a share of the way down at its first and last bar, as a thin box."""
    start = truth[0] + (truth[3] - truth[0]) * down
    end = truth[1] + (truth[2] - truth[1]) * (down + 0.25 * (to_the_end - 1))
    (ax, ay), (bx, by) = start, end
    return ((ax, ay), (bx, by), (bx, by), (ax, ay))


@pytest.mark.parametrize("angle", [0, 10, -25, 45, 90, 135, 180, 270])
@pytest.mark.parametrize("down", [0.3, 0.5, 0.7])
def test_the_bars_are_followed_up_and_down_from_the_line_that_was_read(angle: float, down: float) -> None:
    grey, truth = shown(angle)
    found = np.array(outline(grey, along(truth, down)))
    tall = math.dist(truth[0], truth[3])
    assert np.abs(found - truth).max() < 0.25 * tall
    assert width_of(tuple(map(tuple, found))) == pytest.approx(math.dist(truth[0], truth[1]), rel=0.03)


def test_a_line_that_runs_aslant_over_the_bars_gives_the_upright_symbol() -> None:
    grey, truth = shown()
    start, end = truth[0] + (truth[3] - truth[0]) * 0.3, truth[1] + (truth[2] - truth[1]) * 0.7
    slanted = (tuple(start), tuple(end), tuple(end), tuple(start))
    found = np.array(outline(grey, slanted))
    assert abs(found[1, 1] - found[0, 1]) < 3, "its upper edge is level"
    assert width_of([tuple(corner) for corner in found]) == pytest.approx(math.dist(truth[0], truth[1]), rel=0.03)
    assert np.abs(found - truth).max() < 25


@pytest.mark.parametrize("height", [0.3, 0.6, 1.0])
def test_a_truncated_symbol_is_as_low_as_it_is(height: float) -> None:
    grey, truth = shown(height=height)
    found = outline(grey, along(truth, 0.5))
    assert height_of(found) == pytest.approx(math.dist(truth[0], truth[3]), rel=0.12, abs=9)


def test_the_symbol_s_own_top_left_comes_first_whichever_way_it_was_read() -> None:
    grey, truth = shown()
    forwards = along(truth, 0.5)
    (a, b, c, d) = forwards
    backwards = outline(grey, (b, a, d, c))
    assert backwards[0][0] > backwards[1][0], "its first bar is at the right"
    assert width_of(backwards) == pytest.approx(width_of(outline(grey, forwards)), abs=1)


def test_a_line_too_short_or_across_other_edges_is_left_as_it_is() -> None:
    grey, truth = shown()
    short = ((100.0, 100.0), (105.0, 100.0), (105.0, 101.0), (100.0, 101.0))
    assert outline(grey, short) == short
    # Along a bar the gradients run across the line that was read.
    bars = np.kron(np.arange(40) % 2 * 255, np.ones((200, 5))).astype(np.uint8)
    upright = ((100.0, 20.0), (100.0, 180.0), (101.0, 180.0), (101.0, 20.0))
    assert outline(bars, upright) == upright
    assert len(truth) == 4


@pytest.mark.parametrize("degrees", [0, 20, 45, 80])
def test_the_direction_across_the_bars_is_that_of_the_grey_gradients(degrees: float) -> None:
    """Parallel stripes whose direction is known."""
    y, x = np.mgrid[0:200, 0:200]
    across = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
    grey = (127 + 100 * np.sin((x * across[0] + y * across[1]) / 3)).astype(np.uint8)
    found = bar_direction(grey, np.array([60.0, 100.0], np.float32), np.array([140.0, 100.0], np.float32))
    assert abs(float(found @ across)) == pytest.approx(1, abs=1e-3)
    assert float(np.hypot(*found)) == pytest.approx(1)


@pytest.mark.parametrize(
    ("likeness", "count"),
    [
        ([0.9, 0.9, 0.1, 0.1, 0.9], 2),  # two unlike rows end it
        ([0.9, 0.1, 0.9, 0.9], 4),  # one scratched row does not
        ([0.1, 0.1, 0.9], 0),
        ([0.9, 0.9, 0.1], 3),
        ([0.9], 1),
    ],
)
def test_a_symbol_ends_where_two_rows_are_unlike_it(likeness: list[float], count: int) -> None:
    assert count_alike_rows(np.array(likeness, np.float32)) == count

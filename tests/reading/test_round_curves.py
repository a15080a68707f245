"""Curves along bent symbols: edges of ideal ones seen by a pinhole camera, and drawn spines (encoded by zint)."""

import numpy as np
import pytest

from intake.reading.bar_edges import edges_of
from intake.reading.decoders import available
from intake.reading.geometry import contains
from intake.reading.profile_fit import Doubles
from intake.reading.read import read
from intake.reading.round_curves import best_curve, fitted
from intake.reading.symbologies import EAN13, bits_of
from tests.reading.hard import hard

NUMBER = "9780306406157"
MODULES = 95


def on_cylinder(u: Doubles, arc: float, turned: float, away: float) -> Doubles:
    """Where a pinhole camera sees places of a symbol on a cylinder, in radii; `away` from its axis, in radii."""
    angle = arc * (2 * u / MODULES - 1) + turned
    return np.asarray((away - 1) * np.sin(angle) / (away - np.cos(angle)))


@pytest.mark.parametrize("arc", [0.6, 0.9])
@pytest.mark.parametrize("turned", [0.0, 0.1])
@pytest.mark.parametrize("away", [4.0, 10.0])
@pytest.mark.parametrize("counted", [52, 57])
def test_a_camera_s_view_of_a_cylinder_is_told_from_the_edges_of_one_end(
    arc: float, turned: float, away: float, counted: int
) -> None:
    modules = edges_of(bits_of([NUMBER], EAN13)[0])
    seen = 500 + 300 * on_cylinder(modules, arc, turned, away)
    curve = fitted(seen[:counted], counted)
    assert curve.off(seen[:counted], counted) < 0.1
    last = np.diff(seen[-2:])[0]
    assert abs(float(curve.at(np.array([95.0]))[0]) - seen[-1]) < 1.5 * last


def test_bars_at_random_lie_on_no_curve() -> None:
    random = np.random.default_rng(3)
    for _ in range(40):
        edges = np.cumsum(random.uniform(3, 20, 60)) + 200
        line = np.where(np.searchsorted(edges, np.arange(1088)) % 2, 100, 0).astype(np.float32)
        assert best_curve(line - line.mean(), 57) is None


@pytest.mark.parametrize("seed", [5016, 5026, 5032])
def test_spines_of_which_the_last_bars_run_together(seed: int) -> None:
    picture = hard("spine", seed)
    (found,) = read(picture.grey, decoders=available())
    assert found.accepted
    assert found.number == picture.printed.number
    assert contains(found.corners, (320.0, 240.0), slack_px=40)

"""The coarse search of a grey profile: its choice of digits against every choice, and where it finds a drawn symbol."""

from itertools import product

import cv2
import numpy as np
import numpy.typing as npt
import pytest
import zint

from intake.reading.profile_fit import DEFOCUS, MOTION, PHASES, SOFTER
from intake.reading.profile_search import best_codes, find_starts
from intake.reading.symbologies import ADD_ON_2, EAN8, EAN13, UPCE, Symbology
from tests.reading.drawing import symbol


@pytest.mark.parametrize("symbology", [ADD_ON_2, UPCE, EAN8, EAN13])
def test_the_best_codes_are_those_of_the_best_allowed_row(symbology: Symbology) -> None:
    random = np.random.default_rng(8)
    slots = len(symbology.slots)
    gains = random.normal(size=(slots, 20, 3)).astype(np.float32)
    codes, sums = best_codes(gains, symbology)
    used = [sorted({int(row[i]) for row in symbology.parities}) for i in range(slots)]
    for place in range(3):
        totals = []
        for row in symbology.parities:
            halves = [used[i].index(int(row[i])) for i in range(slots)]
            totals.append(
                sum(float(gains[i, 10 * half : 10 * half + 10, place].max()) for i, half in enumerate(halves))
            )
        assert sums[place] == pytest.approx(max(totals), rel=1e-5)
        assert sums[place] == pytest.approx(
            sum(float(gains[i, codes[i, place], place]) for i in range(slots)), rel=1e-5
        )


def test_of_two_digits_the_best_of_all_four_hundred_allowed_is_found() -> None:
    gains = np.random.default_rng(9).normal(size=(2, 20, 1)).astype(np.float32)
    _, (best,) = best_codes(gains, ADD_ON_2)
    assert best == pytest.approx(max(float(gains[0, a, 0] + gains[1, b, 0]) for a, b in product(range(20), repeat=2)))


@pytest.mark.parametrize(("module", "at"), [(3.1, 380), (6.4, 240), (8.2, 150)])
def test_a_drawn_symbol_is_among_the_starts(module: float, at: int) -> None:
    row = symbol(zint.Symbology.EANX, "978030640615")[100, 4::8]
    values = np.zeros(1088, np.float32)
    x = (np.arange(1088) - at) / module
    inside = (x >= 0) & (x < 95)
    values[inside] = 255.0 - row[x[inside].astype(int)]
    values = np.asarray(cv2.GaussianBlur(values[None], (0, 0), 0.7 * module)[0], np.float32)
    starts = find_starts(values, EAN13, most=20, narrowest=2.7, widest=9.5)
    assert any(abs(start.at - at) < 1.5 * module and abs(start.module / module - 1) < 0.03 for start in starts)


def test_where_nothing_resembles_a_symbol_there_are_no_starts() -> None:
    ramp = np.linspace(0, 200, 1088).astype(np.float32)
    assert find_starts(ramp, EAN13, most=20, narrowest=2.7, widest=9.5) == []


@pytest.mark.parametrize(("shares", "line", "soft"), [(MOTION, 0.94, 0.34), (DEFOCUS, 0.9, 0.436), (SOFTER, 0.8, 0.6)])
def test_each_kind_of_blur_is_the_transform_of_its_spread(
    shares: npt.NDArray[np.float64], line: float, soft: float
) -> None:
    # Spread along a line of one symbol's width: even for a move, the projection of a disc for a lens, both with a bell.
    x = np.linspace(-12, 12, 48_001)
    if shares is MOTION:
        spread = (np.abs(x) <= np.sqrt(3) * line).astype(float)
    else:
        spread = np.sqrt(np.maximum((2 * line) ** 2 - x**2, 0))
    spread /= spread.sum()
    for phase in (0.3, 0.9, 1.7):
        transformed = float((spread * np.cos(phase * x)).sum()) * np.exp(-0.5 * (soft * phase) ** 2)
        assert float(np.interp(phase, PHASES, shares)) == pytest.approx(transformed, abs=2e-3)

"""Edges laid by an encoder that is not ours (zint), bent as on a book's spine and in perspective, and read back."""

import math

import cv2
import numpy as np
import pytest
import zint
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.reading.bar_edges import LAYOUTS, PLAIN, decode_run, read_edges
from intake.reading.geometry import Floats
from intake.reading.symbol_forms import check_digit
from intake.reading.symbologies import UPCE
from tests.drawn_examples import examples
from tests.reading.drawing import symbol
from tests.reading.test_read import MODULES

PX = 6
"""Samples to a module."""
DRAWN = {
    "ean-13": (zint.Symbology.EANX, "978030640615", "9780306406157"),
    "upc-a": (zint.Symbology.UPCA, "06141411234", "0061414112345"),
    "ean-8": (zint.Symbology.EANX, "9638507", "0000096385074"),
    "upc-e": (zint.Symbology.UPCE, "0123456", "0012345000065"),
}


def modules(symbology: zint.Symbology, text: str) -> str:
    """The modules that zint draws, without the parts that hang lower."""
    row = symbol(symbology, text, scale=PX)[10]
    return "".join("1" if each < 128 else "0" for each in row[PX // 2 :: PX])


def line(bars: str, *, bend: float = 0.0, tilt: float = 0.0, blur: float = 0.3) -> Floats:
    """Draw a line of ink, high where there is ink, with quiet zones of 10 modules.

    Args:
        bars: modules, 1 for ink.
        bend: the angle, in radians, over which half of the symbol is bent round a cylinder.
        tilt: how much nearer its right end is, as a share of the distance.
        blur: in modules.
    """
    half = len(bars) / 2
    reach = half + 10 if tilt == 0 else 1.6 * (half + 10)
    x = np.linspace(-reach, reach, round(2 * reach * PX))  # where it is seen
    near = x / half / (1 + tilt * x / half)
    if bend:
        near = np.arcsin(np.clip(near * math.sin(bend), -0.999, 0.999)) / bend
    at = np.floor(near * half + half).astype(int)
    ink = np.array([int(each) for each in bars + "0"], np.float32)
    drawn = np.where((at >= 0) & (at < len(bars)), ink[np.clip(at, 0, len(bars))], 0)
    return np.asarray(200 * cv2.GaussianBlur(drawn[None].astype(np.float32), (0, 0), blur * PX)[0], np.float32)


@pytest.mark.parametrize("name", DRAWN)
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("negative", [False, True])
@pytest.mark.parametrize("shape", [(0, 0), (0.9, 0), (0, 0.3), (0.6, -0.2)])
def test_each_symbol_flat_and_bent(name: str, turned: bool, negative: bool, shape: tuple[float, float]) -> None:
    symbology, text, number = DRAWN[name]
    values = line(modules(symbology, text), bend=shape[0], tilt=shape[1])
    values = np.ascontiguousarray(values[::-1] if turned else values)
    found = read_edges(200 - values if negative else values)
    assert found is not None
    assert found.number == number
    assert (found.ends[0] > found.ends[1]) is turned


@pytest.mark.parametrize("number", MODULES)
def test_published_modules(number: str) -> None:
    found = read_edges(line(MODULES[number]))
    assert found is not None
    assert found.number == number
    assert found.ends == pytest.approx((10 * PX, 105 * PX), abs=1.5)


@settings(deadline=None)
@given(
    st.text("0123456789", min_size=12, max_size=12),
    st.floats(0, 1.0),
    st.floats(-0.25, 0.25),
    st.floats(0.1, 0.4),
)
def test_any_number_bent_tilted_and_blurred_is_right_or_unread(
    data: str, bend: float, tilt: float, blur: float
) -> None:
    found = read_edges(line(modules(zint.Symbology.EANX, data), bend=bend, tilt=tilt, blur=blur))
    assert found is None or found.number in ("", data + check_digit(data))


@settings(deadline=None, max_examples=examples(300))
@given(st.lists(st.integers(1, 4), min_size=33, max_size=61))
def test_bars_at_random_are_no_number(widths: list[int]) -> None:
    bars = "".join(("10"[i % 2]) * width for i, width in enumerate(widths))
    assert read_edges(line(bars)) is None


@settings(deadline=None, max_examples=examples(300))
@given(st.integers(0, 2**32 - 1), st.sampled_from(sorted(LAYOUTS)))
def test_edges_at_random_are_no_number(seed: int, count: int) -> None:
    edges = np.cumsum(np.random.default_rng(seed).uniform(3, 24, count))
    found = decode_run(edges, LAYOUTS[count])
    assert found is None or found[1] >= (1 if found[2] else PLAIN)


@pytest.mark.parametrize("cut", [46, 50, 51])
def test_the_left_half_of_a_long_symbol_is_not_a_short_one(cut: int) -> None:
    for number, bars in MODULES.items():
        found = read_edges(line(bars[:cut].rstrip("0")))
        assert found is None, number


def test_the_parities_of_a_upc_e_are_those_of_the_standard() -> None:
    # GS1 General Specifications, 5.2.2.4 (zero-suppressed symbols): sets by check digit for number system 0.
    rows = ["BBBAAA", "BBABAA", "BBAABA", "BBAAAB", "BABBAA", "BAABBA", "BAAABB", "BABABA", "BABAAB", "BAABAB"]
    assert ["".join("ABC"[each] for each in row) for row in UPCE.parities] == rows


@pytest.mark.parametrize("bend", [0, 0.8])
def test_digits_whose_check_fails_are_a_spoilt_symbol(bend: float) -> None:
    left, right = MODULES["9780110002224"], MODULES["4006381333931"]  # together 978011033393 and 1, where 9 is right
    found = read_edges(line(left[:50] + right[50:], bend=bend))
    assert found is not None
    assert not found.number


def test_nothing_is_read_from_nothing() -> None:
    for values in (np.zeros(600), np.ones(40), np.linspace(0, 200, 900)):
        assert read_edges(values.astype(np.float32)) is None

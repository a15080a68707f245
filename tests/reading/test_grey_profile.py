"""The profile across the bars: known lines shifted, stretched and spoilt, and symbols drawn by zint."""

import numpy as np
import pytest
import zint

from intake.reading.geometry import Floats
from intake.reading.grey_profile import (
    BAND_PX,
    SIDE,
    Profile,
    alike_run,
    likeness,
    margin_contrast,
    pool_bands,
    pool_by_contrast,
    profile,
    refine_warp,
    to_bands,
    trimmed_mean,
    warp_band,
)
from tests.reading.drawing import Shot, photograph, symbol

RNG = np.random.default_rng(3)


def line(length: int = 400) -> Floats:
    """A smooth line with edges everywhere, without slow changes."""
    noise = np.convolve(RNG.normal(0, 1, length + 20), np.hanning(9), "same")[10:-10]
    return np.asarray(50 * (noise - noise.mean()), np.float32)


def test_bands_are_means_of_rows_in_which_ink_is_high() -> None:
    grey = np.full((4 * BAND_PX + 2, 6), 255, np.uint8)
    grey[BAND_PX : 2 * BAND_PX] = 0
    grey[2 * BAND_PX :, 3] = 128
    bands = to_bands(grey)
    assert bands.shape == (4, 6), "what is left over at the foot makes no band"
    assert bands[0] == pytest.approx(np.zeros(6))
    assert bands[1] == pytest.approx(np.full(6, 255.0))
    assert 0 < bands[2, 3] < 255
    assert bands[2, 2] == 0


def test_a_mean_without_the_lowest_and_the_highest_quarter() -> None:
    rows = np.array([[0.0], [1.0], [2.0], [100.0]], np.float32)
    assert trimmed_mean(rows) == pytest.approx([1.5])
    assert trimmed_mean(rows[:3]) == pytest.approx([1.0])
    assert trimmed_mean(np.concatenate([rows, [[1.0]] * 4])) == pytest.approx([1.0])


@pytest.mark.parametrize("shift", [-3.0, 0.0, 2.5])
@pytest.mark.parametrize("stretch", [-0.004, 0.0, 0.004])
def test_a_band_is_brought_onto_the_others_as_far_as_it_was_moved(shift: float, stretch: float) -> None:
    model = line()
    moved = warp_band(model, shift, stretch)
    found = refine_warp(moved, model, (0.0, 0.0), rounds=8)
    assert found == pytest.approx((shift, stretch), abs=0.3)
    again = warp_band(model, *found)
    inside = np.s_[20:-20]
    assert np.corrcoef(again[inside], moved[inside])[0, 1] > 0.995


def test_a_warp_takes_the_values_from_further_on() -> None:
    ramp = np.arange(10, dtype=np.float32)
    assert warp_band(ramp, 2.0, 0.0)[:7] == pytest.approx(ramp[2:9])
    assert warp_band(ramp, 0.0, 0.5)[:6] == pytest.approx(ramp[:6] * 1.5)


def test_an_even_band_has_no_warp() -> None:
    assert refine_warp(line(), np.zeros(400, np.float32), (1.0, 0.0)) == (1.0, 0.0)


def test_of_the_runs_of_bands_that_look_alike_the_one_of_most_contrast_is_taken() -> None:
    weak, strong, other = line(), line(), line()
    high = np.stack([0.2 * weak] * 5 + [other] + [strong] * 3 + [line()])
    assert alike_run(high) == (6, 9)
    assert alike_run(np.stack([strong] * 4)) == (0, 4)
    # Bands that are shifted by a few samples still look alike.
    assert alike_run(np.stack([np.roll(strong, n) for n in (0, 2, 4, 6)])) == (0, 4)
    first, last = alike_run(np.stack([line(), line(), line()]))
    assert last - first == 1, "no two of them"


def test_pooled_bands_have_no_level_and_forget_a_scratch() -> None:
    model = line()
    bands = np.stack([model + level for level in (0, 50, -20, 10, 5, 90, 30, 60)]).astype(np.float32)
    assert pool_bands(bands) == pytest.approx(model - model.mean(), abs=0.5)
    bands[2, 100:120] = 255
    assert pool_bands(bands)[100:120] == pytest.approx((model - model.mean())[100:120], abs=12)
    glare = np.stack([model, model, model]).astype(np.float32)
    glare[0, 200:300] = 40.0
    kept = pool_by_contrast(glare)
    assert np.corrcoef(kept[200:300], model[200:300])[0, 1] > 0.95


def whole(turned: bool = False) -> Profile:
    values = np.arange(11, dtype=np.float32)
    return Profile(values, np.eye(3), (5.0, 0.0, 0.0), (25.0, 2.0, 0.1), 5, values * 2, 128.0, 1.0, turned)


def test_the_corners_of_a_stretch_follow_the_shift_and_the_stretch_of_its_ends() -> None:
    found = np.array(whole().corners(2, 8))
    assert found == pytest.approx(np.array([(2, 5), (8, 5), (8 + 2 + 0.8, 25), (2 + 2 + 0.2, 25)]))


def test_turned_round_the_same_place_has_the_same_corners_from_its_own_top_left() -> None:
    one = whole()
    other = one.turn()
    assert list(other.values) == list(one.values[::-1])
    assert list(other.clear) == list(one.clear[::-1])
    assert (one.turned, other.turned, other.turn().turned) == (False, True, False)
    a, b, c, d = one.corners(2, 8)
    assert np.array(other.corners(10 - 8, 10 - 2)) == pytest.approx(np.array([c, d, a, b]))


@pytest.mark.parametrize("angle", [0.0, 5.0])
def test_the_profile_of_a_drawn_symbol_is_high_where_its_bars_are(angle: float) -> None:
    bitmap = symbol(zint.Symbology.EANX, "9780306406157")
    grey, truth = photograph(bitmap, Shot(size=(500, 400), module_px=3.0, angle=angle))
    found = profile(grey, tuple((float(x), float(y)) for x, y in truth))
    assert found is not None
    assert found.bands > 2
    # The middle row of the drawing, laid along the profile, in which the region has `SIDE` of its width at each side.
    modules = (bitmap[len(bitmap) // 2, ::8] < 128).astype(float)
    shares = (np.arange(len(modules)) + 0.5) / len(modules)
    at = (SIDE + shares) / (1 + 2 * SIDE) * len(found.values)
    assert np.corrcoef(np.interp(at, np.arange(len(found.values)), found.values), modules)[0, 1] > 0.8


def test_where_nothing_is_printed_there_is_no_profile() -> None:
    noise = np.random.default_rng(1).integers(0, 255, (200, 300)).astype(np.uint8)
    assert profile(noise, ((20.0, 20.0), (280.0, 20.0), (280.0, 180.0), (20.0, 180.0))) is None


def test_paper_beside_bars_is_told_from_texture_that_goes_on() -> None:
    grey, corners = photograph(symbol(zint.Symbology.EANX, "978030640615"), Shot(module_px=2.5, noise=4))
    bars = profile(grey, tuple((float(x), float(y)) for x, y in corners))
    assert bars is not None
    assert margin_contrast(bars, grey) < 0.2
    grain = np.clip(128 + 40 * RNG.normal(0, 1, (1, 640)).repeat(480, axis=0), 0, 255).astype(np.uint8)
    inside = profile(grain, ((200.0, 100.0), (440.0, 100.0), (440.0, 300.0), (200.0, 300.0)))
    across = profile(grain, ((0.0, 100.0), (639.0, 100.0), (639.0, 300.0), (0.0, 300.0)))
    assert inside is not None
    assert across is not None
    assert margin_contrast(inside, grain) > 0.4
    assert margin_contrast(across, grain) > 0.4, "beyond the picture's edge there is no paper that could be seen"


def test_bands_of_bars_are_alike_and_those_of_noise_are_not() -> None:
    random = np.random.default_rng(4)
    bars = np.tile(np.repeat(random.choice([0.0, 200.0], 80), 8), (12, 1))
    noise = random.normal(0, 40, bars.shape)
    for each, bounds in ((bars, (0.99, 1.0)), (bars + noise, (0.85, 0.99)), (noise, (-0.1, 0.5))):
        lined = each.astype(np.float32)
        assert bounds[0] <= likeness(lined, pool_bands(lined)) <= bounds[1] + 1e-6

"""The ways in which a crop is cleaned: what each does to a picture whose levels are known."""

import numpy as np
import pytest

from intake.reading.geometry import Grey
from intake.reading.versions import (
    CLEANINGS,
    FIRST,
    REST,
    WIDTHS_PX,
    Version,
    average_rows,
    level_contrast,
    sharpen,
    shrink_rows,
    stretch_contrast,
)


def bars(low: int, high: int, *, rows: int = 60) -> Grey:
    """Upright bars, ten pixels wide, dark first."""
    return np.asarray(np.tile(np.repeat(np.arange(30) % 2 * (high - low) + low, 10), (rows, 1)), np.uint8)


def shaded() -> Grey:
    """The same bars, the right half in a shadow that leaves a third of the light."""
    grey = bars(60, 210).astype(float)
    grey[:, 150:] /= 3
    return grey.astype(np.uint8)


def contrast(grey: Grey, columns: slice) -> float:
    part = grey[20:40, columns].astype(float)
    return float(part.max() - part.min())


@pytest.mark.parametrize("name", CLEANINGS)
@pytest.mark.parametrize("width", WIDTHS_PX)
def test_every_version_keeps_the_width_and_an_even_picture_even(name: str, width: int) -> None:
    crop = np.full((40, width), 130, np.uint8)
    cleaned = Version(name, width).clean(crop)
    assert cleaned.shape[1] == width
    assert int(cleaned.max()) == int(cleaned.min())


@pytest.mark.parametrize("name", CLEANINGS)
def test_every_version_keeps_dark_bars_dark_and_light_ones_light(name: str) -> None:
    cleaned = Version(name, 300).clean(bars(90, 160)).astype(float)
    middle = cleaned[len(cleaned) // 2]
    dark, light = middle[[25 + 20 * n for n in range(1, 13)]], middle[[15 + 20 * n for n in range(1, 13)]]
    assert dark.shape == light.shape
    assert abs(float(light.mean() - dark.mean())) >= 60
    assert len({bool(value) for value in (light > dark)}) == 1


def test_sharpening_adds_what_a_blur_takes_away() -> None:
    ramp = np.tile(np.linspace(50, 200, 100), (20, 1)).astype(np.uint8)
    assert sharpen(ramp, 2.0, 3.0)[10, 20:80] == pytest.approx(ramp[10, 20:80], abs=3)
    edge = bars(90, 160)
    assert contrast(sharpen(edge, 2.0, 2.0), slice(40, 110)) > contrast(edge, slice(40, 110))
    assert np.array_equal(sharpen(edge, 2.0, 0.0), edge)


def test_contrast_is_stretched_to_black_and_white_on_both_sides_of_a_shadow() -> None:
    clean = stretch_contrast(shaded())
    for columns in (slice(40, 110), slice(200, 260)):
        assert contrast(clean, columns) > 200
        assert contrast(clean, columns) > 1.3 * contrast(shaded(), columns)


def test_levels_are_the_same_on_both_sides_of_a_shadow() -> None:
    clean = level_contrast(shaded(), 61)
    left, right = (clean[20:40, columns].astype(float) for columns in (slice(40, 100), slice(200, 260)))
    assert left.mean() == pytest.approx(128, abs=8)
    assert right.mean() == pytest.approx(128, abs=8)
    assert left.std() == pytest.approx(60, abs=10)
    assert right.std() == pytest.approx(60, abs=10)


def test_rows_are_averaged_along_the_bars_alone() -> None:
    noisy = np.clip(bars(90, 160).astype(float) + np.random.default_rng(2).normal(0, 20, (60, 300)), 0, 255)
    clean = average_rows(noisy.astype(np.uint8), 31)
    assert clean.shape == noisy.shape
    assert np.abs(clean[30].astype(float) - bars(90, 160)[30]).mean() < 6
    assert contrast(average_rows(bars(90, 160), 9), slice(0, 300)) == 70, "the edges stay where they are"


def test_shrunk_rows_keep_the_width_and_some_height() -> None:
    assert shrink_rows(bars(90, 160, rows=80), 4).shape == (20, 300)
    assert shrink_rows(bars(90, 160, rows=20), 4).shape == (12, 300)


def test_every_pair_of_width_and_cleaning_is_tried_once() -> None:
    versions = [*FIRST, *REST]
    assert len(set(versions)) == len(versions)
    assert {(one.cleaning, one.width_px) for one in versions} == {(name, px) for name in CLEANINGS for px in WIDTHS_PX}
    assert len({one.name for one in versions}) == len(versions)

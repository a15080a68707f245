"""Regions that may contain bars: where a drawn symbol (by zint) lies, and where nothing does."""

import math

import numpy as np
import pytest
import zint

from intake.reading.geometry import Grey, centre_of, height_of, width_of
from intake.reading.locate import (
    Region,
    count_edges_across,
    crispness,
    even_contrast,
    has_texture,
    is_same_region,
    locate,
)
from tests.reading.drawing import Shot, photograph, symbol

NUMBER = "9780306406157"


def shown(**how: object) -> tuple[Grey, tuple[tuple[float, float], ...]]:
    shot = Shot(**{"size": (800, 600), **how})  # type: ignore[arg-type] # fields by name
    grey, truth = photograph(symbol(zint.Symbology.EANX, NUMBER), shot)
    return grey, tuple((float(x), float(y)) for x, y in truth)


def direction(corners: tuple[tuple[float, float], ...]) -> float:
    """The angle of the first edge, in degrees, whichever end it begins at."""
    (ax, ay), (bx, by) = corners[:2]
    return math.degrees(math.atan2(by - ay, bx - ax)) % 180


@pytest.mark.parametrize("angle", [0, 15, 45, 90, 120, 170])
@pytest.mark.parametrize("how", [{}, {"faint": True}, {"pale": True}])
def test_a_symbol_is_the_strongest_region_with_its_first_edge_across_the_bars(
    angle: float, how: dict[str, bool]
) -> None:
    grey, truth = shown(angle=angle)
    first = locate(grey, **how)[0]
    size = width_of(truth)
    assert math.dist(centre_of(first.corners), centre_of(truth)) < 0.08 * size
    turned = abs(direction(first.corners) - direction(truth))
    assert min(turned, 180 - turned) < 3
    assert 0.85 * size < width_of(first.corners) < 1.5 * size
    assert 0.6 < height_of(first.corners) / height_of(truth) < 1.35


def test_a_large_picture_is_searched_smaller_and_answered_in_its_own_pixels() -> None:
    grey, truth = shown(size=(2400, 1800), module_px=9.0)
    first = locate(grey)[0]
    assert math.dist(centre_of(first.corners), centre_of(truth)) < 0.05 * width_of(truth)
    assert 0.85 < width_of(first.corners) / width_of(truth) < 1.5


def test_two_symbols_are_two_regions_the_stronger_one_first() -> None:
    near, _ = shown(size=(900, 1200), centre=(450, 330), module_px=4.0)
    bitmap = symbol(zint.Symbology.EANX, "9783161484100")
    both, _ = photograph(bitmap, Shot(size=(900, 1200), centre=(450, 900), module_px=2.5), onto=near)
    regions = locate(both)
    assert [region.strength for region in regions] == sorted((one.strength for one in regions), reverse=True)
    upper, lower = (centre_of(region.corners)[1] for region in regions[:2])
    assert (abs(upper - 330) < 40, abs(lower - 900) < 40) == (True, True)
    assert len(locate(both, most=1)) == 1
    assert locate(both, most=1)[0] == regions[0]


@pytest.mark.parametrize("how", [{}, {"faint": True}, {"pale": True}])
def test_where_nothing_is_printed_nothing_is_found(how: dict[str, bool]) -> None:
    paper = np.full((480, 640), 200, np.uint8)
    noise = np.clip(np.random.default_rng(3).normal(200, 3, (480, 640)), 0, 255).astype(np.uint8)
    assert locate(paper, **how) == ()
    assert locate(noise, **how) == ()
    assert locate(paper[:10], **how) == ()


def test_edges_in_all_directions_are_no_bars() -> None:
    checks = np.kron(np.indices((60, 80)).sum(axis=0) % 2 * 200, np.ones((8, 8))).astype(np.uint8)
    assert locate(checks) == ()


def box(x: float, y: float, width: float, height: float = 50.0) -> Region:
    return Region(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), 1.0)


@pytest.mark.parametrize(
    ("other", "same"),
    [
        (box(0, 0, 100), True),
        (box(20, 5, 100), True),
        (box(0, 0, 130), True),
        (box(0, 0, 150), False),  # half as wide again
        (box(0, 0, 65), False),
        (box(80, 0, 100), False),  # beside it
        (box(0, 60, 100), False),
    ],
)
def test_regions_are_the_same_where_each_holds_the_middle_of_the_other(other: Region, same: bool) -> None:
    assert is_same_region(box(0, 0, 100), other) is same
    assert is_same_region(other, box(0, 0, 100)) is same


def test_contrast_is_evened_out_and_plain_paper_stays_plain() -> None:
    grey = np.full((240, 240), 128.0)
    grey[:, :120] += np.where(np.arange(120) // 4 % 2, 60, -60)
    grey[:, 120:] += np.where(np.arange(120) // 4 % 2, 15, -15)
    even = even_contrast(grey.astype(np.uint8)).astype(float)
    strong, weak = even[:, 20:100].std(), even[:, 140:220].std()
    assert weak / strong > 0.7
    assert even.mean() == pytest.approx(128, abs=4)
    assert even_contrast(np.full((240, 240), 77, np.uint8)) == pytest.approx(128)


def test_a_sharp_symbol_is_crisper_than_a_blurred_one() -> None:
    values = [crispness(*shown(blur_px=blur, noise=0.0)) for blur in (0.3, 1.0, 2.0, 4.0)]
    assert 1 >= values[0] > values[1] > max(values[2:]) > 0
    half_black = np.tile(np.repeat([0, 255] * 30, 10), (60, 1)).astype(np.uint8)
    whole = ((0.0, 0.0), (599.0, 0.0), (599.0, 59.0), (0.0, 59.0))
    assert crispness(half_black, whole) > 0.9


def test_the_edges_across_a_symbol_are_counted() -> None:
    grey, truth = shown()
    assert 40 <= count_edges_across(grey, truth) <= 60, "an EAN-13 has 60"
    page = np.full((100, 400), 40, np.uint8)
    page[:, 200:] = 220
    assert count_edges_across(page, ((0.0, 0.0), (399.0, 0.0), (399.0, 99.0), (0.0, 99.0))) <= 3
    eight = np.tile(np.repeat([0, 255] * 4, 50), (100, 1)).astype(np.uint8)
    assert count_edges_across(eight, ((0.0, 0.0), (399.0, 0.0), (399.0, 99.0), (0.0, 99.0))) == 7


def test_paper_with_noise_on_a_desk_has_no_texture_and_a_label_of_any_kind_has() -> None:
    random = np.random.default_rng(3)
    desk = np.full((480, 640), 120.0)
    desk[60:420, 90:560] = 230
    assert not has_texture(np.clip(desk + random.normal(0, 6, desk.shape), 0, 255).astype(np.uint8))
    cells = np.kron(random.integers(0, 2, (21, 21)) * 150 + 60, np.ones((4, 4)))
    desk[200:284, 300:384] = cells
    assert has_texture(np.clip(desk + random.normal(0, 6, desk.shape), 0, 255).astype(np.uint8))


def test_the_edge_of_a_page_is_no_region() -> None:
    page = np.full((480, 640), 60, np.uint8)
    page[:, 300:] = 220
    assert locate(page) == ()

"""Where print may stand: drawn text is never missed, and plain paper, noise and even stripes are told from it."""

import cv2
import numpy as np
import pytest

from intake.reading.geometry import Grey
from intake.reading.letters import may_show_print

SIZES = (0.35, 0.6, 1.0, 1.8)


def paper(ink: int = 60, noise: float = 0.0) -> Grey:
    """Draw one line of digits in each of several sizes."""
    drawn: Grey = np.full((480, 640), 210, np.uint8)
    for nth, size in enumerate(SIZES):
        cv2.putText(drawn, "9 780306 406157", (30, 90 + 90 * nth), cv2.FONT_HERSHEY_SIMPLEX, size, ink, 1 + nth // 2)
    return noisy(drawn, noise)


def noisy(grey: Grey, noise: float) -> Grey:
    levels = grey + np.random.default_rng(4).normal(0, noise, grey.shape)
    return np.asarray(np.clip(np.rint(levels), 0, 255), np.uint8)


@pytest.mark.parametrize("quarters", [0, 1, 2])
@pytest.mark.parametrize(("ink", "noise"), [(60, 0.0), (60, 6.0), (150, 2.0)])
def test_print_is_found_whichever_way_it_runs(ink: int, noise: float, quarters: int) -> None:
    page = np.ascontiguousarray(np.rot90(paper(ink, noise), quarters))
    assert may_show_print(page)
    assert may_show_print(np.asarray(255 - page, np.uint8))


def test_print_is_found_in_a_large_picture() -> None:
    assert may_show_print(np.asarray(cv2.resize(paper(), None, fx=4, fy=4), np.uint8))


@pytest.mark.parametrize("noise", [0.0, 3.0, 9.0])
def test_there_is_none_on_plain_paper(noise: float) -> None:
    assert not may_show_print(noisy(np.full((480, 640), 210, np.uint8), noise))


@pytest.mark.parametrize("period", [4, 9, 30])
def test_there_is_none_in_stripes(period: int) -> None:
    stripes = np.where(np.arange(640) % period < period // 2, 60, 200).astype(np.uint8)
    assert not may_show_print(np.tile(stripes, (480, 1)))


@pytest.mark.parametrize("shape", [(1, 1), (3, 500), (500, 2)])
def test_pictures_of_odd_shapes_have_none(shape: tuple[int, int]) -> None:
    assert not may_show_print(np.zeros(shape, np.uint8))

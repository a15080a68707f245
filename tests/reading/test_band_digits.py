"""Symbols drawn by zint under folds that spoil every row somewhere else, and what must not be made of bars."""

import cv2
import numpy as np
import pytest
import zint

from intake.model.readings import Point
from intake.reading.band_digits import HIDDEN_ERROR, LEAST_ERROR, read_bands
from intake.reading.geometry import Grey
from tests.reading.drawing import symbol

NUMBER = "9780306406157"
PX = 4
"""Pixels to a module."""
DIGIT = (3 + 8 * 7 + 5) * PX
"""Where a digit of the right half begins; its first edge ends the digit before it."""


def picture(text: str = NUMBER[:12], symbology: zint.Symbology = zint.Symbology.EANX) -> tuple[Grey, tuple[Point, ...]]:
    """Draw a symbol on paper; return it with the corners of its bars."""
    bars = symbol(symbology, text, scale=PX)[: 50 * PX]
    grey = np.asarray(np.pad(bars, 20 * PX, constant_values=255) // 8 * 7 + 20, np.uint8)
    left, top, right, low = 20 * PX, 20 * PX, 20 * PX + bars.shape[1], 20 * PX + len(bars)
    return grey, ((left, top), (right, top), (right, low), (left, low))


def folded(grey: Grey) -> Grey:
    """Shift and shine: two folds run aslant across the bars, so that each row is spoilt at other digits."""
    y, x = np.mgrid[: grey.shape[0], : grey.shape[1]].astype(np.float32)
    push, shine = np.zeros_like(x), np.zeros_like(x)
    for place, slant in ((0.2, 0.8), (0.75, -0.9)):
        off = (x - place * grey.shape[1] - slant * (y - grey.shape[0] / 2)) / (2.5 * PX)
        push += 1.1 * PX * np.exp(-0.5 * off**2)
        shine += 200 * np.exp(-0.5 * (2 * off) ** 2)
    moved = cv2.remap(grey, x + push, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(np.clip(moved + shine, 0, 255), np.uint8)


@pytest.mark.parametrize("turned", [False, True])
def test_digits_are_read_in_the_bands_where_folds_leave_them(turned: bool) -> None:
    grey, corners = picture()
    spoilt = folded(grey)
    if turned:
        spoilt = np.ascontiguousarray(spoilt[::-1, ::-1])
    found = read_bands(spoilt, corners)
    assert found is not None
    assert found.numbers == (NUMBER,)
    assert found.error == LEAST_ERROR
    own = corners[2:] + corners[:2] if turned else corners
    assert np.abs(np.array(found.corners) - np.array(own)).max() < 5 * PX


def test_a_number_with_one_hidden_digit_is_a_question_and_with_two_is_none() -> None:
    grey, corners = picture()
    left = int(corners[0][0])
    grey[:, left + DIGIT + PX : left + DIGIT + 7 * PX - 1] = 255
    found = read_bands(grey, corners)
    assert found is not None
    assert (found.numbers, found.error) == ((NUMBER,), HIDDEN_ERROR)
    grey[:, left + DIGIT + PX : left + DIGIT + 14 * PX - 1] = 255
    assert read_bands(grey, corners) is None


def test_no_number_is_made_of_a_wrong_check_digit_or_of_other_bars() -> None:
    grey, corners = picture()
    other, _ = picture("978030640614")  # its last digit is another
    left = int(corners[0][0])
    joined = grey.copy()
    joined[:, left + 85 * PX :] = other[:, left + 85 * PX :]
    assert read_bands(joined, corners) is None
    apart = np.insert(grey, [left + 47 * PX] * PX, grey[:, left + 47 * PX : left + 47 * PX + 1], axis=1)
    assert read_bands(apart, corners) is None, "halves of two symbols, a module apart"
    assert read_bands(*picture("LANTERN 204", zint.Symbology.CODE128)) is None
    assert read_bands(np.full_like(grey, 200), corners) is None

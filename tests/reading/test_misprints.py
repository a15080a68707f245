"""Symbols printed with a wrong check digit: a question with the digits of the bars, never a number made of them."""

import numpy as np
import pytest
import zint

from intake.model.readings import Reading
from intake.reading.calibration import MISPRINTED, judge
from intake.reading.decoders import available
from intake.reading.read import read
from intake.reading.symbol_forms import check_digit, is_ean
from tests.reading.drawing import Grey, Shot, photograph, symbol
from tests.reading.lures import lure
from tests.reading.test_calibration import ONE, TWO, candidate

SCALE = 8
LAST = 85 * SCALE
"""Where the last digit of an EAN-13 begins: 3 + 42 + 5 + 35 modules (GS1 General Specifications, 5.2.2.1)."""


def misprinted(data: str, wrong: str) -> Grey:
    """Put the bars of another last digit, from a symbol that has it, in place of the right check digit."""
    donor = next(each for each in range(10**11, 10**11 + 200) if check_digit(str(each)) == wrong)
    drawn, other = (symbol(zint.Symbology.EANX, text, scale=SCALE) for text in (data, str(donor)))
    return np.concatenate([drawn[:, :LAST], other[:, LAST:]], axis=1)


def shown(data: str, wrong: str, blur: float) -> tuple[Reading, ...]:
    grey, _ = photograph(misprinted(data, wrong), Shot(module_px=2.4, blur_px=2.4 * blur, angle=4))
    return read(grey, decoders=available())


@pytest.mark.parametrize("blur", [0.2, 0.6, 0.9])
@pytest.mark.parametrize("data", ["978030640615", "978316148410"])
def test_a_misprinted_symbol_is_a_question(data: str, blur: float) -> None:
    wrong = str((int(check_digit(data)) + 4) % 10)
    readings = shown(data, wrong, blur)
    assert not any(reading.accepted for reading in readings)
    assert data + wrong in {number for reading in readings for number in (reading.number, *reading.candidates)}
    assert not is_ean(data + wrong)


@pytest.mark.parametrize("seed", [30119, 30143])
def test_what_decoders_or_edges_make_of_a_misprint_is_not_accepted(seed: int) -> None:
    # Of 2,080 pictures made to mislead the two of which a number was accepted: both decoders agreed on one, and from
    # the edges of the other came digits with a right check digit.
    assert not any(reading.accepted for reading in read(lure("misprint", seed).grey, decoders=available()))


def test_digits_of_a_wrong_check_digit_count_against_a_number() -> None:
    # Their prior is a ninth of MISPRINTED, their likelihood (0.05 / 0.06)^36 of the number's.
    misprint = candidate("9780306406158", 0.06, valid=False)
    found = judge([candidate(ONE, 0.05), misprint], None)
    assert found is not None
    assert found.error == pytest.approx(MISPRINTED / 9 * (0.05 / 0.06) ** 36)
    assert [each.number for each in found.candidates] == [ONE]
    assert found.misprint is None
    # Likelier than every number by far: (0.06 / 0.03)^36 is more than 9 / MISPRINTED a hundred times over.
    sure = judge([candidate(ONE, 0.06), candidate(TWO, 0.07), candidate("9780306406158", 0.03, valid=False)], None)
    assert sure is not None
    assert sure.misprint is not None
    assert (sure.misprint.number, sure.error) == ("9780306406158", 1.0)
    doubtful = judge([candidate(ONE, 0.06), candidate("9780306406158", 0.046, valid=False)], None)
    assert doubtful is not None
    assert (doubtful.misprint, doubtful.error) == (None, 1.0)

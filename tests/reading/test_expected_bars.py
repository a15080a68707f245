"""Bars compared with the number printed below them: symbols of an encoder that is not ours (zint), pale and blurred."""

from dataclasses import replace

import numpy as np
import pytest
import zint

from intake.model.readings import Point
from intake.reading.decoders import available
from intake.reading.expected_bars import bars_of_print
from intake.reading.fuse import fuse
from intake.reading.geometry import Grey
from intake.reading.printed import PrintedNumber
from intake.reading.printed_evidence import with_printed
from intake.reading.read import read
from intake.reading.symbol_forms import check_digit
from tests.reading.drawing import Shot, photograph, symbol

FERNS = "9780306406157"
BELOW: tuple[Point, ...] = ((70.0, 168.0), (250.0, 168.0), (250.0, 180.0), (70.0, 180.0))


def pale(number: str, *, blur_px: float = 2.6, noise: float = 6.0, angle: float = 3.0) -> Grey:
    """Photograph bars that are hardly darker than their paper."""
    shot = Shot(
        size=(320, 240), module_px=2.0, angle=angle, blur_px=blur_px, noise=noise, ink=150, paper=205, ground=205
    )
    return photograph(symbol(zint.Symbology.EANX, number[:12]), shot)[0]


def below(number: str) -> PrintedNumber:
    return PrintedNumber(number, "bars", corners=BELOW)


def neighbours(number: str) -> list[str]:
    """Numbers that differ in one digit and the check digit: those that text recognition confuses most easily."""
    changed = [number[:i] + str((int(number[i]) + 3) % 10) + number[i + 1 : 12] for i in (3, 6, 11)]
    return [data + check_digit(data) for data in changed]


@pytest.mark.parametrize("angle", [3.0, 183.0])
def test_print_and_faint_bars_together_are_proof(angle: float) -> None:
    picture = pale(FERNS, angle=angle)
    evidence = bars_of_print(picture, below(FERNS))
    assert evidence is not None
    assert evidence.numbers[0] == FERNS
    assert evidence.error < 0.01
    # Bars sure to 1 in 100 only would do, beside a number as printed.
    for error in (evidence.error, 0.009):
        (reading,) = with_printed(fuse((), [replace(evidence, error=error)]), [below(FERNS)])
        assert (reading.number, reading.accepted) == (FERNS, True)


@pytest.mark.parametrize("other", neighbours(FERNS))
def test_bars_do_not_confirm_a_number_that_was_misread(other: str) -> None:
    assert bars_of_print(pale(FERNS), below(other)) is None


def test_what_is_no_symbol_confirms_nothing() -> None:
    random = np.random.default_rng(5)
    stripes = np.repeat(random.choice([150, 205], 80), 4).astype(np.float64)
    texture = np.clip(np.tile(stripes, (240, 1)) + random.normal(0, 4, (240, 320)), 0, 255).astype(np.uint8)
    assert bars_of_print(texture, below(FERNS)) is None
    assert bars_of_print(np.full((240, 320), 200, np.uint8), below(FERNS)) is None


def test_such_bars_need_the_print() -> None:
    assert not any(reading.accepted for reading in read(pale(FERNS, blur_px=3.6), decoders=available()))

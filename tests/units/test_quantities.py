"""Quantities as people write them. The pound and the inch: international yard and pound agreement, 1959."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.errors import UsageError
from intake.units.quantities import parse_length_mm, parse_mass_g, parse_size_mm


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1 lb", 453.59237),
        ("16 oz", 453.59237),
        ("2 lb 8 oz", 1133.980925),
        ("12,5 kg", 12_500),
        ("12.5kg", 12_500),
        ("950 G", 950),
        ("3 kg 250 g", 3250),
    ],
)
def test_masses(text: str, grams: float) -> None:
    assert parse_mass_g(text) == pytest.approx(grams)


@pytest.mark.parametrize(("text", "mm"), [("1 in", 25.4), ('12"', 304.8), ("0.5 m", 500), ("31,5 cm", 315)])
def test_lengths(text: str, mm: float) -> None:
    assert parse_length_mm(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["42 x 33 x 31 cm", "420mm × 33 cm × 310 mm", "42 by 33 by 31 cm", "42*33*31cm"])
def test_sizes(text: str) -> None:
    assert parse_size_mm(text) == pytest.approx((420, 330, 310))


def test_two_tonnes_and_twenty_metres_are_the_most() -> None:
    assert parse_mass_g("2000 kg") == 2_000_000
    assert parse_length_mm("20 m") == 20_000
    for parse, text in ((parse_mass_g, "2000.001 kg"), (parse_length_mm, "20.001 m")):
        with pytest.raises(UsageError):
            parse(text)


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("40 cm x 300 mm x 12 in", (400, 300, 304.8)),
        ("0.4 x 0.3 x 0.2 m", (400, 300, 200)),
        ("40 cm x 30 x 20 mm", (400, 30, 20)),
    ],
)
def test_a_side_with_a_unit_of_its_own_keeps_it(text: str, sides: tuple[float, ...]) -> None:
    assert parse_size_mm(text) == pytest.approx(sides)


@pytest.mark.parametrize("text", ["3 kg 2 cm", "4 cm 3 mm", "12", "1,250 mm", "3 kg", "1 2 mm"])
def test_a_length_that_cannot_be_meant_is_refused(text: str) -> None:
    with pytest.raises(UsageError):
        parse_length_mm(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("12.5", "no unit"),
        ("-3 kg", "not greater than zero"),
        ("0 g", "not greater than zero"),
        ("5000 kg", "too large"),
        ("1,250 g", "ambiguous"),
        ("3 stone", "unknown unit"),
        ("2 lb 3 kg", "mixes"),
        ("8 oz 2 lb", "mixes"),
        ("heavy", "not a number"),
        ("", "not a number"),
        ("3 kg and a bit", "not"),
    ],
)
def test_a_mass_that_cannot_be_meant_is_refused_with_its_reason(text: str, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        parse_mass_g(text)


@pytest.mark.parametrize("text", ["42 x 33 cm", "42 x 33 x 31", "40 m x 1 m x 1 m", "4 kg x 3 x 2 cm"])
def test_a_size_that_cannot_be_meant_is_refused(text: str) -> None:
    with pytest.raises(UsageError):
        parse_size_mm(text)


@given(st.floats(0.001, 1999))
def test_a_mass_written_out_comes_back(kilograms: float) -> None:
    assert parse_mass_g(f"{kilograms:.6f} kg") == pytest.approx(1000 * kilograms, abs=0.001)
    assert parse_mass_g(f"{kilograms / 0.45359237:.6f} lb") == pytest.approx(1000 * kilograms, abs=0.001)

"""Conversions against the definitions: international yard and pound agreement (1959), and the point of 1/72 inch."""

from decimal import Decimal

import pytest

from intake.units import convert


def test_inch_point_pound_and_ounce() -> None:
    assert (convert.MM_PER_INCH, convert.PT_PER_INCH, convert.MM_PER_CM) == (25.4, 72, 10)
    assert (convert.G_PER_LB, convert.G_PER_KG, convert.MM3_PER_M3) == (453.59237, 1000, 10**9)
    assert pytest.approx(453.59237 / 16) == convert.G_PER_OZ


def test_from_one_unit_to_another() -> None:
    # A4 is 210 x 297 mm: 595.28 x 841.89 pt; at 300 dots per inch 2480.3 px wide.
    assert convert.mm_to_pt(210) == pytest.approx(595.28, abs=0.005)
    assert convert.mm_to_pt(297) == pytest.approx(841.89, abs=0.005)
    assert convert.pt_to_mm(841.89) == pytest.approx(297, abs=0.005)
    assert convert.mm_to_px(210, 300) == pytest.approx(2480.3, abs=0.05)
    assert convert.mm_to_m(1500) == 1.5
    assert convert.kg_text(16_254) == "16.25 kg"


@pytest.mark.parametrize(
    ("grams", "shown"),
    [(6175, "6.18"), (905, "0.91"), (1555, "1.56"), (3385, "3.39"), (35, "0.04"), (6174, "6.17"), (0.1 + 0.2, "0.00")],
)
def test_a_mass_is_rounded_in_decimal_figures_a_half_away_from_zero(grams: float, shown: str) -> None:
    """Worked by hand; binary fractions would make 6.17, 0.91, 1.55, 3.38 and 0.04 of the first five."""
    assert convert.kg_text(grams) == f"{shown} kg"
    assert convert.rounded_mass(grams) == Decimal(shown)


def test_a_table_and_a_line_that_is_added_up_round_to_the_gram_alike() -> None:
    assert convert.kilograms(1234.5) == Decimal("1.235")
    assert convert.exact_kg_text(1234.5) == "1.235 kg"
    assert convert.kilograms(None) is None

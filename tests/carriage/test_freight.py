"""Volumetric mass against carriers' published examples, and freight tonnes."""

import pytest

from intake.carriage.freight import COURIER_DIVISOR, chargeable_g, freight_tonnes, volumetric_g


@pytest.mark.parametrize(
    ("size_mm", "gross_kg", "charged_kg"),
    [((300, 450, 650), 14, 14.625), ((500, 500, 500), 80, 80), ((410, 510, 610), 20, 21.26)],
)
def test_published_examples_by_air(size_mm: tuple[float, float, float], gross_kg: float, charged_kg: float) -> None:
    assert chargeable_g(1000 * gross_kg, size_mm) == pytest.approx(1000 * charged_kg, abs=5)


def test_rounding_divisor_and_several_boxes() -> None:
    assert chargeable_g(14_000, (300, 450, 650), step_g=500) == 15_000
    assert volumetric_g((300, 450, 650), COURIER_DIVISOR) == pytest.approx(17_550)
    # Eight boxes of 60 x 40 x 20 cm with 45 kg in all are charged as 64 kg.
    assert 8 * volumetric_g((600, 400, 200)) == pytest.approx(64_000)
    assert chargeable_g(15_000, (10, 10, 10), step_g=500) == 15_000


def test_freight_tonnes_are_the_larger_of_measure_and_weight() -> None:
    assert freight_tonnes([(20_000, (450, 350, 330))] * 12) == pytest.approx(0.6237, abs=1e-4)
    assert freight_tonnes([(900_000, (500, 500, 500))] * 2) == pytest.approx(1.8)

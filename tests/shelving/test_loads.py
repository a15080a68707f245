"""Loads and sag against published figures.

Sag: the beam formula with the Wood Handbook's moduli, worked in inches and in millimetres. Loads: the psf values of US
codes and their metric equivalents; the state test of full library stacks that found 25 lb a running foot and 200 psf
under stacks of 14 shelves.
"""

import pytest

from intake.model.places import Place, PlaceKind
from intake.shelving.loads import LIVE_LOADS_KPA, PA_PER_PSF, bookcase_load, modulus_gpa, sag_mm, shelf_load
from tests.shelving.making import book

LB_G, INCH = 453.59237, 25.4
"""International pound and inch (1959)."""


@pytest.mark.parametrize(
    ("material", "modulus_gpa", "sag"), [("particleboard", 2.76, 4.87), ("mdf", 3.59, 3.75), ("oak", 12.27, 1.10)]
)
def test_sag_of_the_metric_worked_example(material: str, modulus_gpa: float, sag: float) -> None:
    found = sag_mm(25_000, span_mm=800, depth_mm=250, board_mm=18, modulus_gpa=modulus_gpa)
    assert found == pytest.approx(sag, abs=0.005)


@pytest.mark.parametrize(("psi", "sag_inch"), [(0.50e6, 0.259), (0.52e6, 0.249), (1.78e6, 0.0728)])
def test_sag_of_the_worked_example_in_inches(psi: float, sag_inch: float) -> None:
    # 36 x 10 x 3/4 in, 25 lb a foot; 1 psi = 6894.757 Pa.
    found = sag_mm(
        75 * LB_G, span_mm=36 * INCH, depth_mm=10 * INCH, board_mm=0.75 * INCH, modulus_gpa=psi * 6894.757e-9
    )
    assert found / INCH == pytest.approx(sag_inch, rel=0.01)


@pytest.mark.parametrize(("psf", "kpa"), [(30, 1.44), (40, 1.92), (60, 2.87), (80, 3.83), (150, 7.18), (300, 14.36)])
def test_psf_in_kilopascals(psf: float, kpa: float) -> None:
    assert psf * PA_PER_PSF / 1000 == pytest.approx(kpa, abs=0.005)


def test_live_loads() -> None:
    assert [round(load, 2) for _, load in LIVE_LOADS_KPA] == [1.92, 2.87, 7.18]


SHELF = Place(
    number="S3-81",
    kind=PlaceKind.SHELF,
    name="1",
    width_mm=800,
    depth_mm=250,
    board_mm=18,
    material="Particleboard, white",
)


def test_a_soft_board_is_cautioned_and_the_estimated_are_counted() -> None:
    books = [book(str(n), mass_g=1250, estimated=("mass",) if n < 3 else ()) for n in range(20)]
    load = shelf_load(SHELF, books)
    assert (load.mass_g, load.estimated) == (25_000, 3)
    assert load.sag_mm == pytest.approx(4.87, abs=0.005)
    assert load.late_sag_mm == pytest.approx(1.5 * 4.87, abs=0.01)
    assert len(load.cautions) == 1
    assert "7.3 mm" in load.cautions[0]


def test_a_board_that_nobody_described_gets_no_figure() -> None:
    bare = Place(number="S3-81", kind=PlaceKind.SHELF, name="1", width_mm=800)
    load = shelf_load(bare, [book("a")])
    assert (load.sag_mm, load.late_sag_mm, load.cautions) == (None, None, ())
    assert modulus_gpa("") is None


def test_more_than_the_maker_allows() -> None:
    rated = Place(number="S3-81", kind=PlaceKind.SHELF, name="1", width_mm=800, rated_g=20_000)
    (caution,) = shelf_load(rated, [book(str(n), mass_g=1000) for n in range(21)]).cautions
    assert "21.00 kg" in caution
    assert "20.00 kg" in caution


def test_full_stacks_weigh_what_was_measured() -> None:
    # 14 shelves of 3 ft at 25 lb a foot on 3 x 1.75 ft: 200 psf.
    case = Place(number="S2-82", kind=PlaceKind.BOOKCASE, name="A", width_mm=36 * INCH, depth_mm=21 * INCH)
    shelves = [shelf_load(SHELF, [book("a", mass_g=75 * LB_G)]) for _ in range(14)]
    load = bookcase_load(case, shelves)
    assert load.pressure_kpa == pytest.approx(200 * PA_PER_PSF / 1000, rel=1e-6)
    assert "book stacks (7.18 kPa)" in load.cautions[0]
    assert bookcase_load(Place(number="S2-82", kind=PlaceKind.BOOKCASE, name="A"), shelves).pressure_kpa is None

"""Loads and sag against published figures.

Sag: the beam formula worked in inches and in millimetres, and the longest shelves of the Architectural Woodwork
Standards; creep by EN 1995-1-1. Loads: the psf values of US codes and their metric equivalents, EN 1991-1-1; the state
test of full library stacks that found 25 lb a running foot and 200 psf under stacks of 14 shelves.
"""

from dataclasses import replace
from typing import Any

import pytest

from intake.model.places import Place, PlaceKind
from intake.shelving.excess import Excess, ShelfLimit
from intake.shelving.loads import (
    FLOOR_LOADS,
    PA_PER_PSF,
    STRIP_MM,
    SagUnknown,
    bookcase_load,
    exceeded_by,
    load_limit_g,
    sag_mm,
    shelf_load,
)
from tests.shelving.making import book

LB_G, INCH = 453.59237, 25.4
"""International pound and inch (1959)."""


@pytest.mark.parametrize(("modulus_gpa", "sag"), [(2.76, 4.87), (3.59, 3.75), (12.27, 1.10)])
def test_sag_of_the_metric_worked_example(modulus_gpa: float, sag: float) -> None:
    # 800 x 250 x 18 mm and 25 kg, worked by hand: I = 121,500 mm4, w = .30646 N/mm.
    found = sag_mm(25_000, span_mm=800, depth_mm=250, board_mm=18, modulus_gpa=modulus_gpa)
    assert found == pytest.approx(sag, abs=0.005)


@pytest.mark.parametrize(("psi", "sag_inch"), [(0.50e6, 0.259), (0.52e6, 0.249), (1.78e6, 0.0728)])
def test_sag_of_the_worked_example_in_inches(psi: float, sag_inch: float) -> None:
    # 36 x 10 x 3/4 in, 25 lb a foot; 1 psi = 6894.757 Pa.
    found = sag_mm(
        75 * LB_G, span_mm=36 * INCH, depth_mm=10 * INCH, board_mm=0.75 * INCH, modulus_gpa=psi * 6894.757e-9
    )
    assert found / INCH == pytest.approx(sag_inch, rel=0.01)


AWS = [
    ("Douglas-fir plywood", 0.95e6, 0.75, 40, 37),
    ("Douglas-fir plywood", 0.95e6, 1.00, 53, 49),
    ("hardwood-faced plywood", 1.80e6, 0.75, 49, 46),
    ("hardwood-faced plywood", 1.80e6, 1.00, 66, 61),
    ("red oak", 1.82e6, 0.75, 49, 46),
    ("red oak", 1.82e6, 1.00, 66, 61),
]
"""Architectural Woodwork Standards, edition 1 (2009), page 279, seen in a copy: material, modulus of elasticity in psi,
thickness in inches, longest shelf in inches at 40 and at 50 lb a square foot; every row."""


@pytest.mark.parametrize(("row", "psf"), [(row, psf) for row in AWS for psf in (40, 50)])
def test_the_longest_shelves_of_the_architectural_woodwork_standards(
    row: tuple[str, float, float, float, float], psf: int
) -> None:
    # The table prints no deflection; each row comes out between a 144th and a 151st of the span.
    _, psi, board_inch, *longest = row
    span_inch = longest[psf == 50]
    found = sag_mm(
        psf * span_inch * 12 / 144 * LB_G, span_mm=span_inch * INCH, depth_mm=12 * INCH, board_mm=board_inch * INCH,
        modulus_gpa=psi * 6894.757e-9,
    )  # fmt: skip
    assert 1 / 151 < found / (span_inch * INCH) < 1 / 143


FINAL = [
    ("particleboard", 10.09, 32.8),
    ("MDF", 7.34, 23.8),
    ("C24", 1.47, 2.35),
    ("plywood", 2.32, 4.17),
]
"""A shelf of 800 x 250 x 18 mm under 30 kg, worked by hand: moduli 1600 (EN 312, P2, seen in a copy), 2200 (EN 622-5,
from memory), 11,000 (EN 338, seen in a copy) and 6960 N/mm2 (Wood Handbook, table 12-1); k_def 2.25, 2.25, 0.60 and
0.80 (EN 1995-1-1, table 3.2, service class 1, seen in a copy; for P2 that of P4 is assumed)."""


@pytest.mark.parametrize(("material", "at_once", "finally_mm"), FINAL)
def test_sag_at_once_and_after_years_by_material(material: str, at_once: float, finally_mm: float) -> None:
    load = shelf_load(replace(SHELF, material=material), [book("a", mass_g=30_000)])
    assert load.sag_mm == pytest.approx(at_once, abs=0.006)
    assert load.late_sag_mm == pytest.approx(finally_mm, abs=0.06)


@pytest.mark.parametrize(("psf", "kpa"), [(30, 1.44), (40, 1.92), (60, 2.87), (80, 3.83), (150, 7.18), (300, 14.36)])
def test_psf_in_kilopascals(psf: float, kpa: float) -> None:
    assert psf * PA_PER_PSF / 1000 == pytest.approx(kpa, abs=0.005)


def test_floor_loads_name_their_codes() -> None:
    # IBC 2021, table 1607.1: dwellings 40 psf (seen in a copy); reading rooms 60, stack rooms 150 psf (in a copy of
    # that of 2000). EN 1991-1-1, table 6.4, E1: 7.5 kN/m2 (seen in a copy); table 6.2, A: 1.5 to 2.0, from memory.
    ibc, ec1 = "IBC 2021, table 1607.1", "EN 1991-1-1, table 6."
    found = [(floor.use, round(floor.least_kpa, 2), floor.code) for floor in FLOOR_LOADS]
    assert found == [
        ("dwellings", 1.5, f"{ec1}2, from memory"), ("dwellings", 1.92, ibc), ("library reading rooms", 2.87, ibc),
        ("library stack rooms", 7.18, ibc), ("stores of books", 7.5, f"{ec1}4"),
    ]  # fmt: skip
    assert FLOOR_LOADS[0].most_kpa == 2.0
    assert all(floor.most_kpa == floor.least_kpa for floor in FLOOR_LOADS[1:])
    assert [floor.use for floor in exceeded_by(1.92)] == ["dwellings", "dwellings"]
    assert exceeded_by(1.5) == ()


SHELF = Place(
    number="S3-81",
    kind=PlaceKind.SHELF,
    name="1",
    width_mm=800,
    depth_mm=250,
    board_mm=18,
    material="Particleboard, white",
)


def test_a_soft_board_will_show_and_the_estimated_are_counted() -> None:
    books = [book(str(n), mass_g=1250, estimated=("mass",) if n < 3 else ()) for n in range(20)]
    load = shelf_load(SHELF, books)
    assert (load.mass_g, load.estimated) == (25_000, 3)
    assert load.sag_mm == pytest.approx(4.87 * 2.76 / 1.6, abs=0.01)
    assert load.late_sag_mm == pytest.approx(3.25 * 4.87 * 2.76 / 1.6, abs=0.03)
    assert (load.will_show, load.beyond_woodwork) == (True, True)


UNKNOWN = [
    ({"material": ""}, SagUnknown.NO_MATERIAL),
    ({"material": "glass"}, SagUnknown.NOT_IN_TABLE),
    ({"material": "oak veneer"}, SagUnknown.NOT_IN_TABLE),
    ({"board_mm": 40}, SagUnknown.TOO_THICK),
    ({"board_mm": None}, SagUnknown.NO_SIZE),
    ({"depth_mm": None}, SagUnknown.NO_SIZE),
    ({"width_mm": None}, SagUnknown.NO_SIZE),
]


@pytest.mark.parametrize(("missing", "why"), UNKNOWN)
def test_why_a_sag_is_not_known(missing: dict[str, Any], why: SagUnknown) -> None:
    load = shelf_load(replace(SHELF, **missing), [book("a")])
    assert (load.sag_mm, load.late_sag_mm, load.unknown) == (None, None, why)
    assert not load.will_show
    assert not load.beyond_woodwork
    assert shelf_load(replace(SHELF, **missing), []).unknown is None


def test_more_than_the_maker_allows() -> None:
    rated = Place(number="S3-81", kind=PlaceKind.SHELF, name="1", width_mm=800, rated_g=20_000)
    books = [book(str(n), mass_g=1000) for n in range(21)]
    assert shelf_load(rated, books).excess == (Excess(ShelfLimit.LOAD, 21_000, 20_000),)
    assert shelf_load(rated, books[:20]).excess == ()
    assert load_limit_g(rated) == 20_000
    assert load_limit_g(SHELF) == float("inf")


def test_a_sag_below_a_384th_of_the_span_is_not_noticed() -> None:
    # 1/32 inch a foot: 800 / 384 = 2.083 mm, which is what this mass comes to with 1 + 2.25.
    just = 25_000 * 800 / 384 / 3.25 / sag_mm(25_000, span_mm=800, depth_mm=250, board_mm=18, modulus_gpa=1.6)
    assert not shelf_load(SHELF, [book("a", mass_g=just * 0.999)]).will_show
    assert shelf_load(SHELF, [book("a", mass_g=just * 1.001)]).will_show
    # A 144th is eight thirds of it, at once.
    beyond = just * 3.25 * 384 / 144
    assert not shelf_load(SHELF, [book("a", mass_g=beyond * 0.999)]).beyond_woodwork
    assert shelf_load(SHELF, [book("a", mass_g=beyond * 1.001)]).beyond_woodwork


def test_the_span_is_measured_between_supports_where_it_is_known() -> None:
    half = replace(SHELF, span_mm=400)
    whole, short = (shelf_load(shelf, [book("a", mass_g=25_000)]).sag_mm for shelf in (SHELF, half))
    assert whole is not None
    assert short is not None
    assert whole / short == pytest.approx(8)  # the load is the same, so by the third power


def test_a_bookcase_on_its_footprint_and_spread_over_the_floor_before_it() -> None:
    # Five shelves of 0.8 m at 37 kg a metre, worked by hand: 148 kg on 0.8 x 0.25 m are 7.26 kPa, on 0.8 x 1.2 m 1.51.
    case = Place(number="S2-82", kind=PlaceKind.BOOKCASE, name="A", width_mm=800, depth_mm=250)
    shelves = [shelf_load(SHELF, [book("a", mass_g=0.8 * 37_000, estimated=("mass",))]) for _ in range(5)]
    load = bookcase_load(case, shelves)
    assert (load.mass_g, load.own_mass, load.estimated) == (148_000, False, 5)
    assert load.pressure_kpa == pytest.approx(7.26, abs=0.005)
    assert load.spread_kpa == pytest.approx(1.51, abs=0.005)
    own = bookcase_load(replace(case, mass_g=20_000), shelves)
    assert (own.mass_g, own.own_mass) == (168_000, True)
    deep = bookcase_load(replace(case, depth_mm=2 * STRIP_MM), shelves)
    assert deep.pressure_kpa == deep.spread_kpa
    no_depth = bookcase_load(replace(case, depth_mm=None), shelves)
    assert (no_depth.pressure_kpa, no_depth.spread_kpa) == (None, load.spread_kpa)
    no_width = bookcase_load(replace(case, width_mm=None), shelves)
    assert (no_width.pressure_kpa, no_width.spread_kpa) == (None, None)


def test_full_stacks_weigh_what_was_measured() -> None:
    # 14 shelves of 3 ft at 25 lb a foot on 3 x 1.75 ft: 200 psf (a state test of full stacks, seen in a letter).
    case = Place(number="S2-82", kind=PlaceKind.BOOKCASE, name="A", width_mm=36 * INCH, depth_mm=21 * INCH)
    shelves = [shelf_load(SHELF, [book("a", mass_g=75 * LB_G)]) for _ in range(14)]
    load = bookcase_load(case, shelves)
    assert load.pressure_kpa == pytest.approx(200 * PA_PER_PSF / 1000, rel=1e-6)
    assert exceeded_by(load.pressure_kpa or 0.0) == FLOOR_LOADS

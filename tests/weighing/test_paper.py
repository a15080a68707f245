"""Paper arithmetic against worked examples of book manufacture, and the regression against refitting by numpy.

The examples (a) to (d) are common reckonings of printers and spine calculators; the German leaf of A4 at 80 g/m2 weighs
4.99 g by the definition of the A series (ISO 216: an A0 sheet is a square metre).
"""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.weighing import paper
from intake.weighing.estimates import Estimate, product, total, weighted_mean
from intake.weighing.regression import fit_regression


def test_worked_examples_of_block_and_text() -> None:
    assert paper.text_g(2, 210, 297, 80) == pytest.approx(4.99, abs=0.005)
    assert paper.block_mm(320, 80, 1.6) == pytest.approx(20.48)
    assert paper.text_g(320, 129, 198, 80) == pytest.approx(326.9, abs=0.1)
    assert paper.block_mm(480, 90, 1.2) == pytest.approx(25.92)
    assert paper.text_g(480, 156, 234, 90) == pytest.approx(788.5, abs=0.1)
    assert paper.boards_g(159, 240, 2.5, 0.7) == pytest.approx(133.6, abs=0.1)
    assert paper.block_mm(200, 150, 0.8) == pytest.approx(12.0)
    assert paper.text_g(200, 210, 297, 150) == pytest.approx(935.6, abs=0.1)
    assert paper.block_mm(200, 90, 1.22) + 2 * 0.5 == pytest.approx(11.98)


def test_a_whole_book_lies_within_its_uncertainty() -> None:
    # Example (b): text 788.5 g, boards 133.6 g; covering and endpapers come on top of it.
    found = paper.estimate_mass(height_mm=234, width_mm=156, pages=480, stock=paper.UNCOATED)
    assert found is not None
    assert abs(found.mean - (788.5 + 133.6)) < found.sigma
    # Example (a), 341 g with its soft cover of 250 g/m2.
    soft = paper.estimate_mass(height_mm=198, width_mm=129, pages=320, binding=paper.SOFT, stock=paper.UNCOATED)
    assert soft is not None
    assert abs(soft.mean - 341) < 2 * soft.sigma


# A book of 300 x 200 mm, 200 pages of coated paper (140 g/m2, bulk 0.86), by hand:
# leaves 100 x 0.06 m2 x 140 = 840 g; boards 2 x 306 x 203 x 2.5 mm x 0.7 g/cm3 = 217.4 g; covering and the rest 25 g.
BOARDS_G, REST_G = 2 * 306 * 203 * 2.5 * 0.7 / 1000, 25.0
AROUND_SIGMA = math.hypot(BOARDS_G * math.hypot(0.35 / 2.5, 0.07 / 0.7), 12.0)


def test_a_mass_from_the_extent_by_hand() -> None:
    found = paper.estimate_mass(height_mm=300, width_mm=200, pages=200, stock=paper.COATED)
    assert found is not None
    assert found.mean == pytest.approx(840 + BOARDS_G + REST_G)
    text_sigma = 840 * math.hypot(15 / 140, 0.005, 0.005)
    assert found.sigma == pytest.approx(math.hypot(text_sigma, AROUND_SIGMA))


def test_a_mass_from_the_thickness_by_hand() -> None:
    # Two boards of 2.5 mm leave 22 of 27 mm: 300 x 200 x 22 mm at 0.86 cm3/g are 1534.9 g.
    found = paper.estimate_mass(height_mm=300, width_mm=200, thickness_mm=27, stock=paper.COATED)
    assert found is not None
    block = 300 * 200 * 22 / 1000 / 0.86
    assert found.mean == pytest.approx(block + BOARDS_G + REST_G)
    relative = math.hypot(0.005, 0.005, math.hypot(1.0, 2 * 0.35) / 22, 0.06 / 0.86)
    assert found.sigma == pytest.approx(math.hypot(block * relative, AROUND_SIGMA))
    assert paper.estimate_mass(height_mm=300, width_mm=200, thickness_mm=5) is None
    assert paper.estimate_mass(height_mm=300, width_mm=200, thickness_mm=4, pages=200) is not None


def test_a_soft_cover_has_no_squares() -> None:
    # 2 x 300 x 200 x 0.3 mm x 0.85 g/cm3 = 30.6 g, and 3 g for glue.
    found = paper.estimate_mass(height_mm=300, width_mm=200, pages=200, stock=paper.COATED, binding=paper.SOFT)
    assert found is not None
    assert found.mean == pytest.approx(840 + 30.6 + 3)


def test_a_thickness_by_hand() -> None:
    # 100 leaves x 140 g/m2 x 0.86 cm3/g = 12.04 mm, and two boards of 2.5 mm.
    by_pages = paper.estimate_thickness(pages=200, stock=paper.COATED)
    assert by_pages is not None
    assert by_pages.mean == pytest.approx(17.04)
    assert by_pages.sigma == pytest.approx(math.hypot(12.04 * math.hypot(15 / 140, 0.06 / 0.86), 2 * 0.35))
    sizes: dict[str, Any] = {"height_mm": 300.0, "width_mm": 200.0}
    by_mass = paper.estimate_thickness(pages=None, mass_g=840 + BOARDS_G + REST_G, stock=paper.COATED, **sizes)
    assert by_mass is not None
    assert by_mass.mean == pytest.approx(17.04)
    # A mass that is 10 % uncertain makes the leaves' share of it so.
    unsure = paper.estimate_thickness(
        pages=None, mass_g=840 + BOARDS_G + REST_G, mass_sigma_g=84, stock=paper.COATED, **sizes
    )
    assert unsure is not None
    assert unsure.sigma == pytest.approx(math.hypot(12.04 * math.hypot(0.1, 0.06 / 0.86), 2 * 0.35))
    # Where boards and covering alone would weigh nearly all, a quarter of the mass is left for the leaves.
    light = paper.estimate_thickness(pages=None, mass_g=300, stock=paper.COATED, **sizes)
    assert light is not None
    assert light.mean == pytest.approx(75 / 60_000 * 1000 * 0.86 + 5)
    assert paper.estimate_thickness(pages=None, mass_g=300) is None
    assert paper.estimate_thickness(pages=None) is None


def test_papers_and_boards_lie_in_the_ranges_of_the_trade() -> None:
    # Printers' spine calculators: bulk of coated paper 0.80 to 1.0, of uncoated 1.2 to 1.6 cm3/g; coated text 90 to 170
    # g/m2; case boards of 2 or 3 mm and 700 kg/m3.
    assert 0.80 <= paper.COATED.bulk.mean <= 1.0
    assert 1.2 <= paper.UNCOATED.bulk.mean <= 1.6
    assert 90 <= paper.COATED.grammage.mean <= 170
    assert 2 <= paper.CASE.board_mm.mean <= 3
    assert paper.CASE.density.mean == 0.70


@pytest.mark.parametrize(
    "words", ["softcover", "Paperback", "in wrappers", "limp vellum", "stapled", "brochure", "stitched"]
)
def test_words_for_soft_covers(words: str) -> None:
    assert paper.binding_of(words) is paper.SOFT


@pytest.mark.parametrize("words", ["", "hardcover", "cloth", "half leather"])
def test_words_for_boards(words: str) -> None:
    assert paper.binding_of(words) is paper.CASE


def test_extent_and_thickness_together_are_surer_than_either() -> None:
    by_pages = paper.estimate_mass(height_mm=296, width_mm=235, pages=352)
    by_thickness = paper.estimate_mass(height_mm=296, width_mm=235, thickness_mm=27)
    both = paper.estimate_mass(height_mm=296, width_mm=235, pages=352, thickness_mm=27)
    assert by_pages is not None
    assert by_thickness is not None
    assert both is not None
    assert both.sigma < min(by_pages.sigma, by_thickness.sigma)
    assert paper.estimate_mass(height_mm=296, width_mm=None, pages=352) is None
    assert paper.estimate_mass(height_mm=296, width_mm=235) is None


def test_thickness_from_mass_undoes_mass_from_thickness() -> None:
    mass = paper.estimate_mass(height_mm=300, width_mm=240, thickness_mm=30)
    assert mass is not None
    back = paper.estimate_thickness(pages=None, mass_g=mass.mean, height_mm=300, width_mm=240)
    assert back is not None
    assert back.mean == pytest.approx(30, abs=0.01)


@given(st.floats(1, 1e4), st.floats(0.1, 100), st.floats(1, 1e4), st.floats(0.1, 100))
def test_uncertainties_propagate_as_the_gum_has_them(a: float, sa: float, b: float, sb: float) -> None:
    # JCGM 100:2008, 5.1.2: for a sum the sigmas, for a product the relative sigmas, add in square.
    assert total([Estimate(a, sa), Estimate(b, sb)]).sigma == pytest.approx(math.hypot(sa, sb))
    assert product(Estimate(a, sa), Estimate(b, sb)).sigma == pytest.approx(math.hypot(sa * b, sb * a))
    # The weighted mean: weights 1/s2, and the variance is the inverse of their sum.
    both = weighted_mean([Estimate(a, sa), Estimate(b, sb)], "")
    assert both.mean == pytest.approx((a / sa**2 + b / sb**2) / (1 / sa**2 + 1 / sb**2))
    assert both.sigma == pytest.approx(math.sqrt(1 / (1 / sa**2 + 1 / sb**2)))


def test_the_line_and_its_left_out_errors_are_those_of_refitting() -> None:
    random = np.random.default_rng(3)
    estimated = random.uniform(300, 3000, 30)
    measured = 1.2 * estimated**0.98 * np.exp(random.normal(0, 0.05, 30))
    line = fit_regression(list(estimated), list(measured))
    assert line is not None
    slope, intercept = np.polyfit(np.log(estimated), np.log(measured), 1)
    assert line.slope == pytest.approx(slope)
    assert line.intercept == pytest.approx(intercept)
    errors = []
    for n in range(30):
        kept = np.arange(30) != n
        one, other = np.polyfit(np.log(estimated[kept]), np.log(measured[kept]), 1)
        errors.append(np.log(measured[n]) - other - one * np.log(estimated[n]))
    assert line.error_after == pytest.approx(np.sqrt(np.mean(np.square(errors))))
    assert line.helps
    better = line.improve(Estimate(1000, 200, "by pages"))
    assert better.sigma < 200
    assert better.mean == pytest.approx(math.exp(intercept + slope * math.log(1000)))


def test_a_mended_mass_has_the_prediction_error_of_the_line() -> None:
    # y0 = x0'b, its variance s2 (1 + x0'(X'X)^-1 x0): Draper and Smith, Applied Regression Analysis (from memory).
    estimated = np.array([400.0, 700.0, 1000.0, 1500.0, 2600.0, 3100.0])
    measured = estimated * np.array([1.21, 1.18, 1.22, 1.19, 1.20, 1.23])
    line = fit_regression(list(estimated), list(measured))
    assert line is not None
    design = np.column_stack([np.ones(6), np.log(estimated)])
    solved, squares, *_ = np.linalg.lstsq(design, np.log(measured), rcond=None)
    variance = float(squares[0]) / 4
    assert line.count == 6
    assert line.scatter == pytest.approx(math.sqrt(variance))
    assert line.error_before == pytest.approx(math.sqrt(np.mean(np.log(measured / estimated) ** 2)))
    at = np.array([1.0, math.log(5000)])
    reach = math.sqrt(variance * (1 + at @ np.linalg.inv(design.T @ design) @ at))
    better = line.improve(Estimate(5000, 1000))
    assert better.mean == pytest.approx(math.exp(at @ solved))
    assert better.sigma == pytest.approx(better.mean * reach)
    # What is surer already stays as it came, and so does what has no mass.
    for sure in (Estimate(5000, 4999 * reach), Estimate(0, 10), Estimate(-5, 10)):
        assert line.improve(sure) is sure


def test_a_mended_mass_is_never_surer_than_one_percent() -> None:
    estimated = [400.0, 700.0, 1000.0, 1500.0, 2600.0]
    line = fit_regression(estimated, [1.2 * mass for mass in estimated])
    assert line is not None
    assert line.improve(Estimate(1000, 200)).sigma == pytest.approx(0.01 * 1200)
    assert line.improve(Estimate(1000, 10)) == Estimate(1000, 10)


def test_five_copies_are_enough_for_a_line() -> None:
    assert fit_regression([1.0, 2.0, 3.0, 4.0, 5.0], [1.0, 2.0, 3.0, 4.0, 6.0]) is not None


def test_too_few_copies_or_all_alike_give_no_line() -> None:
    assert fit_regression([1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0, 4.0]) is None
    assert fit_regression([5.0] * 8, [4.0, 5.0, 6.0, 5.0, 4.0, 5.0, 6.0, 5.0]) is None


def test_a_line_that_does_not_help_changes_nothing() -> None:
    # Exact estimates: leaving one out can only be worse.
    line = fit_regression([100.0, 200.0, 300.0, 400.0, 500.0], [100.0, 200.0, 300.0, 400.0, 500.0])
    assert line is not None
    estimate = Estimate(250.0, 10.0)
    assert line.improve(estimate) is estimate

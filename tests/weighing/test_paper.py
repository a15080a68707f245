"""Paper arithmetic against worked examples of book manufacture, and the regression against refitting by numpy.

The examples (a) to (d) are common reckonings of printers and spine calculators; the German leaf of A4 at 80 g/m2 weighs
4.99 g by the definition of the A series (ISO 216: an A0 sheet is a square metre).
"""

import math

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
    assert weighted_mean([Estimate(a, sa), Estimate(b, sb)], "").sigma <= min(sa, sb)


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


def test_too_few_copies_or_all_alike_give_no_line() -> None:
    assert fit_regression([1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0, 4.0]) is None
    assert fit_regression([5.0] * 8, [4.0, 5.0, 6.0, 5.0, 4.0, 5.0, 6.0, 5.0]) is None


def test_a_line_that_does_not_help_changes_nothing() -> None:
    # Exact estimates: leaving one out can only be worse.
    line = fit_regression([100.0, 200.0, 300.0, 400.0, 500.0], [100.0, 200.0, 300.0, 400.0, 500.0])
    assert line is not None
    estimate = Estimate(250.0, 10.0)
    assert line.improve(estimate).mean == pytest.approx(250.0)

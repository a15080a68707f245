"""The line through measured masses, against Python's statistics module, refitting, and the normal equations."""

import math
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.weighing.estimates import Estimate
from intake.weighing.regression import Regression, fit_regression

ESTIMATED = [300.0, 450.0, 700.0, 1100.0, 1600.0, 2500.0, 900.0]
MEASURED = [390.0, 520.0, 900.0, 1380.0, 1900.0, 3200.0, 1100.0]


def logs(masses: list[float]) -> list[float]:
    return [math.log(mass) for mass in masses]


def fitted(estimated: list[float] = ESTIMATED, measured: list[float] = MEASURED) -> Regression:
    line = fit_regression(estimated, measured)
    assert line is not None
    return line


masses = st.lists(
    st.tuples(st.floats(100, 5000), st.floats(0.5, 2.0)), min_size=5, max_size=12, unique_by=lambda pair: round(pair[0])
)


@given(masses)
def test_the_line_is_that_of_ordinary_least_squares(pairs: list[tuple[float, float]]) -> None:
    estimated = [mass for mass, _ in pairs]
    measured = [mass * factor for mass, factor in pairs]
    line = fitted(estimated, measured)
    slope, intercept = statistics.linear_regression(logs(estimated), logs(measured))
    assert (line.slope, line.intercept) == pytest.approx((slope, intercept), abs=1e-6, rel=1e-6)
    residuals = [y - intercept - slope * x for x, y in zip(logs(estimated), logs(measured), strict=True)]
    assert line.scatter == pytest.approx(math.sqrt(sum(r * r for r in residuals) / (len(pairs) - 2)), abs=1e-6)
    assert line.count == len(pairs)


def test_what_it_gains_is_what_leaving_out_each_copy_and_fitting_again_gives() -> None:
    line = fitted()
    x, y = logs(ESTIMATED), logs(MEASURED)
    errors = []
    for nth in range(len(x)):
        slope, intercept = statistics.linear_regression(x[:nth] + x[nth + 1 :], y[:nth] + y[nth + 1 :])
        errors.append(y[nth] - intercept - slope * x[nth])
    assert line.error_after == pytest.approx(math.sqrt(statistics.fmean(error**2 for error in errors)))
    before = [b - a for a, b in zip(x, y, strict=True)]
    assert line.error_before == pytest.approx(math.sqrt(statistics.fmean(error**2 for error in before)))
    assert line.helps


@pytest.mark.parametrize("grams", [150.0, 900.0, 6000.0])
def test_a_corrected_mass_has_the_prediction_error_of_the_line(grams: float) -> None:
    """The variance of a prediction is s² (1 + x0' (X'X)⁻¹ x0), by the normal equations."""
    found = fitted().improve(Estimate(grams, grams * 0.5, "computed"))
    design = np.array([[1.0, x] for x in logs(ESTIMATED)])
    y = np.array(logs(MEASURED))
    beta, rest, *_ = np.linalg.lstsq(design, y, rcond=None)
    at = np.array([1.0, math.log(grams)])
    variance = rest[0] / (len(y) - 2) * (1 + at @ np.linalg.inv(design.T @ design) @ at)
    assert found.mean == pytest.approx(math.exp(at @ beta))
    assert found.relative == pytest.approx(math.sqrt(variance))


def test_no_corrected_mass_is_surer_than_a_percent() -> None:
    """Paper takes up and gives off water: a line without any scatter is no more exact than that."""
    exact = fitted(ESTIMATED, [1.2 * mass for mass in ESTIMATED])
    assert exact.scatter == pytest.approx(0, abs=1e-9)
    found = exact.improve(Estimate(1000.0, 200.0))
    assert [found.mean, found.relative] == pytest.approx([1200, 0.01])


def test_an_estimate_that_is_surer_already_stays() -> None:
    sure = Estimate(1000.0, 1.0, "weighed")
    assert fitted().improve(sure) == sure
    nothing = Estimate(0.0, 5.0)
    assert fitted().improve(nothing) == nothing


def test_a_line_that_predicts_worse_than_the_estimates_is_not_used() -> None:
    """The estimates are right but for one in the middle that says nothing of the others."""
    measured = [*ESTIMATED[:-1], ESTIMATED[-1] * 1.02]
    line = fitted(ESTIMATED, measured)
    assert line.error_after > line.error_before
    assert not line.helps
    unsure = Estimate(1000.0, 500.0)
    assert line.improve(unsure) == unsure


def test_too_few_or_equal_estimates_give_no_line() -> None:
    assert fit_regression(ESTIMATED[:4], MEASURED[:4]) is None
    assert fit_regression(ESTIMATED[:5], MEASURED[:5]) is not None
    assert fit_regression([500.0] * 6, MEASURED[:6]) is None
    assert fit_regression([], []) is None

"""Correcting estimated masses with the collection's own measured copies: a straight line through the logarithms.

    log measured = intercept + slope x log estimated

Ordinary least squares; the uncertainty of a corrected mass is the prediction error of the line (Draper and Smith,
Applied Regression Analysis, chapter 1: from memory). The benefit is measured by leaving out each copy in turn, which
for a line needs no refitting (the PRESS residual e / (1 - h), Allen 1974: from memory). The measured copies are assumed
to be like the others.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from intake.weighing.estimates import Estimate

FEWEST = 5
"""Fewest copies for a line; fewer are not representative of the collection."""
LEAST = 0.01
"""Least relative uncertainty of a corrected mass: paper absorbs and releases more water than 1 % (from memory)."""


@dataclass(frozen=True, slots=True)
class Regression:
    """A fitted line.

    Attributes:
        scatter: standard deviation of the residuals of the logarithms, about a relative error of the mass.
        error_before, error_after: root mean square of the relative errors of the copies' original estimates, and of
            those corrected by a line fitted to the other copies.
        middle, spread: mean of the logarithms of the estimates, and the sum of their squared deviations.
    """

    slope: float
    intercept: float
    scatter: float
    count: int
    error_before: float
    error_after: float
    middle: float
    spread: float

    @property
    def helps(self) -> bool:
        """Return whether it predicts copies that it was not fitted to better than the estimate alone."""
        return self.error_after < self.error_before

    def improve(self, estimate: Estimate) -> Estimate:
        """Return the estimate corrected by the line, or unchanged if the line does not help."""
        if not self.helps or estimate.mean <= 0:
            return estimate
        x = math.log(estimate.mean)
        reach = 1 + 1 / self.count + ((x - self.middle) ** 2 / self.spread if self.spread else 0.0)
        mean = math.exp(self.intercept + self.slope * x)
        sigma = mean * max(LEAST, self.scatter * math.sqrt(reach))
        if sigma / mean >= estimate.relative:
            return estimate
        return Estimate(mean, sigma, f"{estimate.how}, corrected with {self.count} measured copies")


def fit_regression(estimated: Sequence[float], measured: Sequence[float]) -> Regression | None:
    """Fit the line; None for fewer than five copies, or if all estimates are equal.

    Args:
        estimated: masses computed from extent and size, in any unit.
        measured: masses of the same copies, in the same order and unit.
    """
    if len(estimated) < FEWEST:
        return None
    x, y = np.log(np.asarray(estimated)), np.log(np.asarray(measured))
    middle, spread = float(x.mean()), float(((x - x.mean()) ** 2).sum())
    if spread < 1e-9:
        return None
    slope = float(((x - middle) * (y - y.mean())).sum() / spread)
    intercept = float(y.mean()) - slope * middle
    residual = y - intercept - slope * x
    leverage = 1 / len(x) + (x - middle) ** 2 / spread
    left_out = residual / np.maximum(1 - leverage, 1e-9)
    return Regression(
        slope=slope,
        intercept=intercept,
        scatter=float(np.sqrt((residual**2).sum() / (len(x) - 2))),
        count=len(x),
        error_before=float(np.sqrt(((y - x) ** 2).mean())),
        error_after=float(np.sqrt((left_out**2).mean())),
        middle=middle,
        spread=spread,
    )

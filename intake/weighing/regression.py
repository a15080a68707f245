"""Mend estimated masses by what the collection's own measured copies weigh: a straight line through the logarithms.

    log measured = intercept + slope x log estimated

Ordinary least squares; the error of a mended mass is the prediction error of the line (Draper and Smith, Applied
Regression Analysis, chapter 1: from memory). How well it mends is told by leaving each copy out in turn, which for a
line needs no refitting (the PRESS residual e / (1 - h), Allen 1974: from memory). Supposes that the measured copies are
like the others.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from intake.weighing.estimates import Estimate

FEWEST = 5
"""A line through fewer copies says more of them than of the collection."""
LEAST = 0.01
"""A mended mass is never called better than 1 %: paper takes up and gives off more water than that (from memory)."""


@dataclass(frozen=True, slots=True)
class Regression:
    """A fitted line.

    Attributes:
        scatter: standard deviation of the residuals of the logarithms, so about a part of the mass.
        error_before, error_after: root mean square of the relative errors of the copies' estimates as they came, and
            each mended by a line fitted to the others.
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
        """Tell whether it foretells copies that it has not seen better than the estimate alone."""
        return self.error_after < self.error_before

    def improve(self, estimate: Estimate) -> Estimate:
        """Return the estimate as the line mends it; as it came, where the line does not help."""
        if not self.helps or estimate.mean <= 0:
            return estimate
        x = math.log(estimate.mean)
        reach = 1 + 1 / self.count + ((x - self.middle) ** 2 / self.spread if self.spread else 0.0)
        mean = math.exp(self.intercept + self.slope * x)
        sigma = mean * max(LEAST, self.scatter * math.sqrt(reach))
        if sigma / mean >= estimate.relative:
            return estimate
        return Estimate(mean, sigma, f"{estimate.how}, mended by {self.count} measured copies")


def fit(estimated: Sequence[float], measured: Sequence[float]) -> Regression | None:
    """Fit the line; None where fewer than five copies are both measured and estimated, or all estimates are alike.

    Args:
        estimated: masses by paper arithmetic, in any unit.
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

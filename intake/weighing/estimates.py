"""A quantity and how far it may be off: mean and standard uncertainty, as the GUM (JCGM 100:2008) has them.

Sums and products propagate by the law of propagation of uncertainty for inputs that do not depend on each other
(JCGM 100:2008, 5.1.2). Does not follow dependence between inputs.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Estimate:
    """A quantity with its standard uncertainty (one sigma), in the same unit, and where it comes from."""

    mean: float
    sigma: float
    how: str = ""

    @property
    def relative(self) -> float:
        """Return the standard uncertainty as a part of the mean."""
        return self.sigma / self.mean


def total(parts: Iterable[Estimate], how: str = "") -> Estimate:
    """Add quantities that were found independently.

    >>> total([Estimate(300.0, 3.0), Estimate(400.0, 4.0)])
    Estimate(mean=700.0, sigma=5.0, how='')
    """
    every = list(parts)
    return Estimate(sum(part.mean for part in every), math.hypot(*(part.sigma for part in every)), how)


def product(*factors: Estimate, how: str = "") -> Estimate:
    """Multiply quantities that were found independently; their relative uncertainties add in square."""
    mean = math.prod(factor.mean for factor in factors)
    return Estimate(mean, mean * math.hypot(*(factor.relative for factor in factors)), how)


def combined(estimates: Iterable[Estimate], how: str) -> Estimate:
    """Weigh independent estimates of one quantity by the inverse of their variances.

    >>> combined([Estimate(10.0, 1.0), Estimate(12.0, 1.0)], "two scales").mean
    11.0
    """
    every = list(estimates)
    weights = [1 / estimate.sigma**2 for estimate in every]
    mean = sum(weight * estimate.mean for weight, estimate in zip(weights, every, strict=True)) / sum(weights)
    return Estimate(mean, sum(weights) ** -0.5, how)

"""A quantity with its standard uncertainty, as defined in the GUM (JCGM 100:2008).

Sums and products follow the law of propagation of uncertainty for uncorrelated inputs (JCGM 100:2008, 5.1.2).
Correlation between inputs is not considered.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Estimate:
    """A quantity with its standard uncertainty (one sigma), in the same unit, and how it was obtained."""

    mean: float
    sigma: float
    how: str = ""

    @property
    def relative(self) -> float:
        """Return the relative standard uncertainty."""
        return self.sigma / self.mean


def total(parts: Iterable[Estimate], how: str = "") -> Estimate:
    """Return the sum of independent quantities.

    >>> total([Estimate(300.0, 3.0), Estimate(400.0, 4.0)])
    Estimate(mean=700.0, sigma=5.0, how='')
    """
    every = list(parts)
    return Estimate(sum(part.mean for part in every), math.hypot(*(part.sigma for part in every)), how)


def product(*factors: Estimate, how: str = "") -> Estimate:
    """Return the product of independent quantities; the squares of their relative uncertainties add up."""
    mean = math.prod(factor.mean for factor in factors)
    return Estimate(mean, mean * math.hypot(*(factor.relative for factor in factors)), how)


def weighted_mean(estimates: Iterable[Estimate], how: str) -> Estimate:
    """Return the mean of independent estimates of one quantity, weighted by the inverse of their variances.

    >>> weighted_mean([Estimate(10.0, 1.0), Estimate(12.0, 1.0)], "two scales").mean
    11.0
    """
    every = list(estimates)
    weights = [1 / estimate.sigma**2 for estimate in every]
    mean = sum(weight * estimate.mean for weight, estimate in zip(weights, every, strict=True)) / sum(weights)
    return Estimate(mean, sum(weights) ** -0.5, how)

"""The candidates for the contents of a parcel, what was measured of it, and the prior of sets of candidates.

A set of a size has the product of its members' weights, divided by the sum of these products over all sets of the size:
the elementary symmetric polynomial (any textbook of algebra).
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CandidatePool:
    """The candidates, those of this list first; arrays of equal length, variances in the square of the unit.

    Attributes:
        listed: number of candidates on this list.
        weight: prior odds of each other candidate against a listed one.
        thickness, height: used only if the parcel's was measured.
        excluded: number of further candidates on this list, and of others, that certainly are not in the parcel.
        left_out: number of further candidates on this list, and of others, that may be in it and are not tried.
    """

    mass: Floats
    mass_var: Floats
    thickness: Floats
    thickness_var: Floats
    height: Floats
    height_var: Floats
    listed: int
    weight: float
    excluded: tuple[int, int] = (0, 0)
    left_out: tuple[int, int] = (0, 0)

    @property
    def every(self) -> tuple[int, int]:
        """Return how many candidates on this list, and others, there are."""
        tried = (self.listed, len(self.mass) - self.listed)
        own, other = (sum(counts) for counts in zip(tried, self.excluded, self.left_out, strict=True))
        return own, other

    def share_tried(self, size: int, others: int) -> float:
        """Return the share of the sets of this size that are tried, of those with so many others and none excluded."""
        tried = (self.listed, len(self.mass) - self.listed)
        parts = zip(tried, self.left_out, (size - others, others), strict=True)
        return math.prod(math.comb(own, members) / math.comb(own + out, members) for own, out, members in parts)


@dataclass(frozen=True, slots=True)
class Measurement:
    """The measurements of a parcel as (value, variance); None where not measured."""

    mass: tuple[float, float]
    thickness: tuple[float, float] | None = None
    height: tuple[float, float] | None = None


def symmetric(size: int, listed: int, others: int, weight: float) -> float:
    """Return the elementary symmetric polynomial of the weights, 1 of each listed and `weight` of each other one.

    >>> symmetric(2, 2, 1, 0.5)
    2.0
    """
    return sum(math.comb(listed, size - n) * math.comb(others, n) * weight**n for n in range(size + 1))

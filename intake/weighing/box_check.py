"""Checking whether a closed box weighs what it should and, if it is lighter, which missing copies would explain it.

There are two comparisons: with the sum of the list (tare, copies, padding, each with its uncertainty), or with the box
as weighed at packing, where the uncertainty of the copies hardly matters. Paper absorbs and releases water on the way:
half a percent of the contents is allowed for (from memory: book paper holds 5 to 7 % water at 50 % relative humidity
and follows the air). A difference within two standard uncertainties counts as agreement. A scale cannot identify a
missing copy: the probabilities only say which copies to look for first. They assume that each copy goes missing
independently with probability 0.02 (common practice, no source).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from intake.weighing.estimates import Estimate, total
from intake.weighing.subsets import CandidatePool, Measurement, rank

GONE = 0.02
MOST_GONE = 6
SURE = 2.0
"""Standard uncertainties that a difference must exceed before it is reported."""
WATER = 0.005
SCALE_G = Estimate(0.0, 50.0)
"""A bathroom or luggage scale (from memory); the uncertainty of the scale in use can be given instead."""
PADDING_G = Estimate(250.0, 120.0)
"""Paper and padding in a box, where not weighed separately (from memory)."""


class WeightVerdict(StrEnum):
    """The result of weighing a box."""

    AGREES = "agrees"
    LIGHTER = "lighter"
    HEAVIER = "heavier"


@dataclass(frozen=True, slots=True)
class ListedMass:
    """A copy on the box's list and its mass."""

    key: str
    mass_g: Estimate


@dataclass(frozen=True, slots=True)
class Explanation:
    """Copies whose absence would explain the difference; empty where padding, water or the scale explains it."""

    keys: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class WeighCheck:
    """The comparison of a box's mass with the expected mass.

    Attributes:
        expected: the expected mass, and the basis of it.
        difference: measured less expected mass; sigma is that of the difference.
        explanations: most probable first; empty unless the box is lighter.
        alike: number of sets of copies that explain it at least half as well as the best, which is included.
    """

    verdict: WeightVerdict
    expected: Estimate
    difference: Estimate
    explanations: tuple[Explanation, ...] = ()
    alike: int = 0


def check_mass(
    listed: Sequence[ListedMass],
    *,
    gross_g: Estimate,
    tare_g: Estimate,
    packed_g: Estimate | None = None,
    padding_g: Estimate = PADDING_G,
    limit: int = 10,
) -> WeighCheck:
    """Compare the mass of a box with its list, or with its mass at packing.

    Args:
        listed: the copies on its list.
        gross_g: measured mass; sigma is that of the scale.
        tare_g: mass of the empty box.
        packed_g: mass measured when it was closed; None to compare with the list.
        padding_g: mass of what is in it besides the copies; only used for the comparison with the list.
        limit: greatest number of explanations to return.
    """
    copies = total(copy.mass_g for copy in listed)
    water = Estimate(0.0, WATER * copies.mean)
    if packed_g is None:
        expected = total((tare_g, copies, padding_g, water), "by its list")
    else:
        expected = total((packed_g, water), "as weighed at packing")
    difference = Estimate(gross_g.mean - expected.mean, math.hypot(gross_g.sigma, expected.sigma))
    if abs(difference.mean) <= SURE * difference.sigma:
        return WeighCheck(WeightVerdict.AGREES, expected, difference)
    if difference.mean > 0:
        return WeighCheck(WeightVerdict.HEAVIER, expected, difference)
    # A missing copy removes its uncertainty from the sum of the list; compared with the box as packed, it adds it.
    sign = 1.0 if packed_g is not None else -1.0
    return _explain(listed, expected, difference, sign, limit)


def _explain(
    listed: Sequence[ListedMass], expected: Estimate, difference: Estimate, sign: float, limit: int
) -> WeighCheck:
    mass = np.array([copy.mass_g.mean for copy in listed], np.float64)
    variance = sign * np.array([copy.mass_g.sigma for copy in listed], np.float64) ** 2
    none = np.zeros(len(listed))
    pool = CandidatePool(mass, variance, none, none, none, none, listed=len(listed), weight=1.0)
    count = len(listed)
    sizes = [math.comb(count, n) * GONE**n * (1 - GONE) ** (count - n) for n in range(min(MOST_GONE, count) + 1)]
    ranked = rank(pool, Measurement((-difference.mean, difference.sigma**2)), sizes)
    explanations = tuple(
        Explanation(tuple(listed[n].key for n in members), evidence / ranked.total)
        for members, evidence in list(zip(ranked.sets, ranked.evidence, strict=True))[:limit]
        if ranked.total > 0
    )
    return WeighCheck(WeightVerdict.LIGHTER, expected, difference, explanations, round(ranked.alike))

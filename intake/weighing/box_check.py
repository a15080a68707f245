"""Weigh to check: does a closed box weigh what its list says, and if it is lighter, which copies would explain it.

Two comparisons: with the sum of the list (tare, copies, padding, each with its uncertainty), or with the box as it was
weighed at packing, where the copies' own uncertainty hardly matters. Paper takes up and gives off water on the way:
half a percent of the contents is allowed for (from memory: book paper holds 5 to 7 % water at 50 % relative humidity
and follows the air). Within two standard uncertainties nothing is said against anybody. A scale names no culprit: a
probability says which copies to look for first, and supposes that each copy goes missing in one box of fifty, by
itself (common practice, no source).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from intake.weighing.estimates import Estimate, total
from intake.weighing.subsets import CandidatePool, Measured, rank

GONE = 0.02
MOST_GONE = 6
SURE = 2.0
"""So many standard uncertainties a difference has to be before anything is said."""
WATER = 0.005
SCALE_G = Estimate(0.0, 50.0)
"""A bathroom or luggage scale (from memory); its own figure can be given."""
PADDING_G = Estimate(250.0, 120.0)
"""Paper and padding in a box that nobody weighed apart (from memory)."""


class WeightVerdict(StrEnum):
    """What the scale says of a box."""

    AGREES = "agrees"
    LIGHTER = "lighter"
    HEAVIER = "heavier"


@dataclass(frozen=True, slots=True)
class ListedMass:
    """A copy of the box's list."""

    key: str
    mass_g: Estimate


@dataclass(frozen=True, slots=True)
class Explanation:
    """Copies that would explain the difference if they were gone; none of them: padding, water, or the scale."""

    keys: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class WeighCheck:
    """What the scale says.

    Attributes:
        expected: what it should weigh, and by what.
        difference: weighed less expected; sigma is that of the comparison.
        explanations: most probable first; empty unless the box is lighter.
        alike: how many sets of copies explain it at least half as well as the best, itself included.
    """

    verdict: WeightVerdict
    expected: Estimate
    difference: Estimate
    explanations: tuple[Explanation, ...] = ()
    alike: int = 0


def check(
    listed: Sequence[ListedMass],
    *,
    gross_g: Estimate,
    tare_g: Estimate,
    packed_g: Estimate | None = None,
    padding_g: Estimate = PADDING_G,
    limit: int = 10,
) -> WeighCheck:
    """Compare a box with its list, or with what it weighed at packing.

    Args:
        listed: the copies of its list.
        gross_g: as weighed now; sigma is that of the scale.
        tare_g: of the empty box.
        packed_g: as weighed when it was closed; None compares with the list.
        padding_g: what is in it besides the copies; only for the comparison with the list.
        limit: how many explanations to return.
    """
    copies = total(one.mass_g for one in listed)
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
    # A copy that is gone takes its share of the list's uncertainty with it; against the box as packed it brings it in.
    sign = 1.0 if packed_g is not None else -1.0
    return _explained(listed, expected, difference, sign, limit)


def _explained(
    listed: Sequence[ListedMass], expected: Estimate, difference: Estimate, sign: float, limit: int
) -> WeighCheck:
    mass = np.array([one.mass_g.mean for one in listed], np.float64)
    variance = sign * np.array([one.mass_g.sigma for one in listed], np.float64) ** 2
    none = np.zeros(len(listed))
    pool = CandidatePool(mass, variance, none, none, none, none, listed=len(listed), weight=1.0)
    count = len(listed)
    sizes = [math.comb(count, n) * GONE**n * (1 - GONE) ** (count - n) for n in range(min(MOST_GONE, count) + 1)]
    found = rank(pool, Measured((-difference.mean, difference.sigma**2)), sizes)
    explanations = tuple(
        Explanation(tuple(listed[n].key for n in members), evidence / found.total)
        for members, evidence in list(zip(found.sets, found.evidence, strict=True))[:limit]
        if found.total > 0
    )
    return WeighCheck(WeightVerdict.LIGHTER, expected, difference, explanations, round(found.alike))

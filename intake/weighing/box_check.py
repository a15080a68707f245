"""Checking whether a closed box weighs what it should and, if it is lighter, which missing copies would explain it.

There are two comparisons: with the sum of the list (tare, copies, padding, each with its uncertainty), or with the box
as weighed at packing, where the uncertainty of the copies hardly matters. Paper absorbs and releases water on the way:
half a percent of the contents is allowed for (from memory: book paper holds 5 to 7 % water at 50 % relative humidity
and follows the air); compared with the box as packed, the contents are what it weighed then less the empty box. A
difference within two standard uncertainties counts as agreement. A scale cannot identify a missing copy: the
probabilities only say which copies to look for first. They assume that each copy goes missing independently with
probability 0.02 (common practice, no source).

A box may be weighed again once some of its copies were seen. Those taken out of it before are subtracted, and with them
their part of the padding, give or take all of that part. Those that came out later were in it, and explain nothing. Of
those that came out of another box nobody knows whether they lay in this one when it was packed: half and half.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from intake.weighing.candidate_pool import CandidatePool, Measurement, symmetric
from intake.weighing.estimates import Estimate, total
from intake.weighing.subsets import rank

GONE = 0.02
MOVED = 0.5
"""Prior probability that a copy seen coming out of another box was in this one at packing."""
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


class Whereabouts(StrEnum):
    """What is known of where a copy on the list was when the box was weighed."""

    NOT_SEEN = "not seen yet"
    TAKEN_OUT = "taken out of the box before"
    IN_IT = "taken out of the box afterwards"
    ELSEWHERE = "found elsewhere"


@dataclass(frozen=True, slots=True)
class ListedMass:
    """A copy on the box's list, its mass, and where it was."""

    key: str
    mass_g: Estimate
    where: Whereabouts = Whereabouts.NOT_SEEN


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
        taken_out: number of copies that were taken out before, and are subtracted.
        padding_g: the padding that the expected mass counts in or, below zero, that went out with those copies.
    """

    verdict: WeightVerdict
    expected: Estimate
    difference: Estimate
    explanations: tuple[Explanation, ...] = ()
    alike: int = 0
    taken_out: int = 0
    padding_g: float = 0.0


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
        listed: all copies on its list, wherever they are now.
        gross_g: measured mass; sigma is that of the scale.
        tare_g: mass of the empty box.
        packed_g: mass measured when it was closed; None to compare with the list.
        padding_g: mass of what was packed in it besides the copies.
        limit: greatest number of explanations to return; 0 looks for none.
    """
    expected, padding = _expect(listed, tare_g, packed_g, padding_g)
    difference = Estimate(gross_g.mean - expected.mean, math.hypot(gross_g.sigma, expected.sigma))
    verdict = WeightVerdict.HEAVIER if difference.mean > 0 else WeightVerdict.LIGHTER
    if abs(difference.mean) <= SURE * difference.sigma:
        verdict = WeightVerdict.AGREES
    explanations: tuple[Explanation, ...] = ()
    alike = 0
    if verdict is WeightVerdict.LIGHTER and limit > 0:
        explanations, alike = _explain(listed, difference, as_packed=packed_g is not None)
    taken_out = sum(copy.where is Whereabouts.TAKEN_OUT for copy in listed)
    return WeighCheck(verdict, expected, difference, explanations[:limit], alike, taken_out, padding)


def _expect(
    listed: Sequence[ListedMass], tare_g: Estimate, packed_g: Estimate | None, padding_g: Estimate
) -> tuple[Estimate, float]:
    """Return the expected mass, and the padding that it counts in, or out below zero.

    The mass is that of what is still in the box by its list, or as packed less what was taken out.
    """

    def sum_of(*where: Whereabouts) -> Estimate:
        return total(copy.mass_g for copy in listed if copy.where in where)

    gone = sum_of(Whereabouts.TAKEN_OUT)
    left = sum_of(Whereabouts.NOT_SEEN, Whereabouts.IN_IT)
    share = gone.mean / (gone.mean + left.mean) if gone.mean else 0.0
    padding_out = Estimate(-share * padding_g.mean, share * padding_g.mean)
    if packed_g is None:
        water = Estimate(0.0, WATER * left.mean)
        by_list = total((tare_g, left, padding_g, padding_out, water), "by its list")
        return by_list, padding_g.mean + padding_out.mean
    water = Estimate(0.0, WATER * max(packed_g.mean - tare_g.mean - gone.mean, 0.0))
    taken = Estimate(-gone.mean, gone.sigma)
    return total((packed_g, taken, padding_out, water), "as weighed at packing"), padding_out.mean


def _explain(
    listed: Sequence[ListedMass], difference: Estimate, *, as_packed: bool
) -> tuple[tuple[Explanation, ...], int]:
    """Return the explanations of a lighter box, most probable first, and how many are alike."""
    unseen = [copy for copy in listed if copy.where is Whereabouts.NOT_SEEN]
    moved = [copy for copy in listed if copy.where is Whereabouts.ELSEWHERE] if as_packed else []
    copies = [*unseen, *moved]
    mass = np.array([copy.mass_g.mean for copy in copies], np.float64)
    # A missing copy removes its uncertainty from the sum of the list; compared with the box as packed, it adds it.
    sign = 1.0 if as_packed else -1.0
    variance = sign * np.array([copy.mass_g.sigma for copy in copies], np.float64) ** 2
    none = np.zeros(len(copies))
    odds = GONE / (1 - GONE)
    weight = MOVED / (1 - MOVED) / odds
    pool = CandidatePool(mass, variance, none, none, none, none, listed=len(unseen), weight=weight)
    all_there = (1 - GONE) ** len(unseen) * (1 - MOVED) ** len(moved)
    sizes = [
        symmetric(size, len(unseen), len(moved), weight) * odds**size * all_there
        for size in range(min(MOST_GONE, len(copies)) + 1)
    ]
    ranked = rank(pool, Measurement((-difference.mean, difference.sigma**2)), sizes)
    if ranked.total <= 0:
        return (), 0
    explanations = tuple(
        Explanation(tuple(copies[n].key for n in members), evidence / ranked.total)
        for members, evidence in zip(ranked.sets, ranked.evidence, strict=True)
    )
    return explanations, round(ranked.alike)

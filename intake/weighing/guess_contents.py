"""What a wrapped parcel holds: sets of one to six copies that nobody has seen yet, by posterior probability.

Before anything is measured: how many copies a parcel holds, how likely a thing is that is on no list, and how likely a
copy of another box's list is, are common practice, no source; all can be given. Books are taken to lie on each other,
so that thicknesses add up and the height is that of the tallest. A thing on no list may weigh and measure anything up
to 6 kg, 250 mm and 450 mm, each as likely. Wrapping is taken off first. Sets that fit as well as the best are counted
and told: a scale cannot tell twins apart. How sets are weighed against each other: `intake.weighing.subsets`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter

import numpy as np

from intake.errors import UsageError
from intake.weighing.estimates import Estimate
from intake.weighing.subsets import REACH, CandidatePool, Floats, Measured, RankedSubsets, rank

SIZES = (0.0, 0.70, 0.15, 0.08, 0.04, 0.02, 0.01)
"""How often a parcel holds 0, 1, 2 … copies."""
ELSEWHERE = 0.05
"""How often the parcel holds a copy of another list, where it could as well hold one of this list."""
ON_NO_LIST = 0.03
MOST = 500
"""Candidates; past these a mass tells nothing."""
ANYTHING_G, ANYTHING_THICK_MM, ANYTHING_HIGH_MM = 6000.0, 250.0, 450.0
WRAPPING_G = Estimate(60.0, 40.0)
WRAPPING_MM = Estimate(4.0, 2.0)
"""Of paper and film around a parcel (from memory), mass and what it adds to a length."""
NO_THICKNESS = Estimate(28.0, 14.0)
NO_HEIGHT = Estimate(260.0, 60.0)
"""A copy of which nobody knows these (from memory: illustrated books)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContentsCandidate:
    """A copy that the parcel may hold; `listed` where it is on the list of the parcel's own box."""

    key: str
    mass_g: Estimate
    thickness_mm: Estimate | None = None
    height_mm: Estimate | None = None
    listed: bool = True


@dataclass(frozen=True, slots=True)
class Guess:
    """Copies that the parcel may hold together, and how probable it is that it holds just these."""

    keys: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class Answer:
    """What the parcel may hold.

    Attributes:
        guesses: most probable first.
        alike: how many sets are at least half as probable as the first, itself included.
        on_no_list: probability that it is something that nobody listed.
        sizes: probability of each number of copies.
        inside: probability that each copy is in it.
        sampled: the part of the probability that rests on a sample of sets; 0 where every set was weighed.
        left_out: candidates that were too many to be looked at.
    """

    guesses: tuple[Guess, ...]
    alike: int
    on_no_list: float
    sizes: Mapping[int, float]
    inside: Mapping[str, float]
    sampled: float
    left_out: int = 0


def what_is_in(
    candidates: Sequence[ContentsCandidate],
    *,
    mass_g: Estimate,
    thickness_mm: Estimate | None = None,
    height_mm: Estimate | None = None,
    wrapped: bool = True,
    sizes: Sequence[float] = SIZES,
    limit: int = 20,
) -> Answer:
    """Rank what a parcel may hold.

    Args:
        candidates: copies that nobody has seen yet.
        mass_g: as weighed, with its wrapping; sigma is that of the scale.
        thickness_mm: of the whole parcel.
        height_mm: the longest side of the tallest book in it.
        wrapped: whether wrapping is to be taken off; not for a bare book.
        sizes: prior probability of 0, 1, 2 … copies.
        limit: how many guesses to return.

    Raises:
        UsageError: a measure that is not more than nothing.
    """
    for name, measure in (("mass", mass_g), ("thickness", thickness_mm), ("height", height_mm)):
        if measure is not None and (measure.mean <= 0 or measure.sigma < 0):
            raise UsageError(f"The {name} of the parcel", "is not more than nothing", "measure it again")
    bare = _unwrapped(mass_g, WRAPPING_G, wrapped=wrapped)
    thin, high = (
        _unwrapped(side, WRAPPING_MM, wrapped=wrapped) if side else None for side in (thickness_mm, height_mm)
    )
    looked_at, left_out = _chosen(candidates, bare)
    measured = Measured(_pair(bare), _pair(thin) if thin else None, _pair(high) if high else None)
    found = rank(_pool(looked_at), measured, sizes)
    strange = ON_NO_LIST / ANYTHING_G
    strange *= (1 / ANYTHING_THICK_MM if thin else 1.0) * (1 / ANYTHING_HIGH_MM if high else 1.0)
    return _answer(looked_at, found, strange, left_out, limit)


def _answer(
    looked_at: Sequence[ContentsCandidate], found: RankedSubsets, strange: float, left_out: int, limit: int
) -> Answer:
    scale = (1 - ON_NO_LIST) / ((1 - ON_NO_LIST) * found.total + strange)
    shown = list(zip(found.sets, found.evidence, strict=True))[:limit]
    return Answer(
        guesses=tuple(Guess(tuple(looked_at[n].key for n in members), scale * e) for members, e in shown),
        alike=round(found.alike),
        on_no_list=strange * scale / (1 - ON_NO_LIST),
        sizes={size: scale * float(found.by_size[size]) for size in range(1, len(found.by_size))},
        inside={one.key: scale * float(found.inside[n]) for n, one in enumerate(looked_at)},
        sampled=scale * found.sampled,
        left_out=left_out,
    )


def _chosen(candidates: Sequence[ContentsCandidate], bare: Estimate) -> tuple[list[ContentsCandidate], int]:
    """Leave out what is surely heavier than the parcel, put this box's list first, and cut where there are too many."""
    light = [
        one for one in candidates if one.mass_g.mean - REACH * (one.mass_g.sigma**2 + bare.sigma**2) ** 0.5 <= bare.mean
    ]
    ordered = sorted(light, key=lambda one: not one.listed)
    return ordered[:MOST], max(0, len(ordered) - MOST)


def _pool(candidates: Sequence[ContentsCandidate]) -> CandidatePool:
    listed = sum(one.listed for one in candidates)
    others = len(candidates) - listed
    weight = ELSEWHERE / (1 - ELSEWHERE) * listed / others if listed and others else 1.0
    mass = [one.mass_g for one in candidates]
    thickness = [one.thickness_mm or NO_THICKNESS for one in candidates]
    height = [one.height_mm or NO_HEIGHT for one in candidates]
    return CandidatePool(*_means(mass), *_means(thickness), *_means(height), listed=listed, weight=weight)


def _means(estimates: Sequence[Estimate]) -> tuple[Floats, Floats]:
    mean = np.array(list(map(attrgetter("mean"), estimates)), np.float64)
    sigma = np.array(list(map(attrgetter("sigma"), estimates)), np.float64)
    return mean, sigma**2


def _unwrapped(measure: Estimate, wrapping: Estimate, *, wrapped: bool) -> Estimate:
    if not wrapped:
        return measure
    return Estimate(max(measure.mean - wrapping.mean, 1.0), (measure.sigma**2 + wrapping.sigma**2) ** 0.5)


def _pair(estimate: Estimate) -> tuple[float, float]:
    return estimate.mean, estimate.sigma**2

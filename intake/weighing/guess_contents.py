"""What a wrapped parcel contains: sets of one to six copies not seen yet, by posterior probability.

The priors, for the number of copies in a parcel, for something that is on no list, and for a copy from another box's
list, are common practice, no source. Books are assumed to lie on each other, so that thicknesses add up and the height
is that of the tallest. The mass and size of something on no list are uniformly distributed up to 6 kg, 250 mm and
450 mm. Wrapping is subtracted first. Sets that fit as well as the best are counted, because a scale cannot distinguish
copies of equal mass. `intake.weighing.subsets` computes the evidence for each set.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter

import numpy as np

from intake.errors import UsageError
from intake.weighing.estimates import Estimate
from intake.weighing.subsets import REACH, CandidatePool, Floats, Measurement, RankedSubsets, rank

SIZES = (0.0, 0.70, 0.15, 0.08, 0.04, 0.02, 0.01)
"""Prior probabilities of 0, 1, 2 … copies in a parcel."""
ELSEWHERE = 0.05
"""Prior probability that a copy is from another box's list rather than from this one's."""
ON_NO_LIST = 0.03
MOST = 500
"""Most candidates considered; with more, a mass is not informative."""
ANYTHING_G, ANYTHING_THICK_MM, ANYTHING_HIGH_MM = 6000.0, 250.0, 450.0
WRAPPING_G = Estimate(60.0, 40.0)
WRAPPING_MM = Estimate(4.0, 2.0)
"""Mass of the paper and film around a parcel, and what they add to a length (from memory)."""
NO_THICKNESS = Estimate(28.0, 14.0)
NO_HEIGHT = Estimate(260.0, 60.0)
"""For a copy whose thickness or height is unknown (from memory: illustrated books)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContentsCandidate:
    """A copy that the parcel may contain; `listed` if it is on the list of the parcel's own box."""

    key: str
    mass_g: Estimate
    thickness_mm: Estimate | None = None
    height_mm: Estimate | None = None
    listed: bool = True


@dataclass(frozen=True, slots=True)
class SubsetGuess:
    """A set of copies, and the probability that the parcel contains exactly these."""

    keys: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class ContentsGuess:
    """What the parcel may contain.

    Attributes:
        guesses: most probable first.
        alike: number of sets at least half as probable as the first, which is included.
        on_no_list: probability that it is something that is on no list.
        sizes: probability of each number of copies.
        inside: probability that each copy is in it.
        sampled: share of the probability that is estimated from a sample of sets; 0 if every set was evaluated.
        left_out: number of candidates beyond `MOST`, which were not considered.
    """

    guesses: tuple[SubsetGuess, ...]
    alike: int
    on_no_list: float
    sizes: Mapping[int, float]
    inside: Mapping[str, float]
    sampled: float
    left_out: int = 0


def guess_contents(
    candidates: Sequence[ContentsCandidate],
    *,
    mass_g: Estimate,
    thickness_mm: Estimate | None = None,
    height_mm: Estimate | None = None,
    wrapped: bool = True,
    sizes: Sequence[float] = SIZES,
    limit: int = 20,
) -> ContentsGuess:
    """Rank what a parcel may contain.

    Args:
        candidates: copies not seen yet.
        mass_g: measured mass, with wrapping; sigma is that of the scale.
        thickness_mm: of the whole parcel.
        height_mm: the longest side of the tallest book in it.
        wrapped: whether wrapping is to be subtracted; False for an unwrapped book.
        sizes: prior probabilities of 0, 1, 2 … copies.
        limit: greatest number of guesses to return.

    Raises:
        UsageError: a measure is not greater than zero.
    """
    for name, measure in (("mass", mass_g), ("thickness", thickness_mm), ("height", height_mm)):
        if measure is not None and (measure.mean <= 0 or measure.sigma < 0):
            raise UsageError(f"The {name} of the parcel", "is not greater than zero", "measure it again")
    bare = _unwrapped(mass_g, WRAPPING_G, wrapped=wrapped)
    thin, high = (
        _unwrapped(side, WRAPPING_MM, wrapped=wrapped) if side else None for side in (thickness_mm, height_mm)
    )
    considered, left_out = _choose_candidates(candidates, bare)
    measured = Measurement(_pair(bare), _pair(thin) if thin else None, _pair(high) if high else None)
    ranked = rank(_pool(considered), measured, sizes)
    strange = ON_NO_LIST / ANYTHING_G
    strange *= (1 / ANYTHING_THICK_MM if thin else 1.0) * (1 / ANYTHING_HIGH_MM if high else 1.0)
    return _make_guess(considered, ranked, strange, left_out, limit)


def _make_guess(
    considered: Sequence[ContentsCandidate], ranked: RankedSubsets, strange: float, left_out: int, limit: int
) -> ContentsGuess:
    scale = (1 - ON_NO_LIST) / ((1 - ON_NO_LIST) * ranked.total + strange)
    shown = list(zip(ranked.sets, ranked.evidence, strict=True))[:limit]
    return ContentsGuess(
        guesses=tuple(SubsetGuess(tuple(considered[n].key for n in members), scale * e) for members, e in shown),
        alike=round(ranked.alike),
        on_no_list=strange * scale / (1 - ON_NO_LIST),
        sizes={size: scale * float(ranked.by_size[size]) for size in range(1, len(ranked.by_size))},
        inside={candidate.key: scale * float(ranked.inside[n]) for n, candidate in enumerate(considered)},
        sampled=scale * ranked.sampled,
        left_out=left_out,
    )


def _choose_candidates(candidates: Sequence[ContentsCandidate], bare: Estimate) -> tuple[list[ContentsCandidate], int]:
    """Return the candidates that are not heavier than the parcel, this box's first, and the number beyond `MOST`."""
    light = [
        candidate
        for candidate in candidates
        if candidate.mass_g.mean - REACH * (candidate.mass_g.sigma**2 + bare.sigma**2) ** 0.5 <= bare.mean
    ]
    ordered = sorted(light, key=lambda candidate: not candidate.listed)
    return ordered[:MOST], max(0, len(ordered) - MOST)


def _pool(candidates: Sequence[ContentsCandidate]) -> CandidatePool:
    listed = sum(candidate.listed for candidate in candidates)
    others = len(candidates) - listed
    weight = ELSEWHERE / (1 - ELSEWHERE) * listed / others if listed and others else 1.0
    mass = [candidate.mass_g for candidate in candidates]
    thickness = [candidate.thickness_mm or NO_THICKNESS for candidate in candidates]
    height = [candidate.height_mm or NO_HEIGHT for candidate in candidates]
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

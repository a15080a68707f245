"""What a wrapped parcel contains: sets of one to six copies not seen yet, by posterior probability.

The priors, for the number of copies in a parcel, for something that is on no list, and for a copy from another box's
list, are common practice, no source. Books are assumed to lie on each other, so that thicknesses add up and the height
is that of the tallest. The mass and size of something on no list are uniformly distributed up to 6 kg, 250 mm and
450 mm. Wrapping is subtracted first. Sets that fit as well as the best are counted, because a scale cannot distinguish
copies of equal mass. Copies that are heavier than the parcel are not tried, and keep their share of the prior: that
most of a list is too heavy makes what is left no likelier by itself. `intake.weighing.subsets` computes the evidence
for each set.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter

import numpy as np

from intake.errors import UsageError
from intake.weighing.candidate_pool import CandidatePool, Floats, Measurement
from intake.weighing.estimates import Estimate
from intake.weighing.subsets import REACH, RankedSubsets, rank

SIZES = (0.0, 0.70, 0.15, 0.08, 0.04, 0.02, 0.01)
"""Prior probabilities of 0, 1, 2 … copies in a parcel."""
ELSEWHERE = 0.05
"""Prior probability that a copy is from another box's list rather than from this one's."""
ON_NO_LIST = 0.03
MOST = 1500
"""Most candidates tried; of more a part is drawn at random (with a fixed seed), and stands for the rest."""
OTHERS_SHARE = 0.25
"""Part of `MOST` that is kept for copies from other boxes' lists."""
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
        alike_probability: probability that it is one of these.
        on_no_list: probability that it is something that is on no list.
        sizes: probability of each number of copies; these and `on_no_list` add up to 1.
        inside: probability that each copy that was tried is in it.
        sampled: share of the probability that is estimated from a sample of sets; 0 if every set was evaluated.
        left_out: number of copies that were not tried, because there are too many.
        left_out_probability: probability that one of them is in it, supposing that they are like the others.
    """

    guesses: tuple[SubsetGuess, ...]
    alike: int
    alike_probability: float
    on_no_list: float
    sizes: Mapping[int, float]
    inside: Mapping[str, float]
    sampled: float
    left_out: int = 0
    left_out_probability: float = 0.0


def guess_contents(
    candidates: Sequence[ContentsCandidate],
    *,
    mass_g: Estimate,
    thickness_mm: Estimate | None = None,
    height_mm: Estimate | None = None,
    wrapped: bool = True,
    sizes: Sequence[float] = SIZES,
    further: tuple[int, int] = (0, 0),
    limit: int = 20,
) -> ContentsGuess:
    """Rank what a parcel may contain.

    Args:
        candidates: copies not seen yet.
        mass_g: measured mass, with wrapping; sigma is that of the scale.
        thickness_mm: of the whole parcel.
        height_mm: the longest side of the tallest book in it.
        wrapped: whether wrapping is to be subtracted; False for an unwrapped book.
        sizes: prior probabilities of 0, 1, 2 … copies; those of more copies than there are count for nothing.
        further: number of copies on this box's list, and on others', that are not among the candidates.
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
    tried, pool, left_out = _choose_candidates(candidates, bare, further)
    measured = Measurement(_pair(bare), _pair(thin) if thin else None, _pair(high) if high else None)
    ranked = rank(pool, measured, _possible(sizes, sum(pool.every)))
    strange = ON_NO_LIST / ANYTHING_G
    strange *= (1 / ANYTHING_THICK_MM if thin else 1.0) * (1 / ANYTHING_HIGH_MM if high else 1.0)
    return _make_guess(tried, ranked, strange, left_out, limit)


def _possible(sizes: Sequence[float], count: int) -> list[float]:
    """Return the prior probabilities of up to `count` copies, which add up to 1 again (or to nothing)."""
    possible = sizes[: count + 1]
    whole = sum(possible)
    return [size / whole if whole else 0.0 for size in possible]


def _make_guess(
    tried: Sequence[ContentsCandidate], ranked: RankedSubsets, strange: float, left_out: int, limit: int
) -> ContentsGuess:
    scale = (1 - ON_NO_LIST) / ((1 - ON_NO_LIST) * ranked.total + strange)
    shown = list(zip(ranked.sets, ranked.evidence, strict=True))[:limit]
    return ContentsGuess(
        guesses=tuple(SubsetGuess(tuple(tried[n].key for n in members), scale * e) for members, e in shown),
        alike=round(ranked.alike),
        alike_probability=scale * ranked.alike_evidence,
        on_no_list=strange * scale / (1 - ON_NO_LIST),
        sizes={size: scale * float(ranked.by_size[size]) for size in range(1, len(ranked.by_size))},
        inside={candidate.key: scale * float(ranked.inside[n]) for n, candidate in enumerate(tried)},
        sampled=scale * ranked.sampled,
        left_out=left_out,
        left_out_probability=scale * ranked.left_out,
    )


def _choose_candidates(
    candidates: Sequence[ContentsCandidate], bare: Estimate, further: tuple[int, int]
) -> tuple[list[ContentsCandidate], CandidatePool, int]:
    """Return what is tried, this box's copies first, at most `MOST`; the pool, which counts the rest; how many are not.

    What is too heavy counts neither as tried nor as not tried: it is known not to be in the parcel.
    """
    every = [[candidate for candidate in candidates if candidate.listed is own] for own in (True, False)]
    light = [[candidate for candidate in own if not _too_heavy(candidate, bare)] for own in every]
    for_others = min(len(light[1]), max(round(MOST * OTHERS_SHARE), MOST - len(light[0])))
    random = np.random.default_rng(2)
    tried = [_draw(light[0], MOST - for_others, random), _draw(light[1], for_others, random)]
    # What was not even read is as often too heavy as what was.
    share = [len(light[n]) / len(every[n]) if every[n] else 1.0 for n in (0, 1)]
    unread = [round(further[n] * share[n]) for n in (0, 1)]
    left_out = (len(light[0]) - len(tried[0]) + unread[0], len(light[1]) - len(tried[1]) + unread[1])
    counts = [len(every[n]) + further[n] for n in (0, 1)]
    excluded = (counts[0] - len(tried[0]) - left_out[0], counts[1] - len(tried[1]) - left_out[1])
    pool = _pool([*tried[0], *tried[1]], counts, excluded, left_out)
    not_tried = sum(map(len, light)) - sum(map(len, tried)) + sum(further)
    return [*tried[0], *tried[1]], pool, not_tried


def _pool(
    tried: Sequence[ContentsCandidate], counts: Sequence[int], excluded: tuple[int, int], left_out: tuple[int, int]
) -> CandidatePool:
    listed, others = counts
    weight = ELSEWHERE / (1 - ELSEWHERE) * listed / others if listed and others else 1.0
    mass = [candidate.mass_g for candidate in tried]
    thickness = [candidate.thickness_mm or NO_THICKNESS for candidate in tried]
    height = [candidate.height_mm or NO_HEIGHT for candidate in tried]
    own = sum(candidate.listed for candidate in tried)
    sizes = (*_means(mass), *_means(thickness), *_means(height))
    return CandidatePool(*sizes, listed=own, weight=weight, excluded=excluded, left_out=left_out)


def _draw(candidates: list[ContentsCandidate], count: int, random: np.random.Generator) -> list[ContentsCandidate]:
    """Return so many of them in their order, or all."""
    if len(candidates) <= count:
        return candidates
    return [candidates[n] for n in sorted(random.permutation(len(candidates))[:count])]


def _too_heavy(candidate: ContentsCandidate, bare: Estimate) -> bool:
    reach: float = REACH * (candidate.mass_g.sigma**2 + bare.sigma**2) ** 0.5
    return candidate.mass_g.mean - reach > bare.mean


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

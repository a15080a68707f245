"""Which copies together explain a measured mass (and thickness and height): the posterior of sets of candidates.

    P(set | measured) ~ P(size) x product of weights / e_size(weights) x likelihood

where e_size is the elementary symmetric polynomial, so that the sizes have exactly the given prior probabilities, and
the likelihood is normal in the sum of masses, the sum of thicknesses (books lie on each other) and the height of the
tallest. Candidates are of two classes, listed and others, each with one weight.

e_size is of everything that may be in the parcel, not only of what is tried: candidates that are excluded (too heavy)
take their share of the prior and have no likelihood, and candidates left out for their number are supposed to be like
the rest of their class. Without them a set would seem the likelier, the fewer candidates remain.

A set is a head, its first members in the order of the candidates, and a tail, its last two. For each head the tails
with a matching mass are found in a sorted list. If there are too many heads, they are drawn at random (with a fixed
seed), and each resulting set is weighted for those not drawn; `RankedSubsets.sampled` is the evidence of such sets.
Sets that miss the mass by more than six standard uncertainties are left out unless there are few sets.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from intake.weighing.candidate_pool import CandidatePool, Floats, Measurement, symmetric

Ints = npt.NDArray[np.int64]

FEW = 300_000
"""Up to this many sets, all are evaluated, whatever their mass."""
HEADS = 4_000
HITS = 60_000
"""Most heads, and most matching sets, that are evaluated for one kind of set."""
REACH = 6.0
KEPT = 100
"""Number of the best sets that are returned."""


@dataclass(frozen=True, slots=True)
class RankedSubsets:
    """Sets ranked by evidence: prior times likelihood, not normalised.

    Attributes:
        sets: indices of the members, greatest evidence first.
        evidence: of each of `sets`.
        alike: number of sets with at least half the evidence of the first (an estimate where sets were sampled).
        alike_evidence: sum over these.
        total: sum over all sets.
        by_size: sum over the sets of each size from 0.
        inside: for each candidate, the sum over the sets that contain it.
        sampled: the part of `total` that is estimated from a sample; 0.0 if every set was evaluated.
        left_out: the part of `total` of sets with a member that was left out, estimated from the other sets.
    """

    sets: tuple[tuple[int, ...], ...]
    evidence: tuple[float, ...]
    alike: float
    alike_evidence: float
    total: float
    by_size: Floats
    inside: Floats
    sampled: float
    left_out: float


@dataclass(frozen=True, slots=True)
class SubsetBatch:
    """Sets of one size and kind: members, one row per set; log evidence; and the number of sets each represents."""

    members: Ints
    log: Floats
    represents: float


def rank(pool: CandidatePool, measured: Measurement, sizes: Sequence[float]) -> RankedSubsets:
    """Compute the evidence of every set and rank them.

    Args:
        pool: the candidates.
        measured: the measurements.
        sizes: prior probability of each size, from 0 up; they need not add up to 1.
    """
    count = len(pool.mass)
    sizes = sizes[: count + 1]
    every = sum(math.comb(count, size) for size in range(len(sizes)))
    batches = list(_batches(pool, measured, sizes, windowed=every > FEW))
    tried, inside, sampled = np.zeros((len(sizes), len(sizes))), np.zeros(count), 0.0
    for batch in batches:
        evidence = np.exp(batch.log) * batch.represents
        others = (batch.members >= pool.listed).sum(axis=1)
        tried[batch.members.shape[1]] += np.bincount(others, weights=evidence, minlength=len(sizes))
        sampled += float(evidence.sum()) if batch.represents > 1 else 0.0
        for column in batch.members.T:
            inside += np.bincount(column, weights=evidence, minlength=count)
    best = max((float(batch.log.max()) for batch in batches if batch.log.size), default=-math.inf)
    near = best - math.log(2) - 1e-9
    alike = sum(float((batch.log >= near).sum()) * batch.represents for batch in batches)
    alike_evidence = sum(float(np.exp(batch.log[batch.log >= near]).sum()) * batch.represents for batch in batches)
    by_size = tried.sum(axis=1)
    whole = np.array([_whole(pool, size, row) for size, row in enumerate(tried)])
    top = sorted(
        (pair for batch in batches for pair in _top(batch)), key=lambda pair: (-pair[0], len(pair[1]), pair[1])
    )
    return RankedSubsets(
        sets=tuple(members for _, members in top[:KEPT]),
        evidence=tuple(math.exp(log) for log, _ in top[:KEPT]),
        alike=alike,
        alike_evidence=alike_evidence,
        total=float(whole.sum()),
        by_size=whole,
        inside=inside,
        sampled=sampled,
        left_out=float((whole - by_size).sum()),
    )


def _whole(pool: CandidatePool, size: int, tried: Floats) -> float:
    """Return the evidence of the sets of a size, with those left out, from that of the sets tried by their others."""
    return sum(float(evidence) / pool.share_tried(size, others) for others, evidence in enumerate(tried) if evidence)


def _top(batch: SubsetBatch) -> Iterator[tuple[float, tuple[int, ...]]]:
    most = np.arange(len(batch.log)) if len(batch.log) <= KEPT else np.argpartition(-batch.log, KEPT)[:KEPT]
    chosen = most[np.lexsort((most, -batch.log[most]))]
    for row in chosen:
        yield float(batch.log[row]), tuple(int(member) for member in batch.members[row])


def _batches(
    pool: CandidatePool, measured: Measurement, sizes: Sequence[float], *, windowed: bool
) -> Iterator[SubsetBatch]:
    count, listed = len(pool.mass), pool.listed
    random = np.random.default_rng(1)
    classes = [(0, listed), (listed, count)]
    tails = {
        "listed": _pairs(pool, range(listed), None),
        "mixed": _pairs(pool, range(listed), range(listed, count)),
        "others": _pairs(pool, range(listed, count), None),
    }
    for size, chance in enumerate(sizes):
        if chance <= 0:
            continue
        prior = math.log(chance) - math.log(symmetric(size, *pool.every, pool.weight))
        if size < 2:
            members = np.arange(count)[:, None] if size else np.zeros((1, 0), np.int64)
            yield SubsetBatch(members, _log_evidence(pool, measured, members, prior), 1.0)
            continue
        for kind, tail in tails.items():
            for own in range(size - 1):
                rest = size - 2 - own
                if len(tail.mass) == 0 or (rest and kind != "others"):
                    continue
                heads, represents = _heads(classes, own, rest, random, all_of_them=not windowed)
                yield _with_tails(pool, measured, (heads, represents), tail, prior, random if windowed else None)


@dataclass(frozen=True, slots=True)
class Tails:
    """Pairs of candidates, sorted by mass."""

    members: Ints
    mass: Floats
    most_var: float


def _pairs(pool: CandidatePool, first: range, second: range | None) -> Tails:
    if second is None:
        below, above = np.triu_indices(len(first), 1)
        members = np.stack([below + first.start, above + first.start], axis=1)
    else:
        members = np.array(np.meshgrid(np.asarray(first), np.asarray(second), indexing="ij")).reshape(2, -1).T
    members = members.astype(np.int64)
    mass = pool.mass[members].sum(axis=1)
    order = np.argsort(mass, kind="stable")
    variance = pool.mass_var[members].sum(axis=1)
    return Tails(members[order], mass[order], float(variance.max(initial=0.0)))


def _heads(
    classes: Sequence[tuple[int, int]], own: int, rest: int, random: np.random.Generator, *, all_of_them: bool
) -> tuple[Ints, float]:
    """Return sets of `own` listed and `rest` other members, all or a sample, and the number of sets each represents."""
    (start, middle), (_, end) = classes
    whole = math.comb(middle - start, own) * math.comb(end - middle, rest)
    if whole == 0:
        return np.zeros((0, own + rest), np.int64), 1.0
    if all_of_them or whole <= HEADS:
        left = _all(start, middle, own)
        right = _all(middle, end, rest)
        pairs = np.repeat(left, len(right), axis=0), np.tile(right, (len(left), 1))
        return np.concatenate(pairs, axis=1), 1.0
    left, right = _draw(start, middle, own, random), _draw(middle, end, rest, random)
    count = min(len(left), len(right))
    drawn = np.unique(np.concatenate([left[:count], right[:count]], axis=1), axis=0)
    return drawn, whole / len(drawn)


def _all(start: int, end: int, size: int) -> Ints:
    return np.array(list(combinations(range(start, end), size)), np.int64).reshape(math.comb(end - start, size), size)


def _draw(start: int, end: int, size: int, random: np.random.Generator) -> Ints:
    """Draw subsets of a range with equal probability; rows with a repeated member are dropped."""
    drawn = np.sort(random.integers(start, max(end, start + 1), (2 * HEADS, size)), axis=1)
    return drawn[(np.diff(drawn, axis=1) > 0).all(axis=1)][:HEADS] if size > 1 else drawn[:HEADS]


def _with_tails(
    pool: CandidatePool,
    measured: Measurement,
    drawn: tuple[Ints, float],
    tail: Tails,
    prior: float,
    random: np.random.Generator | None,
) -> SubsetBatch:
    """Combine each head with the tails of matching mass; `random` samples if there are too many, None takes all."""
    heads, represents = drawn
    low, high = np.zeros(len(heads), np.int64), np.full(len(heads), len(tail.mass))
    if random is not None and len(heads):
        mass, variance = pool.mass[heads].sum(axis=1), pool.mass_var[heads].sum(axis=1)
        reach = REACH * np.sqrt(measured.mass[1] + np.maximum(0.0, variance + tail.most_var))
        low = np.searchsorted(tail.mass, measured.mass[0] - mass - reach)
        high = np.searchsorted(tail.mass, measured.mass[0] - mass + reach)
        hits = int((high - low).sum())
        if hits > HITS:
            kept = np.sort(random.permutation(len(heads))[: max(1, len(heads) * HITS // hits)])
            represents *= len(heads) / len(kept)
            heads, low, high = heads[kept], low[kept], high[kept]
    counts = high - low
    rows = np.repeat(np.arange(len(heads)), counts)
    at = np.arange(len(rows)) - np.repeat(np.cumsum(counts) - counts, counts) + np.repeat(low, counts)
    if heads.shape[1]:
        once = heads[rows, -1] < tail.members[at, 0]
        rows, at = rows[once], at[once]
    members = np.concatenate([heads[rows], tail.members[at]], axis=1)
    return SubsetBatch(members, _log_evidence(pool, measured, members, prior), represents)


def _log_evidence(pool: CandidatePool, measured: Measurement, members: Ints, prior: float) -> Floats:
    """Return the log of prior times likelihood of each set."""
    log = np.full(len(members), prior)
    if pool.weight != 1.0:
        log += (members >= pool.listed).sum(axis=1) * math.log(pool.weight)
    log += _normal(measured.mass, pool.mass[members].sum(axis=1), pool.mass_var[members].sum(axis=1))
    if measured.thickness is not None:
        spread = pool.thickness_var[members].sum(axis=1)
        log += _normal(measured.thickness, pool.thickness[members].sum(axis=1), spread)
    if measured.height is not None and members.shape[1]:
        tallest = np.take_along_axis(members, pool.height[members].argmax(axis=1)[:, None], axis=1)[:, 0]
        log += _normal(measured.height, pool.height[tallest], pool.height_var[tallest])
    return log


def _normal(measured: tuple[float, float], mean: Floats, variance: Floats) -> Floats:
    whole = np.maximum(measured[1] + variance, 1e-9)
    density: Floats = -0.5 * ((measured[0] - mean) ** 2 / whole + np.log(2 * np.pi * whole))
    return density

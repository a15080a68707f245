"""Which copies together explain a measured mass (and thickness and height): posterior over sets of candidates.

    P(set | measured) ~ P(size) x product of weights / e_size(weights) x likelihood

where e_size is the elementary symmetric polynomial, so that the sizes have just the prior probabilities given, and the
likelihood is normal in the sum of masses, the sum of thicknesses (books lie on each other) and the height of the
tallest. Candidates come in two classes, listed and others, of one weight each.

A set is a head, its first members in the order of the candidates, and a tail, its last two. For each head the tails of
a fitting mass are found in a sorted list. Where that is too much work, heads are drawn at random (with a fixed seed),
and each set they lead to stands for as many as were not drawn; `Found.sampled` says how much of the evidence rests on
such. Sets that miss the mass by more than six standard uncertainties are left out unless there are few sets.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

FEW = 300_000
"""Up to so many sets, all are looked at, whatever they weigh."""
HEADS = 4_000
HITS = 60_000
"""At most so many heads, and so many fitting sets, are looked at of one kind."""
REACH = 6.0
KEPT = 100
"""The best sets of each kind are kept to be shown."""


@dataclass(frozen=True, slots=True)
class CandidatePool:
    """The candidates, those of this list first; arrays of one length, variances in the square of the unit.

    Attributes:
        listed: how many belong to this list.
        weight: prior odds of each other candidate against a listed one.
        thickness, height: only what was measured of the parcel needs them right.
    """

    mass: Floats
    mass_var: Floats
    thickness: Floats
    thickness_var: Floats
    height: Floats
    height_var: Floats
    listed: int
    weight: float


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured, as (value, variance); None where it was not."""

    mass: tuple[float, float]
    thickness: tuple[float, float] | None = None
    height: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class RankedSubsets:
    """Sets by evidence; evidence is prior times likelihood, not yet divided by its sum.

    Attributes:
        sets: indices of the members, most evidence first.
        evidence: of each of `sets`.
        alike: how many sets have at least half the evidence of the first (estimated where not exact).
        total: sum over all sets.
        by_size: sum over the sets of each size from 0.
        inside: for each candidate the sum over the sets it is in.
        sampled: the part of `total` that is estimated; 0.0 where every set was looked at.
    """

    sets: tuple[tuple[int, ...], ...]
    evidence: tuple[float, ...]
    alike: float
    total: float
    by_size: Floats
    inside: Floats
    sampled: float


@dataclass(frozen=True, slots=True)
class Lot:
    """Sets of one size and kind: members row by row, log evidence, and how many sets each stands for."""

    members: Ints
    log: Floats
    stands_for: float


def rank(pool: CandidatePool, measured: Measured, sizes: Sequence[float]) -> RankedSubsets:
    """Weigh every set.

    Args:
        pool: the candidates.
        measured: what the scale and the rule say.
        sizes: prior probability of each size, from 0 up; they need not add up to 1.
    """
    count = len(pool.mass)
    sizes = sizes[: count + 1]
    every = sum(math.comb(count, size) for size in range(len(sizes)))
    lots = list(_lots(pool, measured, sizes, windowed=every > FEW))
    by_size, inside, sampled = np.zeros(len(sizes)), np.zeros(count), 0.0
    for lot in lots:
        evidence = np.exp(lot.log) * lot.stands_for
        by_size[lot.members.shape[1]] += evidence.sum()
        sampled += float(evidence.sum()) if lot.stands_for > 1 else 0.0
        for column in lot.members.T:
            inside += np.bincount(column, weights=evidence, minlength=count)
    best = max((float(lot.log.max()) for lot in lots if lot.log.size), default=-math.inf)
    near = best - math.log(2) - 1e-9
    alike = sum(float((lot.log >= near).sum()) * lot.stands_for for lot in lots)
    top = sorted((pair for lot in lots for pair in _top(lot)), key=lambda pair: (-pair[0], len(pair[1]), pair[1]))
    return RankedSubsets(
        sets=tuple(members for _, members in top[:KEPT]),
        evidence=tuple(math.exp(log) for log, _ in top[:KEPT]),
        alike=alike,
        total=float(by_size.sum()),
        by_size=by_size,
        inside=inside,
        sampled=sampled,
    )


def _top(lot: Lot) -> Iterator[tuple[float, tuple[int, ...]]]:
    most = np.arange(len(lot.log)) if len(lot.log) <= KEPT else np.argpartition(-lot.log, KEPT)[:KEPT]
    chosen = most[np.lexsort((most, -lot.log[most]))]
    for row in chosen:
        yield float(lot.log[row]), tuple(int(member) for member in lot.members[row])


def _lots(pool: CandidatePool, measured: Measured, sizes: Sequence[float], *, windowed: bool) -> Iterator[Lot]:
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
        prior = math.log(chance) - math.log(_symmetric(size, listed, count - listed, pool.weight))
        if size < 2:
            members = np.arange(count)[:, None] if size else np.zeros((1, 0), np.int64)
            yield Lot(members, _log(pool, measured, members, prior), 1.0)
            continue
        for kind, tail in tails.items():
            for own in range(size - 1):
                rest = size - 2 - own
                if len(tail.mass) == 0 or (rest and kind != "others"):
                    continue
                heads, stands_for = _heads(classes, own, rest, random, all_of_them=not windowed)
                yield _joined(pool, measured, (heads, stands_for), tail, prior, random if windowed else None)


@dataclass(frozen=True, slots=True)
class Tails:
    """Pairs of candidates, by mass."""

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
    """Return sets of `own` listed and `rest` other members: all, or a sample and how many sets each stands for."""
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
    """Draw subsets of a range, each as likely as any other; rows that name a member twice are thrown away."""
    drawn = np.sort(random.integers(start, max(end, start + 1), (2 * HEADS, size)), axis=1)
    return drawn[(np.diff(drawn, axis=1) > 0).all(axis=1)][:HEADS] if size > 1 else drawn[:HEADS]


def _joined(
    pool: CandidatePool,
    measured: Measured,
    drawn: tuple[Ints, float],
    tail: Tails,
    prior: float,
    random: np.random.Generator | None,
) -> Lot:
    """Put tails of a fitting mass to each head; `random` thins out what is too much, None looks at everything."""
    heads, stands_for = drawn
    low, high = np.zeros(len(heads), np.int64), np.full(len(heads), len(tail.mass))
    if random is not None and len(heads):
        mass, variance = pool.mass[heads].sum(axis=1), pool.mass_var[heads].sum(axis=1)
        reach = REACH * np.sqrt(measured.mass[1] + np.maximum(0.0, variance + tail.most_var))
        low = np.searchsorted(tail.mass, measured.mass[0] - mass - reach)
        high = np.searchsorted(tail.mass, measured.mass[0] - mass + reach)
        hits = int((high - low).sum())
        if hits > HITS:
            kept = np.sort(random.permutation(len(heads))[: max(1, len(heads) * HITS // hits)])
            stands_for *= len(heads) / len(kept)
            heads, low, high = heads[kept], low[kept], high[kept]
    counts = high - low
    rows = np.repeat(np.arange(len(heads)), counts)
    at = np.arange(len(rows)) - np.repeat(np.cumsum(counts) - counts, counts) + np.repeat(low, counts)
    if heads.shape[1]:
        once = heads[rows, -1] < tail.members[at, 0]
        rows, at = rows[once], at[once]
    members = np.concatenate([heads[rows], tail.members[at]], axis=1)
    return Lot(members, _log(pool, measured, members, prior), stands_for)


def _log(pool: CandidatePool, measured: Measured, members: Ints, prior: float) -> Floats:
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


def _symmetric(size: int, listed: int, others: int, weight: float) -> float:
    """Return the elementary symmetric polynomial of the weights."""
    return sum(math.comb(listed, size - n) * math.comb(others, n) * weight**n for n in range(size + 1))

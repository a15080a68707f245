"""Sets of candidates drawn and windowed, against what weighing every set gives. Masses are invented."""

import math
from itertools import combinations

import numpy as np
import pytest

from intake.weighing import subsets
from intake.weighing.candidate_pool import CandidatePool, Measurement
from intake.weighing.subsets import KEPT, RankedSubsets, rank

SIZES = (0.0, 0.5, 0.3, 0.2)


def pool(masses: list[float], listed: int, weight: float = 1.0, variance: float = 25.0) -> CandidatePool:
    mass = np.array(masses, np.float64)
    count = len(masses)
    return CandidatePool(
        mass, np.full(count, variance), mass / 50, np.full(count, 1.0), np.full(count, 280.0), np.full(count, 4.0),
        listed, weight,
    )  # fmt: skip


def weighed(grams: float, variance: float = 25.0) -> Measurement:
    return Measurement((grams, variance))


def same(one: RankedSubsets, other: RankedSubsets, rel: float = 1e-9) -> None:
    assert one.sets == other.sets
    assert one.total == pytest.approx(other.total, rel=rel)
    assert one.by_size == pytest.approx(other.by_size, rel=rel)
    assert one.inside == pytest.approx(other.inside, rel=rel)
    assert one.alike == pytest.approx(other.alike)


@pytest.mark.parametrize("listed", [0, 1, 2, 7, 12])
def test_a_window_over_all_sets_is_the_same_as_every_set(listed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Six standard uncertainties wide, where all masses are within them: nothing is left out."""
    masses = [500.0 + n for n in range(12)]
    candidates, measured = pool(masses, listed, 0.2 if 0 < listed < 12 else 1.0, variance=1e6), weighed(1000, 1e6)
    every = rank(candidates, measured, SIZES)
    monkeypatch.setattr(subsets, "FEW", 0)
    windowed = rank(candidates, measured, SIZES)
    assert windowed.sampled == 0
    same(windowed, every)


def test_sets_out_of_reach_are_left_out_where_there_are_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten of 100 g and ten of 10 kg: of two, only those of 100 g each can weigh 200 g."""
    candidates = pool([100.0] * 10 + [10_000.0] * 10, 20)
    monkeypatch.setattr(subsets, "FEW", 0)
    found = rank(candidates, weighed(200), (0.0, 0.0, 1.0))
    assert {frozenset(members) for members in found.sets} == {frozenset(pair) for pair in combinations(range(10), 2)}
    assert found.alike == math.comb(10, 2)
    assert found.inside[10:] == pytest.approx(np.zeros(10))
    assert found.inside[:10].sum() == pytest.approx(2 * found.total)


def test_only_the_best_sets_are_listed_and_all_are_counted() -> None:
    candidates = pool([100.0] * 25, 25)
    found = rank(candidates, weighed(200), (0.0, 0.0, 1.0))
    assert len(found.sets) == KEPT < math.comb(25, 2)
    assert found.alike == math.comb(25, 2)
    assert found.total == pytest.approx(sum(found.evidence) * math.comb(25, 2) / KEPT)
    assert len(set(found.sets)) == KEPT
    assert set(found.sets) <= set(combinations(range(25), 2))


def test_no_set_is_larger_than_there_are_candidates() -> None:
    found = rank(pool([100.0, 200.0], 2), weighed(300), (0.1, 0.2, 0.3, 0.4))
    assert [len(members) for members in found.sets] == [2, 1, 1, 0]
    assert len(found.by_size) == 3
    nothing = rank(pool([], 0), weighed(300), (1.0, 1.0))
    assert (nothing.sets, len(nothing.by_size)) == (((),), 1)


def test_a_size_of_no_probability_has_no_sets() -> None:
    found = rank(pool([100.0, 200.0, 300.0], 3), weighed(300), (0.0, 1.0, 0.0, 1.0))
    assert {len(members) for members in found.sets} == {1, 3}
    assert found.by_size[[0, 2]] == pytest.approx([0, 0])


def test_a_sample_stands_for_the_sets_that_were_not_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of equal candidates every set has the same evidence, so that a sample gives the number of sets exactly."""
    candidates, measured = pool([100.0] * 30, 30), weighed(400)
    sizes = (0.0, 0.0, 0.0, 0.0, 1.0)
    every = rank(candidates, measured, sizes)
    assert (every.sampled, every.alike) == (0, math.comb(30, 4))
    monkeypatch.setattr(subsets, "FEW", 0)
    monkeypatch.setattr(subsets, "HEADS", 100)
    drawn = rank(candidates, measured, sizes)
    assert drawn.sampled == pytest.approx(drawn.total)
    # Heads of two, drawn from 435, of which the later ones have fewer tails behind them.
    assert drawn.total == pytest.approx(every.total, rel=0.35)
    assert drawn.evidence[0] == pytest.approx(every.evidence[0]), "a set's own evidence is no estimate"
    monkeypatch.setattr(subsets, "HEADS", 10**6)
    monkeypatch.setattr(subsets, "HITS", 2_000)
    cut = rank(candidates, measured, sizes)
    assert cut.total == pytest.approx(every.total, rel=0.35)
    assert 0 < cut.sampled <= cut.total * (1 + 1e-9)
    assert cut.alike == pytest.approx(every.alike, rel=0.35)


def test_a_sample_is_drawn_alike_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(subsets, "FEW", 0)
    monkeypatch.setattr(subsets, "HEADS", 50)
    monkeypatch.setattr(subsets, "HITS", 500)
    candidates, measured = pool([100.0 + n for n in range(25)], 12, 0.1), weighed(330)
    same(rank(candidates, measured, SIZES), rank(candidates, measured, SIZES))

"""What is in a parcel, against weighing every set one after the other."""

import itertools
import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.errors import UsageError
from intake.weighing import guess_contents as guessing
from intake.weighing import subsets
from intake.weighing.candidate_pool import CandidatePool, Measurement
from intake.weighing.estimates import Estimate
from intake.weighing.guess_contents import SIZES, ContentsCandidate, guess_contents
from intake.weighing.subsets import rank
from tests.drawn_examples import examples


def pool_of(count: int, listed: int, weight: float, seed: int) -> CandidatePool:
    random = np.random.default_rng(seed)
    mass = np.exp(random.normal(7.1, 0.5, count))
    return CandidatePool(
        mass=mass,
        mass_var=random.uniform(50, 500, count),
        thickness=mass / 70,
        thickness_var=np.full(count, 1.0),
        height=random.normal(280, 40, count),
        height_var=np.full(count, 4.0),
        listed=listed,
        weight=weight,
    )


def measured_of(pool: CandidatePool, members: list[int], *, sides: bool) -> Measurement:
    thickness = (float(pool.thickness[members].sum()) + 1, 9.0)
    height = (float(pool.height[members].max()) - 1, 9.0)
    return Measurement(
        (float(pool.mass[members].sum()) + 5, 100.0), thickness if sides else None, height if sides else None
    )


def normal(x: float, mean: float, variance: float) -> float:
    return math.exp(-0.5 * (x - mean) ** 2 / variance) / math.sqrt(2 * math.pi * variance)


def one_by_one(
    pool: CandidatePool, measured: Measurement, sizes: tuple[float, ...]
) -> Iterator[tuple[float, tuple[int, ...]]]:
    """Yield the evidence of every set, as its definition has it."""
    count = len(pool.mass)
    odds = [1.0 if n < pool.listed else pool.weight for n in range(count)]
    for size, chance in enumerate(sizes):
        sets = list(itertools.combinations(range(count), size))
        norm = sum(math.prod(odds[n] for n in members) for members in sets)
        for members in sets:
            evidence = chance * math.prod(odds[n] for n in members) / norm if norm else 0.0
            pairs = [(measured.mass, pool.mass, pool.mass_var)]
            if measured.thickness:
                pairs.append((measured.thickness, pool.thickness, pool.thickness_var))
            for (value, variance), mean, spread in pairs:
                evidence *= normal(value, sum(mean[n] for n in members), variance + sum(spread[n] for n in members))
            if measured.height and members:
                tallest = max(members, key=lambda n: pool.height[n])
                value, variance = measured.height
                evidence *= normal(value, pool.height[tallest], variance + pool.height_var[tallest])
            yield evidence, members


@settings(max_examples=examples(15), deadline=None)
@given(st.integers(0, 1000), st.integers(1, 11), st.booleans(), st.data())
def test_every_small_case_is_as_weighing_each_set_one_by_one(
    seed: int, count: int, sides: bool, data: st.DataObject
) -> None:
    listed = data.draw(st.integers(0, count))
    pool = pool_of(count, listed, 0.05 if 0 < listed < count else 1.0, seed)
    true = data.draw(st.lists(st.integers(0, count - 1), min_size=1, max_size=3, unique=True))
    measured = measured_of(pool, true, sides=sides)
    sizes = SIZES[: count + 1]
    expected = sorted(one_by_one(pool, measured, sizes), key=lambda pair: (-pair[0], len(pair[1]), pair[1]))
    found = rank(pool, measured, SIZES)
    total = sum(evidence for evidence, _ in expected)
    assert found.sampled == 0
    assert found.total == pytest.approx(total, rel=1e-9, abs=1e-300)
    assert found.sets[0] == expected[0][1]
    assert found.evidence[: len(expected)] == pytest.approx(
        [e for e, _ in expected[: len(found.sets)]], rel=1e-9, abs=1e-300
    )
    inside = [sum(e for e, members in expected if n in members) for n in range(count)]
    assert found.inside == pytest.approx(inside, rel=1e-9, abs=1e-300)
    assert found.alike == sum(e >= expected[0][0] / 2 for e, _ in expected) or found.evidence[0] < 1e-300


def test_sets_out_of_reach_may_be_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    pool = pool_of(16, 6, 0.05, 2)
    measured = measured_of(pool, [1, 3, 9], sides=True)
    whole = rank(pool, measured, SIZES)
    monkeypatch.setattr(subsets, "FEW", 0)
    windowed = rank(pool, measured, SIZES)
    assert windowed.total == pytest.approx(whole.total, rel=1e-6)
    assert windowed.sets[:5] == whole.sets[:5]


def test_a_sample_estimates_what_weighing_all_of_them_gives(monkeypatch: pytest.MonkeyPatch) -> None:
    # 45 candidates have 9.5 million sets; here all that fit are weighed, and then a sample of them.
    pool = pool_of(45, 10, 0.01, 4)
    measured = measured_of(pool, [2, 20], sides=False)
    monkeypatch.setattr(subsets, "HITS", 10**9)
    monkeypatch.setattr(subsets, "HEADS", 10**9)
    whole = rank(pool, measured, SIZES)
    monkeypatch.setattr(subsets, "HITS", 3_000)
    monkeypatch.setattr(subsets, "HEADS", 2_000)
    sample = rank(pool, measured, SIZES)
    assert whole.sampled == 0
    assert sample.sampled > 0
    assert sample.total == pytest.approx(whole.total, rel=0.05)
    assert sample.by_size / sample.total == pytest.approx(whole.by_size / whole.total, abs=0.03)


def candidates(*masses: float, listed: bool = True) -> list[ContentsCandidate]:
    return [ContentsCandidate(key=f"c{n}", mass_g=Estimate(mass, 15.0), listed=listed) for n, mass in enumerate(masses)]


def test_twins_are_told_as_such() -> None:
    found = guess_contents(candidates(*[1500.0] * 14, 400.0, 3100.0), mass_g=Estimate(1500, 5), wrapped=False)
    assert found.alike == 14
    assert [guess.keys for guess in found.guesses[:14]] == [(f"c{n}",) for n in range(14)]
    assert sum(guess.probability for guess in found.guesses[:14]) > 0.9
    assert sum(found.sizes.values()) + found.on_no_list == pytest.approx(1)


def test_this_box_comes_first_and_thickness_decides() -> None:
    here = [ContentsCandidate(key="here", mass_g=Estimate(1500, 15), thickness_mm=Estimate(25, 1))]
    there = [
        ContentsCandidate(key=f"there{n}", mass_g=Estimate(1500, 15), thickness_mm=Estimate(40, 1), listed=False)
        for n in range(9)
    ]
    by_mass = guess_contents([*there, *here], mass_g=Estimate(1500, 5), wrapped=False)
    assert by_mass.guesses[0].keys == ("here",)
    by_both = guess_contents([*there, *here], mass_g=Estimate(1500, 5), thickness_mm=Estimate(40, 2), wrapped=False)
    assert by_both.guesses[0].keys[0].startswith("there")


def test_probabilities_by_the_definition() -> None:
    # Two copies of this box's list and three of another; 0.05 / 0.95 x 2 / 3 are the odds of the others. Anything else
    # may weigh up to 6 kg, be 250 mm thick and 450 mm high, each as likely, and has 3 % of the probability beforehand.
    rows = [
        (1400, 30, 300, True),
        (900, 22, 280, True),
        (1450, 31, 310, False),
        (600, 15, 250, False),
        (860, 20, 270, False),
    ]
    candidates_ = [
        ContentsCandidate(
            key=f"c{n}",
            mass_g=Estimate(mass, 20),
            thickness_mm=Estimate(thick, 1),
            height_mm=Estimate(high, 2),
            listed=own,
        )
        for n, (mass, thick, high, own) in enumerate(rows)
    ]
    found = guess_contents(
        candidates_, mass_g=Estimate(1460, 5), thickness_mm=Estimate(34, 1), height_mm=Estimate(305, 1), wrapped=True
    )
    mass, thick, high = (np.array([float(row[n]) for row in rows]) for n in range(3))
    pool = CandidatePool(
        mass, np.full(5, 400.0), thick, np.full(5, 1.0), high, np.full(5, 4.0), listed=2, weight=0.05 / 0.95 * 2 / 3
    )
    # The wrapping, 60 +- 40 g and 4 +- 2 mm, is taken off.
    bare = Measurement((1400.0, 25.0 + 1600), (30.0, 1.0 + 4), (301.0, 1.0 + 4))
    # Six copies are impossible with five, so the other numbers have 0.99 of the probability among them.
    possible = tuple(chance / 0.99 for chance in SIZES[:6])
    every = sorted(one_by_one(pool, bare, possible), reverse=True)
    strange = 0.03 / 6000 / 250 / 450
    whole = 0.97 * sum(evidence for evidence, _ in every) + strange
    for guess, (evidence, members) in zip(found.guesses[:5], every, strict=False):
        assert guess.keys == tuple(f"c{n}" for n in members)
        assert guess.probability == pytest.approx(0.97 * evidence / whole)
    assert found.on_no_list == pytest.approx(strange / whole)
    for size in range(1, 4):
        assert found.sizes[size] == pytest.approx(0.97 * sum(e for e, members in every if len(members) == size) / whole)
    assert found.inside["c2"] == pytest.approx(0.97 * sum(e for e, members in every if 2 in members) / whole)
    assert (found.sampled, found.left_out) == (0, 0)
    assert len(guess_contents(candidates_, mass_g=Estimate(1460, 5), limit=3).guesses) == 3


def test_a_copy_of_unknown_size_is_taken_for_the_usual_one() -> None:
    # 28 +- 14 mm thick and 260 +- 60 mm high.
    unknown = ContentsCandidate(key="c", mass_g=Estimate(1500, 15))
    known = ContentsCandidate(
        key="c", mass_g=Estimate(1500, 15), thickness_mm=Estimate(28, 14), height_mm=Estimate(260, 60)
    )
    sides: dict[str, Any] = {
        "mass_g": Estimate(1500, 5),
        "thickness_mm": Estimate(33, 2),
        "height_mm": Estimate(250, 2),
    }
    assert guess_contents([unknown], **sides) == guess_contents([known], **sides)


def test_what_fits_nothing_is_probably_on_no_list() -> None:
    found = guess_contents(candidates(400.0, 500.0), mass_g=Estimate(2500, 5), wrapped=False)
    assert found.on_no_list > 0.99
    assert guess_contents([], mass_g=Estimate(2500, 5)).on_no_list == pytest.approx(1)


def test_wrapping_is_taken_off() -> None:
    found = guess_contents(candidates(1500.0, 1560.0), mass_g=Estimate(1560, 5))
    assert found.guesses[0].keys == ("c0",)


def test_too_many_candidates_are_cut_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    many = [ContentsCandidate(key=str(n), mass_g=Estimate(900 + n, 15), listed=n >= 600) for n in range(620)]
    monkeypatch.setattr(guessing, "MOST", 500)
    found = guess_contents(many, mass_g=Estimate(1505, 5), wrapped=False)
    assert found.left_out == 120
    assert all(found.inside[str(n)] >= 0 for n in range(600, 620))
    assert found.inside["605"] > 0
    assert 0 < found.left_out_probability < 0.05
    assert sum(found.sizes.values()) + found.on_no_list == pytest.approx(1)


Book = tuple[float, float, bool]
"""Mass and its standard uncertainty in grams, and whether it is on this box's list."""


def bayes(books: list[Book], mass: float, sigma: float) -> tuple[dict[tuple[int, ...], float], float]:
    """Return the probability of every set of an unwrapped parcel, and of something on no list, by Bayes' rule alone.

    Nothing here is taken from the program but the priors that its documentation states.
    """
    count, listed = len(books), sum(own for _, _, own in books)
    others = count - listed
    odds = [1.0 if own or not listed else 0.05 / 0.95 * listed / others for _, _, own in books]
    possible = [chance for size, chance in enumerate(SIZES) if size <= count]
    weights: dict[tuple[int, ...], float] = {}
    for size, chance in enumerate(possible):
        sets = list(itertools.combinations(range(count), size))
        norm = sum(math.prod(odds[n] for n in members) for members in sets)
        for members in sets:
            prior = 0.97 * chance / sum(possible) * math.prod(odds[n] for n in members) / norm
            mean, variance = sum(books[n][0] for n in members), sigma**2 + sum(books[n][1] ** 2 for n in members)
            weights[members] = prior * normal(mass, mean, variance)
    strange = 0.03 / 6000
    whole = sum(weights.values()) + strange
    return {members: weight / whole for members, weight in weights.items()}, strange / whole


def candidates_of(books: list[Book]) -> list[ContentsCandidate]:
    """Return candidates in the same order, those of this box's list first."""
    return [
        ContentsCandidate(key=f"{n:02}", mass_g=Estimate(mass, sigma), listed=own)
        for n, (mass, sigma, own) in enumerate(books)
    ]


def test_books_heavier_than_the_parcel_keep_their_share_of_the_prior() -> None:
    # One book of 900 g and nine of 3 kg are on the list; the parcel weighs 1020 g. That nine are too heavy does not
    # make the light one likelier against something on no list.
    light = [(900.0, 40.0, True)]
    heavy = [(3000.0 + n, 40.0, True) for n in range(9)]
    found = guess_contents(candidates_of([*light, *heavy]), mass_g=Estimate(1020, 5), wrapped=False)
    exact, strange = bayes([*light, *heavy], 1020, 5)
    assert found.guesses[0].probability == pytest.approx(exact[(0,)])
    assert found.on_no_list == pytest.approx(strange)
    alone = guess_contents(candidates_of(light), mass_g=Estimate(1020, 5), wrapped=False)
    assert alone.guesses[0].probability > found.guesses[0].probability + 0.05


@settings(max_examples=examples(40))
@given(
    st.lists(st.tuples(st.floats(200, 4000), st.floats(0.01, 0.15), st.booleans()), min_size=1, max_size=9),
    st.floats(200, 4000),
)
def test_every_probability_is_that_of_bayes_rule_with_all_copies_in_the_prior(drawn: list[Book], mass: float) -> None:
    # No mass is so uncertain that it might be less than nothing, for which the program has no set and the rule has.
    books = sorted(((grams, grams * relative, own) for grams, relative, own in drawn), key=lambda book: not book[2])
    found = guess_contents(candidates_of(books), mass_g=Estimate(mass, 8), wrapped=False, limit=100)
    exact, strange = bayes(books, mass, 8)
    assert found.on_no_list == pytest.approx(strange, abs=1e-4)
    for guess in found.guesses:
        members = tuple(int(key) for key in guess.keys)
        assert guess.probability == pytest.approx(exact[members], abs=1e-4)
    sizes = {size: sum(p for members, p in exact.items() if len(members) == size) for size in range(1, 7)}
    assert {size: found.sizes.get(size, 0.0) for size in sizes} == pytest.approx(sizes, abs=1e-4)
    alike = [probability for probability in exact.values() if probability >= max(exact.values()) / 2]
    if found.on_no_list < 0.999:
        assert found.alike_probability == pytest.approx(sum(alike), abs=1e-4)
    assert found.left_out_probability == 0


@pytest.mark.parametrize("parcels", [300, pytest.param(3000, marks=pytest.mark.slow)])
def test_probabilities_of_parcels_drawn_as_supposed_come_true(parcels: int) -> None:
    # Parcels are drawn from the priors: a number of copies, which ones, their true masses, the scale; or something
    # on no list. Of what is given a probability of about p, a share of about p is true.
    random = np.random.default_rng(12)
    told: list[tuple[float, bool]] = []
    for _ in range(parcels):
        masses = np.exp(random.normal(7.2, 0.6, 9))
        books = [(float(mass), 0.03 * float(mass), n < 5) for n, mass in enumerate(masses)]
        odds = np.array([1.0] * 5 + [0.05 / 0.95 * 5 / 4] * 4)
        size = int(random.choice(7, p=SIZES))
        sets = list(itertools.combinations(range(9), size))
        chances = np.array([math.prod(odds[n] for n in members) for members in sets])
        strange = random.random() < 0.03
        members = () if strange else sets[int(random.choice(len(sets), p=chances / chances.sum()))]
        true = random.uniform(0, 6000) if strange else sum(random.normal(books[n][0], books[n][1]) for n in members)
        mass = float(true + random.normal(0, 10))
        if mass <= 0:
            continue
        found = guess_contents(candidates_of(books), mass_g=Estimate(mass, 10), wrapped=False, limit=100)
        told += [(one.probability, tuple(map(int, one.keys)) == members) for one in found.guesses]
        told.append((found.on_no_list, strange))
        told += [(chance, int(key) in members) for key, chance in found.inside.items()]
    for low, high in ((0.02, 0.1), (0.1, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.01)):
        bucket = [(p, right) for p, right in told if low <= p < high]
        mean = sum(p for p, _ in bucket) / len(bucket)
        right = sum(right for _, right in bucket) / len(bucket)
        assert len(bucket) >= 20
        # Four standard errors; a parcel gives several figures that hang together.
        assert abs(mean - right) < 4 * (mean * (1 - mean) / len(bucket)) ** 0.5 + 0.01, (low, len(bucket))


def test_copies_that_are_not_tried_count_as_the_others_do(monkeypatch: pytest.MonkeyPatch) -> None:
    # Of sixty copies alike twenty are tried, or given at all: each has the probability that it has among sixty.
    books = candidates(*[700.0] * 60)
    whole = guess_contents(books, mass_g=Estimate(1410, 5), wrapped=False)
    given_few = guess_contents(books[:20], mass_g=Estimate(1410, 5), wrapped=False, further=(40, 0))
    monkeypatch.setattr(guessing, "MOST", 20)
    tried_few = guess_contents(books, mass_g=Estimate(1410, 5), wrapped=False)
    for few in (given_few, tried_few):
        assert few.left_out == 40
        assert few.guesses[0].probability == pytest.approx(whole.guesses[0].probability)
        assert few.on_no_list == pytest.approx(whole.on_no_list)
        assert few.sizes == pytest.approx(whole.sizes)
        # Nearly all of it are pairs, of which 190 of 1770 are of the twenty.
        assert few.left_out_probability == pytest.approx(1 - 190 / 1770, abs=0.01)
    # Of another box's list: a book of this one that fits keeps what it has, and the rest is for the others.
    own = [ContentsCandidate(key="own", mass_g=Estimate(700, 15))]
    there = [ContentsCandidate(key=f"t{n}", mass_g=Estimate(700, 15), listed=False) for n in range(40)]
    monkeypatch.undo()
    exact = guess_contents([*own, *there], mass_g=Estimate(700, 5), wrapped=False)
    part = guess_contents([*own, *there[:10]], mass_g=Estimate(700, 5), wrapped=False, further=(0, 30))
    assert part.guesses[0].keys == exact.guesses[0].keys == ("own",)
    assert part.guesses[0].probability == pytest.approx(exact.guesses[0].probability)
    assert part.left_out_probability == pytest.approx(0.05 * 0.75 * (1 - part.on_no_list), abs=0.005)


def test_a_list_whose_copies_were_all_seen_makes_everything_else_as_likely() -> None:
    there = [ContentsCandidate(key=f"t{n}", mass_g=Estimate(700, 15), listed=False) for n in range(4)]
    found = guess_contents(there, mass_g=Estimate(700, 5), wrapped=False)
    assert found.alike == 4
    assert found.guesses[0].probability == pytest.approx(found.alike_probability / 4)


@pytest.mark.parametrize("mass", [0.0, -3.0])
def test_a_parcel_weighs_something(mass: float) -> None:
    good = Estimate(400, 5)
    bad = Estimate(mass, 5)
    wrong: tuple[dict[str, Any], ...] = (
        {"mass_g": bad},
        {"mass_g": good, "thickness_mm": bad},
        {"mass_g": good, "height_mm": bad},
        {"mass_g": Estimate(400, -1)},
    )
    for measures in wrong:
        with pytest.raises(UsageError):
            guess_contents(candidates(400.0), **measures)

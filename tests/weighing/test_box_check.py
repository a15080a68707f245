"""Weigh to check: a difference is explained by the copies that were taken out, and nobody is accused for noise."""

import numpy as np
import pytest

from intake.weighing.box_check import ListedMass, WeightVerdict, check_mass
from intake.weighing.estimates import Estimate

TARE = Estimate(900, 20)
SCALE = 50.0


def listed(count: int = 14, seed: int = 1, sigma: float = 0.02) -> list[ListedMass]:
    random = np.random.default_rng(seed)
    masses = random.uniform(400, 2200, count)
    return [ListedMass(f"c{n}", Estimate(float(mass), float(mass) * sigma)) for n, mass in enumerate(masses)]


def test_a_box_that_weighs_what_it_did_agrees() -> None:
    found = check_mass(listed(), gross_g=Estimate(18_060, SCALE), tare_g=TARE, packed_g=Estimate(18_000, SCALE))
    assert (found.verdict, found.explanations) == (WeightVerdict.AGREES, ())


@pytest.mark.parametrize("gone", [(3,), (5, 9)])
def test_what_was_taken_out_explains_the_difference(gone: tuple[int, ...]) -> None:
    copies = listed()
    missing = sum(copies[n].mass_g.mean for n in gone)
    packed = 900 + 300 + sum(copy.mass_g.mean for copy in copies)
    found = check_mass(copies, gross_g=Estimate(packed - missing, SCALE), tare_g=TARE, packed_g=Estimate(packed, SCALE))
    assert found.verdict is WeightVerdict.LIGHTER
    assert {f"c{n}" for n in gone} in [set(one.keys) for one in found.explanations]
    assert sum(one.probability for one in found.explanations) <= 1 + 1e-9


def test_against_a_list_of_guesses_nothing_is_said_of_a_small_difference() -> None:
    # Each mass is off by a quarter, so a kilogram less is no sign of anything.
    copies = listed(sigma=0.25)
    expected = 900 + 250 + sum(copy.mass_g.mean for copy in copies)
    found = check_mass(copies, gross_g=Estimate(expected - 1000, SCALE), tare_g=TARE)
    assert found.verdict is WeightVerdict.AGREES
    assert abs(found.difference.mean) < 2 * found.difference.sigma


def test_against_a_good_list_one_missing_copy_is_found() -> None:
    copies = [ListedMass(f"c{n}", Estimate(300.0 + 200 * n, 5)) for n in range(8)]
    expected = 900 + 250 + sum(copy.mass_g.mean for copy in copies)
    found = check_mass(copies, gross_g=Estimate(expected - 1500, SCALE), tare_g=TARE, padding_g=Estimate(250, 30))
    assert found.verdict is WeightVerdict.LIGHTER
    assert found.explanations[0].keys == ("c6",)


def test_heavier_is_said_and_explains_nothing() -> None:
    found = check_mass(listed(), gross_g=Estimate(20_000, SCALE), tare_g=TARE, packed_g=Estimate(18_000, SCALE))
    assert (found.verdict, found.explanations) == (WeightVerdict.HEAVIER, ())


def test_less_than_the_lightest_copy_is_likelier_the_padding() -> None:
    copies = [ListedMass(f"c{n}", Estimate(2000, 40)) for n in range(6)]
    found = check_mass(copies, gross_g=Estimate(17_600, SCALE), tare_g=TARE, packed_g=Estimate(18_000, SCALE))
    assert found.verdict is WeightVerdict.LIGHTER
    assert found.explanations[0].keys == ()


@pytest.mark.slow
def test_probabilities_mean_what_they_say() -> None:
    # Of many boxes drawn as the model supposes, explanations given a probability of about p are right in about p.
    random = np.random.default_rng(8)
    said: list[tuple[float, bool]] = []
    for seed in range(400):
        copies = listed(12, seed, sigma=0.01)
        gone = [n for n in range(12) if random.random() < 0.02]
        true = sum(random.normal(copies[n].mass_g.mean, copies[n].mass_g.sigma) for n in gone)
        contents = sum(copy.mass_g.mean for copy in copies)
        noise = random.normal(0, np.hypot(np.hypot(SCALE, SCALE), 0.005 * contents))
        packed = 1200 + contents
        found = check_mass(
            copies, gross_g=Estimate(packed - true + noise, SCALE), tare_g=TARE, packed_g=Estimate(packed, SCALE)
        )
        said += [(one.probability, set(one.keys) == {f"c{n}" for n in gone}) for one in found.explanations]
    for low, high in ((0.1, 0.4), (0.4, 0.7), (0.7, 1.01)):
        bucket = [(p, right) for p, right in said if low <= p < high]
        if len(bucket) >= 10:
            mean = sum(p for p, _ in bucket) / len(bucket)
            right = sum(right for _, right in bucket) / len(bucket)
            assert abs(mean - right) < 4 * (mean * (1 - mean) / len(bucket)) ** 0.5 + 0.05
    assert len(said) > 50

"""Weigh to check: a difference is explained by the copies that were taken out, and nobody is accused for noise."""

import itertools
import math

import numpy as np
import pytest

from intake.weighing.box_check import ListedMass, WeightVerdict, Whereabouts, check_mass
from intake.weighing.estimates import Estimate

TARE = Estimate(900, 20)
SCALE = 50.0


def listed(count: int = 14, seed: int = 1, sigma: float = 0.02) -> list[ListedMass]:
    random = np.random.default_rng(seed)
    masses = random.uniform(400, 2200, count)
    return [ListedMass(f"c{n}", Estimate(float(mass), float(mass) * sigma)) for n, mass in enumerate(masses)]


PAIR = [ListedMass("a", Estimate(1000, 10)), ListedMass("b", Estimate(2000, 20))]


def test_what_a_box_should_weigh_by_hand() -> None:
    # By its list: 900 + 1000 + 2000 + 250 g; variances 20² + 10² + 20² + 120², and half a percent of 3000 g, 15².
    by_list = check_mass(PAIR, gross_g=Estimate(4150, SCALE), tare_g=TARE)
    assert by_list.expected.mean == pytest.approx(4150)
    assert by_list.expected.sigma == pytest.approx(math.sqrt(400 + 100 + 400 + 14_400 + 225))
    assert by_list.difference.sigma == pytest.approx(math.sqrt(15_525 + 2_500))
    # As packed: 4100 g with 50², and 16² for half a percent of the 3200 g that were in the box of 900 g.
    packed = check_mass(PAIR, gross_g=Estimate(4000, SCALE), tare_g=TARE, packed_g=Estimate(4100, SCALE))
    assert (packed.expected.mean, packed.difference.mean) == (4100, -100)
    assert packed.difference.sigma == pytest.approx(math.sqrt(2_500 + 256 + 2_500))


def test_two_standard_uncertainties_agree_and_more_do_not() -> None:
    sigma = math.sqrt(2_500 + 256 + 2_500)
    for off, verdict in (
        (2 * sigma - 0.01, WeightVerdict.AGREES), (2 * sigma + 0.01, WeightVerdict.HEAVIER),
        (-2 * sigma + 0.01, WeightVerdict.AGREES), (-2 * sigma - 0.01, WeightVerdict.LIGHTER),
    ):  # fmt: skip
        found = check_mass(PAIR, gross_g=Estimate(4100 + off, SCALE), tare_g=TARE, packed_g=Estimate(4100, SCALE))
        assert found.verdict is verdict


@pytest.mark.parametrize("packed", [True, False])
def test_probabilities_are_those_of_every_set_tried_one_by_one(packed: bool) -> None:
    # Bayes: each copy is gone with probability 0.02 by itself; what is gone weighs the difference, within the error of
    # the comparison. Against the list a copy that is gone takes its uncertainty out, against the box as packed it adds.
    copies = [
        ListedMass(key, Estimate(mass, 40)) for key, mass in zip("abcde", (800, 850, 1000, 1600, 1650), strict=True)
    ]
    whole = 900 + 250 + sum(copy.mass_g.mean for copy in copies)
    found = check_mass(
        copies, gross_g=Estimate(whole - 1640, SCALE), tare_g=TARE, padding_g=Estimate(250, 30),
        packed_g=Estimate(whole, SCALE) if packed else None,
    )  # fmt: skip
    weights = {}
    for count in range(6):
        for gone in itertools.combinations(copies, count):
            lost = sum(copy.mass_g.mean for copy in gone)
            own = sum(copy.mass_g.sigma**2 for copy in gone)
            variance = found.difference.sigma**2 + (own if packed else -own)
            fits = math.exp(-((-found.difference.mean - lost) ** 2) / (2 * variance)) / math.sqrt(variance)
            weights[tuple(copy.key for copy in gone)] = 0.02**count * 0.98 ** (5 - count) * fits
    total = sum(weights.values())
    ranked = sorted(weights.items(), key=lambda pair: -pair[1])
    assert len(found.explanations) == 10
    for explanation, (keys, weight) in zip(found.explanations[:6], ranked, strict=False):
        assert explanation.keys == keys
        assert explanation.probability == pytest.approx(weight / total)
    assert found.alike == sum(weight >= ranked[0][1] / 2 for weight in weights.values())
    few = check_mass(
        copies, gross_g=Estimate(whole - 1640, SCALE), tare_g=TARE, packed_g=Estimate(whole, SCALE), limit=3
    )
    assert len(few.explanations) == 3


def test_what_was_taken_out_before_is_subtracted_by_hand() -> None:
    # 1000 g of 5000 g were taken out, and a fifth of 250 g of padding with it, give or take 50 g.
    copies = [
        ListedMass("out", Estimate(1000, 10), Whereabouts.TAKEN_OUT),
        ListedMass("seen since", Estimate(1500, 20), Whereabouts.IN_IT),
        ListedMass("unseen", Estimate(2500, 30)),
        ListedMass("in another", Estimate(700, 10), Whereabouts.ELSEWHERE),
    ]
    packed = check_mass(copies, gross_g=Estimate(5050, SCALE), tare_g=TARE, packed_g=Estimate(6100, SCALE))
    assert packed.expected.mean == pytest.approx(6100 - 1000 - 50)
    # Half a percent of what was left in the box of 900 g: 6100 - 900 - 1000 g.
    assert packed.expected.sigma == pytest.approx(math.sqrt(50**2 + 10**2 + 50**2 + (0.005 * 4200) ** 2))
    assert (packed.verdict, packed.taken_out) == (WeightVerdict.AGREES, 1)
    by_list = check_mass(copies, gross_g=Estimate(5050, SCALE), tare_g=TARE)
    assert by_list.expected.mean == pytest.approx(900 + 1500 + 2500 + 250 - 50)
    assert by_list.expected.sigma == pytest.approx(
        math.sqrt(20**2 + 20**2 + 30**2 + 120**2 + 50**2 + (0.005 * 4000) ** 2)
    )


def test_only_what_nobody_saw_here_explains_a_lighter_box() -> None:
    # Bayes: what was not seen is gone with probability 0.02; what came out of another box lay in this one at packing,
    # or not, half and half; what was seen coming out of this one later explains nothing.
    places = (Whereabouts.NOT_SEEN, Whereabouts.NOT_SEEN, Whereabouts.ELSEWHERE, Whereabouts.IN_IT)
    copies = [
        ListedMass(key, Estimate(mass, 40), where)
        for key, mass, where in zip("abcd", (1000, 1450, 1500, 1500), places, strict=True)
    ]
    found = check_mass(copies, gross_g=Estimate(8500, SCALE), tare_g=TARE, packed_g=Estimate(10_000, SCALE))
    weights = {}
    for count in range(4):
        for gone in itertools.combinations(copies[:3], count):
            chance = math.prod(
                (0.5 if copy.where is Whereabouts.ELSEWHERE else 0.02 if copy in gone else 0.98) for copy in copies[:3]
            )
            variance = found.difference.sigma**2 + sum(copy.mass_g.sigma**2 for copy in gone)
            off = 1500 - sum(copy.mass_g.mean for copy in gone)
            weights["".join(copy.key for copy in gone)] = chance * math.exp(-(off**2) / 2 / variance) / variance**0.5
    told = {"".join(sorted(one.keys)): one.probability for one in found.explanations}
    assert found.explanations[0].keys == ("c",)
    assert told == pytest.approx({key: weight / sum(weights.values()) for key, weight in weights.items()})
    # Against its list the copy that is elsewhere was never counted, so it explains nothing either.
    by_list = check_mass(copies, gross_g=Estimate(900 + 250 + 3950 - 1450, SCALE), tare_g=TARE)
    assert by_list.explanations[0].keys == ("b",)
    assert not any("c" in one.keys or "d" in one.keys for one in by_list.explanations)


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

"""What to look for, against OR-tools CP-SAT on random covers, and against every choice on small ones."""

import itertools
import random
from dataclasses import replace

import pytest

from intake.runs.seek import SeekOffer, alternatives, seek, seek_within
from intake.runs.spans import Spans, count, difference, intersection, spans_of, union

cp_model = pytest.importorskip("ortools.sat.python.cp_model", reason="OR-tools is not installed")


def draw_offers(draw: random.Random, size: int, places: int) -> list[SeekOffer]:
    offers = []
    for nth in range(size):
        pairs = [(first, first + draw.randint(0, 4)) for first in draw.sample(range(places), draw.randint(1, 3))]
        offers.append(SeekOffer(str(nth), spans_of(pairs), draw.randint(0, 30) * 50))
    return offers


def missed(gaps: Spans, chosen: tuple[SeekOffer, ...]) -> Spans:
    return difference(gaps, union(*(offer.places for offer in chosen)))


def every_choice(offers: list[SeekOffer]) -> list[tuple[SeekOffer, ...]]:
    return [chosen for size in range(len(offers) + 1) for chosen in itertools.combinations(offers, size)]


@pytest.mark.parametrize("seed", range(12))
def test_small_choices_are_the_best_of_all(seed: int) -> None:
    draw = random.Random(seed)
    offers = draw_offers(draw, 8, 12)
    gaps = spans_of([(draw.randint(0, 5), draw.randint(6, 14)), (16, 17)])
    left = missed(gaps, tuple(offers))
    covers = [chosen for chosen in every_choice(offers) if missed(gaps, chosen) == left]
    sums = sorted((sum(offer.cost for offer in chosen), len(chosen)) for chosen in covers)
    cheapest, fewest = seek(gaps, offers), seek(gaps, offers, fewest=True)
    assert cheapest.left == fewest.left == left
    assert cheapest.proved
    assert fewest.proved
    assert (cheapest.cost, len(cheapest.keys)) == sums[0]
    assert (len(fewest.keys), fewest.cost) == min((number, cost) for cost, number in sums)
    budget = draw.randint(0, 2000)
    within = seek_within(gaps, offers, budget)
    affordable = [chosen for chosen in every_choice(offers) if sum(offer.cost for offer in chosen) <= budget]
    closed = [(count(gaps) - count(missed(gaps, chosen)), -sum(one.cost for one in chosen)) for chosen in affordable]
    assert (count(gaps) - count(within.left), -within.cost) == max(closed)
    assert within.proved
    assert within.bound == max(closed)[0]


def test_alternatives_are_the_next_best_without_one_too_many() -> None:
    draw = random.Random(5)
    offers, gaps = draw_offers(draw, 8, 10), ((0, 9),)
    left = missed(gaps, tuple(offers))
    covers = {
        frozenset(one.key for one in c): sum(one.cost for one in c)
        for c in every_choice(offers)
        if missed(gaps, c) == left
    }
    needed = {keys: cost for keys, cost in covers.items() if not any(other < keys for other in covers)}
    best = seek(gaps, offers)
    others = alternatives(gaps, offers, best)
    assert [best.cost, *(one.cost for one in others)] == sorted(needed.values())[: 1 + len(others)]
    assert len({frozenset(one.keys) for one in (best, *others)}) == 1 + len(others)


def test_what_is_preferred_decides_between_equals() -> None:
    offers = [
        SeekOffer("a", ((0, 4),), 500, disliked=1),
        SeekOffer("b", ((0, 4),), 500),
        SeekOffer("c", ((0, 4),), 600),
    ]
    assert seek(((1, 3),), offers).keys == ("b",)


def test_nothing_to_look_for_and_nothing_that_helps() -> None:
    assert seek((), [SeekOffer("a", ((0, 4),), 500)]).keys == ()
    nothing = seek(((7, 9),), [SeekOffer("a", ((0, 4),), 500)])
    assert (nothing.keys, nothing.left, nothing.proved) == ((), ((7, 9),), True)


def cp_least(gaps: Spans, offers: list[SeekOffer], weights: list[int]) -> int:
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in offers]
    for first, last in gaps:
        for place in range(first, last + 1):
            having = [taken[nth] for nth, offer in enumerate(offers) if intersection(offer.places, ((place, place),))]
            if having:
                model.add_bool_or(having)
    model.minimize(sum(weight * one for weight, one in zip(weights, taken, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    least: float = solver.objective_value
    return round(least)


@pytest.mark.parametrize("seed", range(3))
def test_random_gaps_cost_what_cp_sat_proves(seed: int) -> None:
    draw = random.Random(seed)
    offers = draw_offers(draw, 80, 100)
    gaps = tuple((first, first + draw.randint(0, 5)) for first in range(0, 100, 10))
    choice = seek(gaps, offers, seconds=60)
    assert choice.proved
    assert choice.cost == cp_least(gaps, offers, [offer.cost for offer in offers])
    assert choice.left == missed(gaps, tuple(offers))
    fewest = seek(gaps, offers, fewest=True, seconds=60)
    assert fewest.proved
    assert len(fewest.keys) == cp_least(gaps, offers, [1] * len(offers))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("largest", [10**6, 10**7, 10**8])
def test_sums_of_many_digits_are_proved_to_the_last_of_them(seed: int, largest: int) -> None:
    """Prices in forints, won or rupiah, in the smallest unit of the currency."""
    draw = random.Random(seed)
    offers = [replace(offer, cost=draw.randint(1, largest)) for offer in draw_offers(draw, 30, 60)]
    gaps = ((0, 20), (31, 55))
    best = seek(gaps, offers, seconds=60)
    assert best.proved
    assert best.cost == cp_least(gaps, offers, [offer.cost for offer in offers])
    assert all(other.proved for other in alternatives(gaps, offers, best, seconds=60))

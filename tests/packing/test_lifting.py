"""The lifting equation against the examples of its manual.

NIOSH publication 94-110 (revised 2021), section 3: printed weight limits and indices come from multipliers rounded to
two digits, so half a pound and a tenth of an index are allowed. The loads of examples 1, 3 and 4 and the printed
indices are from memory; the printed products fix them.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.errors import UsageError
from intake.packing.lifting import (
    FREQUENCY_STEPS,
    METRIC,
    US,
    Coupling,
    Lift,
    combine_indices,
    composite_index,
    frequency_multiplier,
    recommend,
    recommend_for_both_ends,
)

PUBLISHED = [
    ("package inspection, origin", Lift(reach=10, start=22, end=59, per_minute=3, hours=0.75), 26, 34.9, 0.7),
    ("the same, destination", Lift(reach=20, start=22, end=59, per_minute=3, hours=0.75, at_end=True), 26, 15.2, 1.7),
    ("punch press, origin", Lift(reach=23, start=15, end=64, per_minute=0.2), 44, 16.3, 2.7),
    ("the same, destination", Lift(reach=23, start=15, end=64, per_minute=0.2, at_end=True), 44, 14.5, 3.0),
    ("bags to a hopper", Lift(reach=18, start=15, end=36, turn_deg=45, per_minute=0.2), 40, 18.9, 2.1),
]


@pytest.mark.parametrize(
    ("lift", "load", "weight", "index"), [row[1:] for row in PUBLISHED], ids=[r[0] for r in PUBLISHED]
)
def test_published_examples_in_pounds(lift: Lift, load: float, weight: float, index: float) -> None:
    limit = recommend(lift, US)
    assert limit.weight == pytest.approx(weight, abs=0.5)
    assert limit.index(load) == pytest.approx(index, abs=0.12)  # 0.1 and the rounding of what is printed


def test_a_published_example_in_kilograms() -> None:
    # A worked metric case: 12 kg, H 25, V 55 to 150, three a minute for 45 minutes, fair hold: 15.7 kg and 0.76.
    limit = recommend(Lift(reach=25, start=55, end=150, per_minute=3, hours=0.75))
    assert limit.weight == pytest.approx(15.7, abs=0.05)
    assert limit.index(12) == pytest.approx(0.76, abs=0.01)


def test_the_published_composite_index() -> None:
    # Section 2.4.5: loads 30, 20, 10 lb against 20, 20, 15 lb without frequency, at 1, 2 and 4 lifts a minute: 1.9.
    tasks = [(30 / 20, Lift(per_minute=1)), (20 / 20, Lift(per_minute=2)), (10 / 15, Lift(per_minute=4))]
    assert combine_indices(tasks) == pytest.approx(1.863, abs=0.005)


def test_one_task_alone_has_its_own_index() -> None:
    lift = Lift(reach=30, per_minute=2)
    assert composite_index([(15.0, lift)]) == pytest.approx(recommend(lift).index(15.0))


def test_the_ends_of_the_tables() -> None:
    # At the best place the limit is the load constant: 23 kg and 51 lb.
    best = Lift(reach=20, start=75, end=80, per_minute=0.1, coupling=Coupling.GOOD)
    assert recommend(best).weight == METRIC.load == 23
    assert recommend(Lift(reach=9, start=30, end=30, per_minute=0.1, coupling=Coupling.GOOD), US).weight == 51
    for none in (Lift(reach=64), Lift(start=176, end=176), Lift(turn_deg=136), Lift(per_minute=15.1)):
        assert recommend(none).weight == 0
        assert recommend(none).index(1) == math.inf
    assert recommend(Lift(start=0, end=176)).weight == 0
    assert frequency_multiplier(13, 1, high=False) == 0
    assert frequency_multiplier(13, 1, high=True) == 0.34
    assert frequency_multiplier(9, 8, high=True) == 0.15
    assert frequency_multiplier(0.35, 1, high=True) == pytest.approx(0.985)


@pytest.mark.parametrize("lift", [Lift(reach=-1), Lift(turn_deg=190), Lift(hours=0), Lift(hours=9)])
def test_what_the_equation_does_not_cover_is_refused(lift: Lift) -> None:
    with pytest.raises(UsageError):
        recommend(lift)


@given(st.floats(0, 63), st.floats(0, 175), st.floats(0, 175), st.floats(0, 135), st.floats(0, 15), st.floats(0.1, 8))
def test_no_situation_allows_more_than_the_load_constant(
    reach: float, start: float, end: float, turn: float, often: float, hours: float
) -> None:
    lift = Lift(reach=reach, start=start, end=end, turn_deg=turn, per_minute=often, hours=hours)
    assert 0 <= recommend_for_both_ends(lift).weight <= recommend(lift).weight <= 23


@given(st.integers(0, len(FREQUENCY_STEPS) - 2), st.floats(0, 1), st.sampled_from([1.0, 2.0, 8.0]), st.booleans())
def test_lifting_oftener_never_allows_more(step: int, share: float, hours: float, high: bool) -> None:
    low, top = FREQUENCY_STEPS[step], FREQUENCY_STEPS[step + 1]
    between = low + share * (top - low)
    factors = [frequency_multiplier(often, hours, high=high) for often in (low, between, top)]
    assert factors == sorted(factors, reverse=True)

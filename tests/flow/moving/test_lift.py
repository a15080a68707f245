"""One lift judged: masses in grams and lengths in millimetres go into the equation of NIOSH publication 94-110."""

import math

import pytest

from intake.errors import UsageError
from intake.flow.moving.lift import LiftAdvice, judge_lift


def judge(load_g: float, **changed: object) -> LiftAdvice:
    """The ideal lift of the manual: 25 cm of reach, at 75 cm, no turn, rarely, with a good grip."""
    ideal: dict[str, object] = {
        "reach_mm": 250, "start_mm": 750, "end_mm": 750, "turn_deg": 0, "per_minute": 0.2, "hours": 1, "hold": "good",
    }  # fmt: skip
    return judge_lift(load_g, **{**ideal, **changed})  # type: ignore[arg-type] # fields by name


@pytest.mark.parametrize(("load_g", "index"), [(23_000, 1), (11_500, 0.5), (46_000, 2), (0, 0)])
def test_of_the_ideal_lift_the_limit_is_the_load_constant(load_g: float, index: float) -> None:
    """23 kg; every multiplier is 1."""
    advice = judge(load_g)
    assert advice.limit.weight == pytest.approx(23)
    assert advice.index == pytest.approx(index)
    assert advice.caution


@pytest.mark.parametrize(
    ("changed", "multiplier"),
    [
        ({"reach_mm": 500}, 25 / 50),  # HM = 25 / H
        ({"start_mm": 500}, 1 - 0.003 * 25),  # VM = 1 - 0.003 |V - 75|; 25 cm is the shortest travel that counts
        ({"end_mm": 1250}, (0.82 + 4.5 / 50) * (1 - 0.003 * 50)),  # DM = 0.82 + 4.5 / D, and VM where it is set down
        ({"turn_deg": 90}, 1 - 0.0032 * 90),  # AM = 1 - 0.0032 A
        ({"hold": "poor"}, 0.90),  # table 7
        ({"hours": 2}, 0.95),  # table 5, at 0.2 lifts a minute
        ({"hours": 8}, 0.85),
        ({"per_minute": 5}, 0.80),  # table 5, up to one hour
    ],
)
def test_each_measure_reaches_its_multiplier(changed: dict[str, object], multiplier: float) -> None:
    advice = judge(10_000, **changed)
    assert advice.limit.weight == pytest.approx(23 * multiplier)
    assert advice.index == pytest.approx(10 / (23 * multiplier))


def test_a_lift_of_which_nothing_is_recommended_has_no_finite_index() -> None:
    assert math.isinf(judge(10_000, per_minute=16).index)


def test_what_the_equation_does_not_cover_is_refused() -> None:
    with pytest.raises(UsageError):
        judge(10_000, hours=9)

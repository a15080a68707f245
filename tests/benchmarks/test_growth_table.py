"""The table of growth: its powers are those of curves whose power is known, and its marks stand where it says."""

import pytest

from tests.benchmarks.growth.jobs import Scope
from tests.benchmarks.growth.lists import lists, own_number
from tests.benchmarks.growth.running import Run
from tests.benchmarks.growth.table import Row, lines

START_UP_S = 1.0


def row(scope: Scope, seconds: dict[int, float | None]) -> Row:
    runs = {
        size: Run(60.0, 0, None, "") if beyond is None else Run(START_UP_S + beyond, 0, 0, "")
        for size, beyond in seconds.items()
    }
    return Row(scope, START_UP_S, runs)


@pytest.mark.parametrize("power", [0.5, 1.0, 2.0])
def test_the_power_of_a_curve_whose_power_is_known(power: float) -> None:
    measured = row(Scope.WHOLE, {size: 0.2 * (size / 1000) ** power for size in (1_000, 10_000, 100_000)})
    words, slope = measured.power()
    assert words == f"{power:.2f}"
    assert slope == pytest.approx(power)
    assert measured.missed() == (power > 1.1)


def test_what_is_lost_in_noise_or_reached_the_limit_bounds_the_power() -> None:
    assert row(Scope.WHOLE, {1_000: 0.01, 10_000: 1.0}).power()[0] == "≥1.00"
    assert row(Scope.WHOLE, {1_000: 0.59, 10_000: None}).power()[0] == "≥2.00"
    assert row(Scope.ONE, {1_000: 0.01, 10_000: 0.02}).power()[0] == "0"


@pytest.mark.parametrize(
    ("scope", "beyond", "missed"),
    [
        (Scope.ONE, 0.4, False),
        (Scope.ONE, 0.6, True),
        (Scope.PAGE, 0.6, True),
        (Scope.LIST, 39.0, False),
        (Scope.LIST, 41.0, True),
        (Scope.WHOLE, 41.0, False),
        (Scope.WHOLE, None, True),
    ],
)
def test_what_costs_more_than_it_may_is_marked(scope: Scope, beyond: float | None, missed: bool) -> None:
    assert row(scope, {100_000: beyond}).missed() is missed


def test_a_failed_run_is_no_time() -> None:
    failed = Row(Scope.ONE, START_UP_S, {1_000: Run(0.2, 0, 1, "refused")})
    assert failed.missed()
    assert "failed" in lines({"find": {"this": failed}}, (1_000,), 60)[-1]


def test_a_library_is_the_same_each_time_and_has_the_copies_it_should() -> None:
    made = lists(240)
    assert made == lists(240)
    assert len(made.copies) == 240
    assert sum(not copy["box"] for copy in made.copies) == 12
    assert made.boxes[-1]["box"] == own_number("B", 19)

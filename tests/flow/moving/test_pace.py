"""The estimate of the hours left, checked against figures worked by hand."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.flow.moving.pace import estimate, pace_words

START = datetime(2026, 5, 1, 9, tzinfo=UTC)


def seen(*minutes: float) -> list[datetime]:
    return [START + timedelta(minutes=minute) for minute in minutes]


def test_a_steady_pace_gives_one_figure() -> None:
    pace = estimate(seen(*range(0, 42, 2)), left=60)
    assert pace is not None
    assert (pace.timed, pace.per_hour, pace.least_h, pace.most_h) == (20, 30.0, 2.0, 2.0)
    assert pace_words(pace) == "About 2 hours of work left for 60 books, at 30 an hour so far."


def test_breaks_are_no_work() -> None:
    with_lunch = estimate(seen(*range(0, 22, 2), *range(200, 222, 2)), left=60)
    assert with_lunch is not None
    assert with_lunch.per_hour == 30.0


def test_an_uneven_pace_gives_a_range() -> None:
    # Gaps of 1 and 3 minutes by turns, ten of each: mean 2, standard deviation 1.0260, two standard errors 0.4588.
    minutes = [0.0]
    for nth in range(20):
        minutes.append(minutes[-1] + (1 if nth % 2 else 3))
    pace = estimate(seen(*minutes), left=60)
    assert pace is not None
    assert pace.least_h == pytest.approx(60 * (2 - 0.4588) / 60, abs=1e-3)
    assert pace.most_h == pytest.approx(60 * (2 + 0.4588) / 60, abs=1e-3)
    assert "2 hours to 2.5 hours" in pace_words(pace)


@pytest.mark.parametrize("minutes", [(), (1,), tuple(range(10)), (5,) * 30])
def test_too_little_is_said_to_be_too_little(minutes: tuple[float, ...]) -> None:
    assert estimate(seen(*minutes), left=5) is None


@given(st.lists(st.floats(0, 1e5), max_size=60), st.integers(0, 10_000))
def test_the_range_holds_the_mean(minutes: list[float], left: int) -> None:
    pace = estimate(seen(*minutes), left)
    if pace is not None:
        assert 0 <= pace.least_h <= left / pace.per_hour * 1.0001 <= pace.most_h * 1.001
        assert pace_words(pace)

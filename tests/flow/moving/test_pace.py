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
    assert pace_words(pace) == (
        "About 2 hours of work left for 60 books, at 30 an hour: judged by 20 unpacked one by one, on 2026-05-01."
    )


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


def test_a_quarter_of_an_hour_is_still_work_and_ten_gaps_are_enough() -> None:
    # Ten gaps of 15 minutes; one of a second more is a break.
    pace = estimate(seen(*range(0, 165, 15)), left=8)
    assert pace is not None
    assert (pace.timed, pace.per_hour, pace.least_h) == (10, 4, 2)
    assert estimate([*seen(*range(0, 150, 15)), START + timedelta(minutes=150, seconds=1)], left=8) is None


@pytest.mark.parametrize(
    ("left", "words"),
    [
        # At 30 an hour: minutes to the next five below an hour, then half hours.
        (1, "About 5 minutes of work left for 1 book, "),
        (5, "About 10 minutes of work left for 5 books, "),
        (29, "About 60 minutes of work left for 29 books, "),
        (30, "About 1 hour of work left for 30 books, "),
        (31, "About 1.5 hours of work left for 31 books, "),
        (0, "Nothing is left to unpack."),
    ],
)
def test_what_is_left_in_words(left: int, words: str) -> None:
    assert pace_words(estimate(seen(*range(0, 42, 2)), left)).startswith(words)


def test_a_burst_is_no_pace() -> None:
    # Twenty pictures read in half a second each, and nothing else: they tell nothing about the work.
    burst = [START + timedelta(seconds=0.43 * nth) for nth in range(20)]
    assert estimate(burst, left=60) is None
    # The same after an hour's work at a book every two minutes: the pace is that of the hour alone, and neither the
    # eight minutes before the burst count, in which all of it may have been done, nor the burst.
    hour = seen(*range(0, 62, 2))
    after = [hour[-1] + timedelta(minutes=8, seconds=0.43 * nth) for nth in range(20)]
    pace = estimate([*hour, *after], left=60)
    assert pace is not None
    assert (pace.per_hour, pace.timed, pace.in_bursts, pace.after_breaks) == (30.0, 30, 20, 0)
    # What follows two minutes after the burst took two minutes; then there is a break of a day.
    later = [after[-1] + timedelta(minutes=2), after[-1] + timedelta(days=1)]
    pace = estimate([*hour, *after, *later], left=60)
    assert pace is not None
    assert (pace.per_hour, pace.timed, pace.in_bursts, pace.after_breaks) == (30.0, 31, 20, 1)
    assert pace_words(pace).endswith(
        "judged by 31 unpacked one by one, from 2026-05-01 to 2026-05-02; "
        "without 20 recorded in bursts and 1 after breaks."
    )


def test_five_seconds_are_no_burst_and_only_the_latest_copies_count() -> None:
    quick = estimate([START + timedelta(seconds=5 * nth) for nth in range(11)], left=60)
    assert quick is not None
    assert (quick.per_hour, quick.in_bursts) == (720, 0)
    assert estimate([START + timedelta(seconds=4.9 * nth) for nth in range(50)], left=60) is None
    # 600 at five minutes each, then 501 at two: the first are forgotten.
    slow = seen(*range(0, 3000, 5))
    fast = [slow[-1] + timedelta(minutes=2 * nth) for nth in range(1, 502)]
    pace = estimate([*fast, *slow], left=60)
    assert pace is not None
    assert (pace.per_hour, pace.timed, pace.since) == (30, 499, fast[1])


@pytest.mark.parametrize("minutes", [(), (1,), tuple(range(10)), (5,) * 30])
def test_too_little_is_said_to_be_too_little(minutes: tuple[float, ...]) -> None:
    assert estimate(seen(*minutes), left=5) is None


@given(st.lists(st.floats(0, 1e5), max_size=60), st.integers(0, 10_000))
def test_the_range_holds_the_mean(minutes: list[float], left: int) -> None:
    pace = estimate(seen(*minutes), left)
    if pace is not None:
        assert 0 <= pace.least_h <= left / pace.per_hour * 1.0001 <= pace.most_h * 1.001
        assert pace_words(pace)

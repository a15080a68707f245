"""The periods of each regime of carriage, cell by cell, and how their days are counted.

CMR 1956, articles 30 and 32 (30(4): the day of delivery is not counted; Sundays and public holidays are left out of the
seven days); Hague-Visby Rules, article III 6; Montreal Convention 1999, articles 31 and 35; 49 U.S.C. 14706(e)(1). The
days are counted by hand in a calendar.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.carriage.periods import Period, months_later, notice_periods, working_days_later
from intake.carriage.regimes import Regime
from intake.errors import UsageError

TODAY = date(2026, 11, 25)
FRIDAY = date(2026, 7, 3)

LAST_DAYS = {
    # 14 days; 21 days; two years
    Regime.MONTREAL: [date(2026, 7, 17), date(2026, 7, 24), date(2028, 7, 3)],
    # at once; 3 days; one year
    Regime.HAGUE_VISBY: [FRIDAY, date(2026, 7, 6), date(2027, 7, 3)],
    # at once; 7 days without the Sunday of 5 July; 21 days; one year
    Regime.CMR: [FRIDAY, date(2026, 7, 11), date(2026, 7, 24), date(2027, 7, 3)],
    # nine months; two years from the refusal of the claim, which has no day yet
    Regime.RELEASED: [date(2027, 4, 3), None],
    Regime.FULL: [date(2027, 4, 3), None],
    # what the contract says
    Regime.PER_KG: [None],
}


@pytest.mark.parametrize("regime", Regime)
def test_the_last_day_of_every_period(regime: Regime) -> None:
    found = notice_periods(regime, FRIDAY, TODAY)
    assert [period.last for period in found] == LAST_DAYS[regime]
    assert all(period.source for period in found)


def test_a_delivery_on_a_saturday_by_road() -> None:
    # Sunday the 5th and Sunday the 12th are left out: Monday the 13th is the seventh day.
    assert notice_periods(Regime.CMR, date(2026, 7, 4), TODAY)[1].last == date(2026, 7, 13)


def test_nine_months_from_the_end_of_may_end_with_february() -> None:
    assert notice_periods(Regime.RELEASED, date(2026, 5, 31), TODAY)[0].last == date(2027, 2, 28)


def test_a_delivery_of_today_is_taken_and_one_to_come_is_refused() -> None:
    assert notice_periods(Regime.HAGUE_VISBY, TODAY, TODAY)[0].left(TODAY) == 0
    with pytest.raises(UsageError):
        notice_periods(Regime.CMR, TODAY + timedelta(days=1), TODAY)


def test_what_is_left_of_a_period() -> None:
    period = Period("notice", date(2026, 5, 4), "", "")
    assert [period.left(date(2026, 5, day)) for day in (1, 4, 6)] == [3, 0, -2]
    assert Period("action", None, "", "").left(TODAY) is None


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (date(2026, 3, 31), 1, date(2026, 4, 30)),
        (date(2023, 3, 31), 11, date(2024, 2, 29)),
        (date(2026, 1, 15), 11, date(2026, 12, 15)),
        (date(2026, 1, 15), 12, date(2027, 1, 15)),
        (date(2026, 12, 31), 0, date(2026, 12, 31)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
    ],
)
def test_months_in_a_calendar(day: date, months: int, later: date) -> None:
    assert months_later(day, months) == later


@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(0, 60))
def test_months_end_where_the_month_does(day: date, months: int) -> None:
    later = months_later(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day == day.day or (later.day < day.day and (later + timedelta(days=1)).day == 1)


@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(1, 30))
def test_sundays_are_left_out(day: date, days: int) -> None:
    last = working_days_later(day, days)
    between = [day + timedelta(days=n) for n in range(1, (last - day).days + 1)]
    assert sum(one.weekday() != 6 for one in between) == days
    assert last.weekday() != 6

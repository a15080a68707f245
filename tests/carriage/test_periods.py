"""The periods of each regime of carriage, cell by cell, how their days are counted, and what lateness costs.

CMR 1956, articles 30 and 32 (30(4): the day of delivery is not counted; Sundays and public holidays are left out of the
seven days); Hague-Visby Rules, article III 6; Montreal Convention 1999, articles 31 and 35; HGB 451f, 438(3) (seen in a
copy) and 439 (from memory); COGSA section 3(6) (from memory, but for the year of suit, seen in a copy); Hague Rules
1924, article III 6 (from memory); 49 U.S.C. 14706(e)(1). The days are counted by hand in a calendar.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.carriage.periods import Period, months_later, moved_day, notice_periods, working_days_later
from intake.carriage.regimes import REGIMES
from intake.errors import UsageError
from intake.model.carriage import Lateness, PeriodKind

TODAY = date(2027, 11, 25)
FRIDAY = date(2026, 7, 3)
BARRED, PRESUMED, LOST = Lateness.ACTION_BARRED, Lateness.PRESUMPTION_ONLY, Lateness.CLAIM_LOST
ENDS, CONTRACT = Lateness.RIGHT_ENDS, Lateness.SEE_CONTRACT
BY_SEA = [(FRIDAY, PRESUMED), (date(2026, 7, 6), PRESUMED), (date(2027, 7, 3), ENDS)]

PERIODS = {
    # at once: evidence (31(1)); 14 days; 21 days: no action (31(4)); two years: extinguished (35)
    "montreal": [
        (FRIDAY, PRESUMED), (date(2026, 7, 17), BARRED), (date(2026, 7, 24), BARRED), (date(2028, 7, 3), ENDS),
    ],
    # at once; 3 days; one year
    "hague-visby": BY_SEA,
    "hague-1924": BY_SEA,
    "us-cogsa": BY_SEA,
    # at once; 7 days without the Sunday of 5 July; 21 days; one year
    "cmr": [
        (FRIDAY, PRESUMED), (date(2026, 7, 11), PRESUMED), (date(2026, 7, 24), LOST), (date(2027, 7, 3), ENDS),
    ],
    # the day after; 14 days; 21 days; one year
    "german-removal": [
        (date(2026, 7, 4), LOST), (date(2026, 7, 17), LOST), (date(2026, 7, 24), LOST), (date(2027, 7, 3), ENDS),
    ],
    # nine months; two years from the refusal of the claim, which has no day yet
    "released-value": [(date(2027, 4, 3), CONTRACT), (None, ENDS)],
    "full-value": [(date(2027, 4, 3), CONTRACT), (None, ENDS)],
    # what the contract says
    "per-kg": [(None, CONTRACT)],
    "rotterdam": [],
}  # fmt: skip


@pytest.mark.parametrize("name", REGIMES)
def test_the_last_day_of_every_period_and_what_lateness_costs(name: str) -> None:
    found = notice_periods(REGIMES[name], FRIDAY, TODAY)
    assert [(period.last, period.rule.late) for period in found] == PERIODS[name]


def last_day(name: str, occasion: PeriodKind, delivered: date, *holidays: date) -> date | None:
    periods = notice_periods(REGIMES[name], delivered, TODAY, frozenset(holidays))
    return next(period.last for period in periods if period.rule.occasion is occasion)


def test_a_saturday_counts_by_road_and_a_sunday_does_not() -> None:
    """CMR, article 30(1): of Friday 3 July 2026 until Saturday the 11th; of Saturday the 4th, Monday the 13th.

    Of the first the Sunday of 5 July is left out, of the second also that of the 12th.
    """
    assert last_day("cmr", PeriodKind.HIDDEN, FRIDAY) == date(2026, 7, 11)
    assert last_day("cmr", PeriodKind.HIDDEN, date(2026, 7, 4)) == date(2026, 7, 13)


def test_holidays_count_by_road_only_where_they_are_named() -> None:
    """CMR, article 30(1): 18 December 2026 is a Friday; 25 and 26 December are holidays, 20 and 27 Sundays."""
    christmas = date(2026, 12, 25), date(2026, 12, 26)
    delivered = date(2026, 12, 18)
    assert last_day("cmr", PeriodKind.HIDDEN, delivered) == date(2026, 12, 26)
    assert last_day("cmr", PeriodKind.HIDDEN, delivered, *christmas) == date(2026, 12, 29)
    # No other period leaves holidays out.
    assert last_day("cmr", PeriodKind.DELAY, delivered, *christmas) == date(2027, 1, 8)
    assert last_day("german-removal", PeriodKind.HIDDEN, delivered, *christmas) == date(2027, 1, 1)


@pytest.mark.parametrize(
    ("last", "moved"),
    [
        (date(2026, 11, 20), date(2026, 11, 20)),  # a Friday
        (date(2026, 11, 21), date(2026, 11, 23)),  # a Saturday
        (date(2026, 12, 27), date(2026, 12, 28)),  # a Sunday
        (date(2026, 12, 25), date(2026, 12, 28)),  # a holiday on a Friday, the next one on the Saturday
    ],
)
def test_the_day_to_which_a_last_day_that_is_no_working_day_arguably_moves(last: date, moved: date) -> None:
    """BGB, section 193 (from memory): Saturday, Sunday, holiday; the period itself keeps to the earlier day."""
    assert moved_day(last, frozenset({date(2026, 12, 25), date(2026, 12, 26)})) == moved
    assert last_day("german-removal", PeriodKind.APPARENT, last - timedelta(days=1)) == last


def test_only_a_law_that_moves_last_days_is_named() -> None:
    assert {name for name, regime in REGIMES.items() if regime.last_day_law} == {"german-removal"}


def test_nine_months_from_the_end_of_may_end_with_february() -> None:
    """49 U.S.C. 14706(e)(1)."""
    assert last_day("released-value", PeriodKind.CLAIM, date(2026, 5, 31)) == date(2027, 2, 28)


def test_a_delivery_of_today_is_taken_and_one_to_come_is_refused() -> None:
    assert notice_periods(REGIMES["hague-visby"], TODAY, TODAY)[0].left(TODAY) == 0
    with pytest.raises(UsageError):
        notice_periods(REGIMES["cmr"], TODAY + timedelta(days=1), TODAY)


def test_what_is_left_of_a_period() -> None:
    rule = REGIMES["cmr"].periods[0]
    period = Period(rule, date(2026, 5, 4))
    assert [period.left(date(2026, 5, day)) for day in (1, 4, 6)] == [3, 0, -2]
    assert Period(rule, None).left(TODAY) is None


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


@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(1, 30), st.sets(st.integers(1, 60), max_size=6))
def test_sundays_and_holidays_are_left_out(day: date, days: int, offsets: set[int]) -> None:
    holidays = {day + timedelta(days=n) for n in offsets}
    last = working_days_later(day, days, holidays)
    between = [day + timedelta(days=n) for n in range(1, (last - day).days + 1)]
    assert sum(one.weekday() != 6 and one not in holidays for one in between) == days
    assert last.weekday() != 6
    assert last not in holidays

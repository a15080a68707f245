"""The last day to give notice of loss or damage, to claim and to sue, counted from the day of delivery.

Where nothing was delivered, what runs is counted from when the goods should have come (`overdue_periods`).

The day of delivery is not counted (CMR, article 30(4)). A last day that is a Sunday or holiday is not moved: no regime
in the table moves it, and where national law does, or arguably does, the earlier day is the safe one; the later one
is named beside it (`moved_day`). Periods shortened by a contract or
changed by local law are not considered.
"""

import calendar
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta

from intake.errors import UsageError
from intake.model.carriage import Counting, LiabilityRegime, NeverDelivered, PeriodRule

SATURDAY, SUNDAY = 5, 6
NO_HOLIDAYS: frozenset[date] = frozenset()


@dataclass(frozen=True, slots=True)
class Period:
    """One period of a delivery; `last` is its last day, None where the contract or a later event decides."""

    rule: PeriodRule
    last: date | None

    def left(self, today: date) -> int | None:
        """Return the number of days left: 0 on the last day, negative afterwards; None if `last` is None."""
        return None if self.last is None else (self.last - today).days


def notice_periods(
    regime: LiabilityRegime, delivered: date, today: date, holidays: AbstractSet[date] = NO_HOLIDAYS
) -> tuple[Period, ...]:
    """Return the periods of a regime, in the order of its record.

    Args:
        regime: the regime that applies, as given by the person.
        delivered: the day on which the carrier handed the goods over.
        today: the current date.
        holidays: public holidays, left out where a rule leaves them out; none known counts them as working days.

    Raises:
        UsageError: the day of delivery is in the future.
    """
    if delivered > today:
        raise UsageError(f"The delivery on {delivered}", f"is in the future (today is {today})", "correct the date")
    return tuple(Period(rule, _last_day(rule, delivered, holidays)) for rule in regime.periods)


@dataclass(frozen=True, slots=True)
class OverduePeriod:
    """A period of goods that were never delivered: of a rule, or (None) after which they may be treated as lost.

    Attributes:
        last: the last day; of the time after which goods count as lost, the day that has to have passed. None where the
            article counts from a day that is not on record.
    """

    rule: PeriodRule | None
    start: NeverDelivered
    last: date | None


def overdue_periods(regime: LiabilityRegime, dispatched: date | None) -> tuple[OverduePeriod, ...]:
    """Return from when goods that never came may be treated as lost, and the periods that run without a delivery.

    Args:
        regime: the regime that applies, as given by the person.
        dispatched: the day on which the carrier took the goods over; None where it is not on record.
    """
    overdue = regime.overdue
    first = () if overdue is None else (OverduePeriod(None, overdue, _start(overdue, dispatched)),)
    return first + tuple(
        OverduePeriod(rule, rule.undelivered, _last_from(rule, _start(rule.undelivered, dispatched)))
        for rule in regime.periods
        if rule.undelivered is not None
    )


def _start(undelivered: NeverDelivered, dispatched: date | None) -> date | None:
    """Return the day from which a period runs; like a day of delivery, it is not counted (CMR, article 32(1))."""
    if dispatched is None or undelivered.start_days is None:
        return None
    return dispatched + timedelta(days=undelivered.start_days)


def _last_from(rule: PeriodRule, start: date | None) -> date | None:
    return None if start is None else _last_day(rule, start, NO_HOLIDAYS)


def _last_day(rule: PeriodRule, delivered: date, holidays: AbstractSet[date]) -> date | None:
    if rule.length is None:
        return None
    if rule.counting is Counting.MONTHS:
        return months_later(delivered, rule.length)
    if rule.counting is Counting.WORKING_DAYS:
        return working_days_later(delivered, rule.length, holidays)
    return delivered + timedelta(days=rule.length)


def moved_day(last: date, holidays: AbstractSet[date] = NO_HOLIDAYS) -> date:
    """Return the next working day for a last day that is a Saturday, Sunday or one of these holidays; else itself.

    >>> moved_day(date(2026, 11, 21))
    datetime.date(2026, 11, 23)
    """
    while last.weekday() in (SATURDAY, SUNDAY) or last in holidays:
        last += timedelta(days=1)
    return last


def months_later(day: date, months: int) -> date:
    """Return the same day of a later month, or the last day of that month if it is shorter.

    >>> months_later(date(2026, 5, 31), 9)
    datetime.date(2027, 2, 28)
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def working_days_later(day: date, days: int, holidays: AbstractSet[date] = NO_HOLIDAYS) -> date:
    """Return the day that is a number of days later, not counting Sundays and these holidays.

    >>> working_days_later(date(2026, 5, 1), 7)
    datetime.date(2026, 5, 9)
    """
    while days:
        day += timedelta(days=1)
        days -= day.weekday() != SUNDAY and day not in holidays
    return day

"""The last day to give notice of loss or damage, to claim and to sue, counted from the day of delivery.

Days are calendar days and the day of delivery is not counted, unless the rule says otherwise. A last day that is a
Sunday or holiday is not moved, except where the rule excludes such days, and then only Sundays are known here: use the
earlier day. Periods shortened by a contract or changed by local law are not considered.

    Montreal Convention 1999   articles 31 and 35
    Hague-Visby Rules          article III, 6 (Hague Rules 1924 as amended 1968)
    CMR 1956                   articles 30 and 32
    United States, by road     49 U.S.C. 14706(e)(1): a carrier may not allow less than nine months to claim, nor less
                               than two years, from its refusal in writing, to sue
"""

import calendar
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from intake.carriage.regimes import Regime
from intake.errors import UsageError

SUNDAY = 6


@dataclass(frozen=True, slots=True)
class Period:
    """One period.

    Attributes:
        what: what has to be done within it.
        last: its last day; None if it runs from an event that has not happened yet, stated in `words`.
        source: article and edition.
    """

    what: str
    last: date | None
    words: str
    source: str

    def left(self, today: date) -> int | None:
        """Return the number of days left: 0 on the last day, negative afterwards; None if `last` is None."""
        return None if self.last is None else (self.last - today).days


def notice_periods(regime: Regime, delivered: date, today: date) -> tuple[Period, ...]:
    """Return the periods of a regime, the shortest first.

    Args:
        regime: the regime that applies, as given by the person.
        delivered: the day on which the carrier handed the goods over.
        today: the current date.

    Raises:
        UsageError: the day of delivery is in the future.
    """
    if delivered > today:
        raise UsageError(f"The delivery on {delivered}", f"is in the future (today is {today})", "correct the date")
    return tuple(_PERIODS[regime](delivered))


def months_later(day: date, months: int) -> date:
    """Return the same day of a later month, or the last day of that month if it is shorter.

    >>> months_later(date(2026, 5, 31), 9)
    datetime.date(2027, 2, 28)
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def working_days_later(day: date, days: int) -> date:
    """Return the day that is a number of days later, not counting Sundays; other holidays are not known here.

    >>> working_days_later(date(2026, 5, 1), 7)
    datetime.date(2026, 5, 9)
    """
    while days:
        day += timedelta(days=1)
        days -= day.weekday() != SUNDAY
    return day


def _montreal(delivered: date) -> Iterator[Period]:
    source = "Montreal Convention 1999, article 31(2)"
    words = "14 days from receipt of the cargo"
    yield Period("notice of damage, in writing", delivered + timedelta(days=14), words, source)
    words = "21 days from when it was put at your disposal"
    yield Period("notice of delay, in writing", delivered + timedelta(days=21), words, source)
    yield Period("action in court", months_later(delivered, 24), "two years from arrival", "the same, article 35")


def _hague_visby(delivered: date) -> Iterator[Period]:
    source = "Hague-Visby Rules, article III, 6"
    yield Period("notice of apparent loss or damage, in writing", delivered, "before or at the time of removal", source)
    words = "three days from delivery"
    yield Period("notice of loss or damage not apparent, in writing", delivered + timedelta(days=3), words, source)
    yield Period("action in court", months_later(delivered, 12), "one year from delivery", source)


def _cmr(delivered: date) -> Iterator[Period]:
    source = "CMR 1956, article 30"
    yield Period("notice of apparent loss or damage", delivered, "at the time of delivery", source)
    words = "seven days from delivery, not counting Sundays and public holidays (only Sundays are known here)"
    last = working_days_later(delivered, 7)
    yield Period("notice of loss or damage not apparent, in writing", last, words, source)
    words = "21 days from when the goods were put at your disposal"
    yield Period("notice of delay, in writing", delivered + timedelta(days=21), words, source)
    yield Period("action in court", months_later(delivered, 12), "one year from delivery", "CMR 1956, article 32")


def _united_states(delivered: date) -> Iterator[Period]:
    words = "nine months from delivery: the minimum that a carrier must allow, so read the contract"
    yield Period("claim in writing", months_later(delivered, 9), words, "49 U.S.C. 14706(e)(1)")
    words = "at least two years from the carrier's refusal in writing"
    yield Period("action in court", None, words, "49 U.S.C. 14706(e)(1)")


def _contract(_delivered: date) -> Iterator[Period]:
    words = "the contract states the period; until you have read it, give notice today"
    yield Period("notice and claim", None, words, "your contract")


_PERIODS = {
    Regime.RELEASED: _united_states,
    Regime.FULL: _united_states,
    Regime.MONTREAL: _montreal,
    Regime.HAGUE_VISBY: _hague_visby,
    Regime.CMR: _cmr,
    Regime.PER_KG: _contract,
}

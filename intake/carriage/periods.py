"""The last day to give notice of loss or damage, to claim and to sue, counted from the day of delivery.

Days are calendar days and the day of delivery is not counted, unless the rule says otherwise. A last day that falls on
a Sunday or holiday is not moved, except where the rule leaves such days out, and then only Sundays are known here: take
the earlier day. What a contract shortens, and what local law makes of a period, is not known here.

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
        last: its last day; None where it runs from something that has not happened yet, which `words` name.
        source: article and edition.
    """

    what: str
    last: date | None
    words: str
    source: str

    def left(self, today: date) -> int | None:
        """Return how many days are left, 0 on the last; negative when it is over."""
        return None if self.last is None else (self.last - today).days


def periods(regime: Regime, delivered: date, today: date) -> tuple[Period, ...]:
    """Return the periods of a regime, the shortest first.

    Args:
        regime: what the person says applies.
        delivered: the day on which the carrier handed the goods over.
        today: no delivery is later than it.

    Raises:
        UsageError: the day of delivery is still to come.
    """
    if delivered > today:
        raise UsageError(f"The delivery on {delivered}", f"is still to come (today is {today})", "correct the date")
    return tuple(_PERIODS[regime](delivered))


def months_later(day: date, months: int) -> date:
    """Return the same day of a later month, or the month's last day where it is shorter.

    >>> months_later(date(2026, 5, 31), 9)
    datetime.date(2027, 2, 28)
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def working_days_later(day: date, days: int) -> date:
    """Return the day after a number of days that are not Sundays; other holidays are not known here.

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
    yield Period("notice of what can be seen, in writing", delivered, "before or at the time of removal", source)
    words = "three days from delivery"
    yield Period("notice of what cannot be seen, in writing", delivered + timedelta(days=3), words, source)
    yield Period("action in court", months_later(delivered, 12), "one year from delivery", source)


def _cmr(delivered: date) -> Iterator[Period]:
    source = "CMR 1956, article 30"
    yield Period("notice of what can be seen", delivered, "at the time of delivery", source)
    words = "seven days from delivery, Sundays and public holidays left out (only Sundays are known here)"
    last = working_days_later(delivered, 7)
    yield Period("notice of what cannot be seen, in writing", last, words, source)
    words = "21 days from when the goods were put at your disposal"
    yield Period("notice of delay, in writing", delivered + timedelta(days=21), words, source)
    yield Period("action in court", months_later(delivered, 12), "one year from delivery", "CMR 1956, article 32")


def _united_states(delivered: date) -> Iterator[Period]:
    words = "nine months from delivery: the least that a carrier may allow, so read the contract"
    yield Period("claim in writing", months_later(delivered, 9), words, "49 U.S.C. 14706(e)(1)")
    words = "two years at least from the carrier's refusal in writing"
    yield Period("action in court", None, words, "49 U.S.C. 14706(e)(1)")


def _contract(_delivered: date) -> Iterator[Period]:
    words = "the contract says until when; until you have read it, give notice today"
    yield Period("notice and claim", None, words, "your contract")


_PERIODS = {
    Regime.RELEASED: _united_states,
    Regime.FULL: _united_states,
    Regime.MONTREAL: _montreal,
    Regime.HAGUE_VISBY: _hague_visby,
    Regime.CMR: _cmr,
    Regime.PER_KG: _contract,
}

"""A dated table of exchange rates, and the conversion between currencies on a day.

The rate used is that of the day, or the last one before it: central banks publish none on weekends and holidays. A gap
longer than `LONGEST_GAP` is refused rather than bridged. Two currencies that are not the base are converted through it,
with exact fractions; a conversion is not rounded. A rate after the day is never used.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from intake.model.currencies import decimals
from intake.model.valuations import Rate

LONGEST_GAP = timedelta(days=7)
"""Longer than any succession of bank holidays (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Conversion:
    """The amount of `into` for one unit of `of`; `words` lists the rates used and their dates."""

    of: str
    into: str
    factor: Fraction
    words: str


@dataclass(frozen=True, slots=True)
class NoRate:
    """Why an amount cannot be converted."""

    of: str
    into: str
    why: str


class RateTable:
    """Rates by base and currency, each list by day."""

    def __init__(self, rates: Iterable[Rate]) -> None:
        self._days: dict[tuple[str, str], list[date]] = defaultdict(list)
        self._rates: dict[tuple[str, str], list[Rate]] = defaultdict(list)
        for rate in sorted(rates, key=lambda rate: rate.on):
            self._days[rate.base, rate.currency].append(rate.on)
            self._rates[rate.base, rate.currency].append(rate)
        self.bases = tuple(sorted({base for base, _ in self._rates}))

    def conversion(self, of: str, into: str, on: date) -> Conversion | NoRate:
        """Return the conversion of one currency to another on a day, or the reason why there is none."""
        if of == into:
            return Conversion(of, into, Fraction(1), "")
        whys: list[str] = []
        for base in self.bases:
            legs = [self._leg(base, currency, on) for currency in (of, into)]
            reasons = [leg for leg in legs if isinstance(leg, str)]
            if reasons:
                whys += reasons
                continue
            (down, down_words), (up, up_words) = (leg for leg in legs if not isinstance(leg, str))
            words = "; ".join(filter(None, (down_words, up_words)))
            return Conversion(of, into, up / down, words)
        return NoRate(of, into, whys[0] if whys else "the library has no rates")

    def _leg(self, base: str, currency: str, on: date) -> tuple[Fraction, str] | str:
        if currency == base:
            return Fraction(1), ""
        days = self._days.get((base, currency), [])
        at = bisect_right(days, on) - 1
        if not days:
            return f"no rate of {currency} is recorded"
        if at < 0:
            return f"the first rate of {currency} is of {days[0].isoformat()}, after {on.isoformat()}"
        if on - days[at] > LONGEST_GAP:
            gap = (on - days[at]).days
            return (
                f"the last rate of {currency} before {on.isoformat()} is of {days[at].isoformat()}, {gap} days earlier"
            )
        rate = self._rates[base, currency][at]
        source = f", {rate.source}" if rate.source else ""
        return Fraction(rate.per_base), f"{base} 1 = {currency} {rate.per_base} ({rate.on.isoformat()}{source})"


def convert_amount(amount: Decimal, conversion: Conversion) -> Decimal:
    """Return an amount in the other currency, rounded once to its decimals, half away from zero.

    >>> convert_amount(Decimal("10.00"), Conversion("USD", "EUR", Fraction(1, 3), ""))
    Decimal('3.33')
    """
    places = decimals(conversion.into)
    numerator, denominator = amount.as_integer_ratio()
    numerator *= conversion.factor.numerator * 10**places
    denominator *= conversion.factor.denominator
    # Integers throughout: half of the divisor is added before the truncating division.
    whole = (2 * abs(numerator) + denominator) // (2 * denominator)
    return Decimal(whole if numerator >= 0 else -whole).scaleb(-places)


def find_gaps(rates: Iterable[Rate]) -> list[tuple[str, date, date]]:
    """Return (currency, last date before, first date after) for each gap that is too long to bridge."""
    days: dict[str, list[date]] = defaultdict(list)
    for rate in rates:
        days[rate.currency].append(rate.on)
    long_gaps: list[tuple[str, date, date]] = []
    for currency, dates in sorted(days.items()):
        ordered = sorted(dates)
        pairs = pairwise(ordered)
        long_gaps += [(currency, before, after) for before, after in pairs if after - before > LONGEST_GAP]
    return long_gaps

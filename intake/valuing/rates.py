"""A dated table of exchange rates, and the conversion between currencies on a day.

The rate used is that of the day, or the last one before it: central banks publish none on weekends and holidays. A gap
longer than `LONGEST_GAP` is refused rather than bridged. Two currencies that are not the base are converted through it,
and where the rates of no one base reach, through one base into another and on by the rates of that; with exact
fractions, and a conversion is not rounded. A rate after the day is never used. Where the
rates of several bases reach, or of both directions, those are used of which the oldest is the latest.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from intake.model.currencies import decimals
from intake.model.valuations import Rate
from intake.units.language import say
from intake.units.local_forms import day_text, exact_figures, with_currency

LONGEST_GAP = timedelta(days=7)
"""Longer than any succession of bank holidays (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Conversion:
    """The amount of `into` for one unit of `of`; `words` lists the rates used and their dates, `rates` has each."""

    of: str
    into: str
    factor: Fraction
    words: str
    rates: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingRate:
    """A rate that a conversion needs and the table does not have.

    Attributes:
        base, currency: how much of `currency` one `base` is.
        on: the day for which it is needed.
        last: the day of the last rate before, where that is too long before; None where there is none.
        first: the day of the first rate, where all are later; None otherwise.
    """

    base: str
    currency: str
    on: date
    last: date | None = None
    first: date | None = None

    @property
    def why(self) -> str:
        """Return in words why it is missing."""
        named = {"base": self.base, "currency": self.currency, "on": day_text(self.on)}
        if self.last is not None:
            return say(
                "the last rate of {base} in {currency} before {on} is of {last}, {gap}",
                last=day_text(self.last),
                gap=self._gap_words,
                **named,
            )
        if self.first is not None:
            first = day_text(self.first)
            return say("the first rate of {base} in {currency} is of {first}, after {on}", first=first, **named)
        return say("no rate of {base} in {currency} is recorded", base=self.base, currency=self.currency)

    @property
    def why_briefly(self) -> str:
        """Return the same where the two currencies and the day stand before it."""
        if self.last is not None:
            return say("the last before is of {last}, {gap}", last=day_text(self.last), gap=self._gap_words)
        if self.first is None:
            return say("none is recorded")
        return say("the first is of {first}", first=day_text(self.first))

    @property
    def _gap_words(self) -> str:
        gap = 0 if self.last is None else (self.on - self.last).days
        return say("{days} days earlier, where at most {most} count", days=gap, most=LONGEST_GAP.days)


@dataclass(frozen=True, slots=True)
class NoRate:
    """Why an amount cannot be converted: `missing` are the rates that would do, at least one."""

    of: str
    into: str
    missing: tuple[MissingRate, ...]

    @property
    def why(self) -> str:
        """Return the reason in words."""
        return "; ".join(missing.why for missing in self.missing)


@dataclass(frozen=True, slots=True)
class _Leg:
    """One rate of a conversion: its factor, its words, and its day."""

    factor: Fraction
    words: str
    on: date


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
        """Return the conversion of one currency to another on a day, or the rates that are missing for it.

        Of several ways, the one that needs the fewest rates that were never recorded is named, then the one with the
        fewest missing rates: who recorded a rate once knows where to find it. Where there is no rate at all, it is the
        one rate between the two currencies.
        """
        direct = self._by_one_base(of, into, on)
        if isinstance(direct, Conversion):
            return direct
        ways = [direct.missing]
        for through in self.bases:
            legs = self._by_one_base(of, through, on), self._by_one_base(through, into, on)
            first, second = legs
            if isinstance(first, Conversion) and isinstance(second, Conversion):
                used = tuple(dict.fromkeys((*first.rates, *second.rates)))
                return Conversion(of, into, first.factor * second.factor, "; ".join(used), used)
            ways.append(tuple(rate for leg in legs if isinstance(leg, NoRate) for rate in leg.missing))
        easiest = min(ways, key=_effort)
        return NoRate(of, into, tuple(dict.fromkeys(easiest)))

    def _by_one_base(self, of: str, into: str, on: date) -> Conversion | NoRate:
        if of == into:
            return Conversion(of, into, Fraction(1), "")
        unusable: list[tuple[MissingRate, ...]] = []
        usable: list[tuple[date, Conversion]] = []
        for base in self.bases:
            legs = [self._leg(base, currency, on) for currency in (of, into)]
            missing = tuple(leg for leg in legs if isinstance(leg, MissingRate))
            if missing:
                unusable.append(missing)
                continue
            down, up = (leg for leg in legs if not isinstance(leg, MissingRate))
            used = tuple(filter(None, (down.words, up.words)))
            oldest = min(leg.on for leg in (down, up))
            usable.append((oldest, Conversion(of, into, up.factor / down.factor, "; ".join(used), used)))
        if usable:
            return max(usable, key=lambda one: one[0])[1]
        return NoRate(of, into, min(unusable or [(MissingRate(base=into, currency=of, on=on),)], key=_effort))

    def _leg(self, base: str, currency: str, on: date) -> _Leg | MissingRate:
        if currency == base:
            return _Leg(Fraction(1), "", on)
        days = self._days.get((base, currency), [])
        at = bisect_right(days, on) - 1
        if at < 0:
            return MissingRate(base=base, currency=currency, on=on, first=days[0] if days else None)
        if on - days[at] > LONGEST_GAP:
            return MissingRate(base=base, currency=currency, on=on, last=days[at])
        rate = self._rates[base, currency][at]
        origin = ", ".join(filter(None, (day_text(rate.on), rate.source)))
        one, other = with_currency("1", base), with_currency(exact_figures(rate.per_base), currency)
        return _Leg(Fraction(rate.per_base), f"{one} = {other} ({origin})", rate.on)


def _effort(missing: Collection[MissingRate]) -> tuple[int, int]:
    """Return how many of these rates were never recorded, and how many are missing."""
    return sum(rate.last is None and rate.first is None for rate in missing), len(missing)


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

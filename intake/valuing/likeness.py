"""Comparable copies: an estimated range for a copy without a value, and outliers among the values.

Copies are comparable if they are of the same printing; if there are too few of those, of the same edition, set or
subject; finally, of the whole collection. The range of up to three is from the lowest to the highest; of four or more,
from the lower to the upper quartile (the median of the lower and of the upper half, Tukey's hinges). It is a range, not
a valuation.

A value is an outlier if its modified z-score on the logarithms (0.6745 (x - median) / MAD) exceeds 3.5 (Iglewicz and
Hoaglin, How to Detect and Handle Outliers, 1993; from memory): a misplaced decimal point is found, an expensive book
among expensive ones is not. An outlier is a question to the person, not an error.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import cached_property
from math import log
from statistics import median
from typing import TypeVar

from intake.model.currencies import rounded
from intake.units.language import term


class Trait(StrEnum):
    """In what copies are alike, the closest likeness first."""

    PRINTING = term("printing")
    EDITION = term("edition")
    SET = term("set")
    SUBJECT = term("subject")
    COLLECTION = term("collection")


FEWEST: Mapping[Trait, int] = {
    Trait.PRINTING: 1,
    Trait.EDITION: 1,
    Trait.SET: 2,
    Trait.SUBJECT: 3,
    Trait.COLLECTION: 5,
}
"""How many valued copies must be alike in this before they are taken for a range."""
FEW = 4
LIMIT_Z = 3.5
FEWEST_FOR_OUTLIERS = 5
LEAST_SPREAD = 0.05
"""Least spread assumed, so that small differences are not outliers where nearly all values are equal."""
Z_PER_DEVIATION = 0.6745
"""What makes the median absolute deviation comparable with a standard deviation."""

Number = TypeVar("Number", float, Decimal)


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyTraits:
    """The traits by which copies are compared; None where a trait is unknown.

    Attributes:
        amount: its value in the currency of the comparison, None where it has none.
    """

    copy: str
    edition: int
    printing: int | None = None
    set: int | None = None
    subject: str = ""
    amount: Decimal | None = None

    def traits(self) -> dict[Trait, object]:
        """Return what it is alike in, the closest first; an unknown trait likens it to nothing and is left out."""
        traits = {
            Trait.PRINTING: None if self.printing is None else (self.edition, self.printing),
            Trait.EDITION: self.edition,
            Trait.SET: self.set,
            Trait.SUBJECT: self.subject or None,
            Trait.COLLECTION: "all",
        }
        return {alike: trait for alike, trait in traits.items() if trait is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueRange:
    """The estimated range of a copy's value, the trait that the compared copies share, and their number."""

    copy: str
    low: Decimal
    high: Decimal
    alike: Trait
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlier:
    """A value to be confirmed; `times` is its ratio to the median (`middle`) of the comparable copies."""

    copy: str
    amount: Decimal
    middle: Decimal
    times: float
    alike: Trait
    count: int


class _Pool:
    """The known values of copies that are alike in something; what they have in common is computed once."""

    def __init__(self) -> None:
        self.amounts: list[Decimal] = []

    @cached_property
    def positive(self) -> list[Decimal]:
        """The values above nothing, in order."""
        return sorted(amount for amount in self.amounts if amount > 0)

    @cached_property
    def span(self) -> tuple[Decimal, Decimal]:
        """The range that the values give for a copy without one, not rounded."""
        ordered = sorted(self.amounts)
        if len(ordered) < FEW:
            return ordered[0], ordered[-1]
        half = (len(ordered) + 1) // 2
        return median(ordered[:half]), median(ordered[-half:])

    def z_of_member(self, amount: Decimal) -> float:
        """Return the modified z-score of one of the positive values among all others of them."""
        value = log(float(amount))
        middle = _median_without(self._logs, bisect_left(self._logs, value))
        if middle not in self._deviations:
            self._deviations[middle] = sorted(abs(other - middle) for other in self._logs)
        deviations = self._deviations[middle]
        spread = _median_without(deviations, bisect_left(deviations, abs(value - middle)))
        return _z(value, middle, spread)

    @cached_property
    def _logs(self) -> list[float]:
        return [log(float(amount)) for amount in self.positive]

    @cached_property
    def _deviations(self) -> dict[float, list[float]]:
        """By the median; leaving out one value or another, there are no more than three medians."""
        return {}


Pools = Mapping[Trait, Mapping[object, _Pool]]


def estimate_ranges(copies: Sequence[CopyTraits], currency: str) -> tuple[dict[str, ValueRange], tuple[str, ...]]:
    """Estimate the value of every copy that has none.

    Returns:
        The ranges by copy, and the copies for which too few are comparable.
    """
    pools = _pools(copies)
    estimates: dict[str, ValueRange] = {}
    without_estimate: list[str] = []
    for copy in copies:
        if copy.amount is not None:
            continue
        estimate = _range(copy, pools, currency)
        if estimate is None:
            without_estimate.append(copy.copy)
        else:
            estimates[copy.copy] = estimate
    return estimates, tuple(without_estimate)


def _range(one: CopyTraits, pools: Pools, currency: str) -> ValueRange | None:
    for alike, trait in one.traits().items():
        pool = pools[alike].get(trait)
        if pool is not None and len(pool.amounts) >= FEWEST[alike]:
            low, high = pool.span
            if len(pool.amounts) >= FEW:
                low, high = rounded(low, currency), rounded(high, currency)
            return ValueRange(copy=one.copy, low=low, high=high, alike=alike, count=len(pool.amounts))
    return None


def find_outliers(kin: Sequence[CopyTraits]) -> tuple[Outlier, ...]:
    """Return the values that are unlike those of like copies, the most unlike first.

    Each value is compared with the others of the closest likeness that has enough of them. Takes n log n steps.
    """
    pools = _pools(kin)
    asked = (_unlike_its_pool(one, one.amount, pools) for one in kin if one.amount is not None and one.amount > 0)
    return tuple(sorted(filter(None, asked), key=lambda unlike: -abs(log(unlike.times))))


def _unlike_its_pool(one: CopyTraits, amount: Decimal, pools: Pools) -> Outlier | None:
    for alike, trait in one.traits().items():
        pool = pools[alike][trait]
        if len(pool.positive) <= FEWEST_FOR_OUTLIERS:
            continue
        if abs(pool.z_of_member(amount)) <= LIMIT_Z:
            return None
        middle = _median_without(pool.positive, bisect_left(pool.positive, amount))
        return _unlike(one.copy, amount, middle, alike, len(pool.positive) - 1)
    return None


def unlike_peers(copy: str, amount: Decimal, others: Sequence[Decimal], alike: Trait) -> Outlier | None:
    """Return the question about one value among those of like copies, None where there is none.

    Args:
        copy: the accession number.
        amount: its value, more than nothing.
        others: the values of at least one other copy, each more than nothing, in the same currency.
        alike: in what they are alike.
    """
    if abs(modified_z(float(amount), [float(other) for other in others])) <= LIMIT_Z:
        return None
    return _unlike(copy, amount, median(others), alike, len(others))


def modified_z(value: float, others: Sequence[float]) -> float:
    """Return the modified z-score of a value among others, on natural logarithms."""
    logs = [log(other) for other in others]
    middle = median(logs)
    return _z(log(value), middle, median(abs(x - middle) for x in logs))


def _z(value: float, middle: float, spread: float) -> float:
    return Z_PER_DEVIATION * (value - middle) / max(spread, LEAST_SPREAD)


def _unlike(copy: str, amount: Decimal, middle: Decimal, alike: Trait, count: int) -> Outlier:
    times = float(amount / middle)
    return Outlier(copy=copy, amount=amount, middle=middle, times=times, alike=alike, count=count)


def _median_without(ordered: Sequence[Number], at: int) -> Number:
    """Return the median of ordered values with one of them left out, in a fixed number of steps.

    >>> _median_without([1.0, 2.0, 4.0, 8.0], 0)
    4.0
    >>> _median_without([1.0, 2.0, 4.0], 1)
    2.5
    """
    left = len(ordered) - 1

    def nth(n: int) -> Number:
        return ordered[n if n < at else n + 1]

    if left % 2:
        return nth(left // 2)
    return (nth(left // 2 - 1) + nth(left // 2)) / 2


def _pools(kin: Iterable[CopyTraits]) -> Pools:
    """Gather the known values by what copies are alike in."""
    pools: dict[Trait, dict[object, _Pool]] = {alike: defaultdict(_Pool) for alike in Trait}
    for one in kin:
        if one.amount is not None:
            for alike, trait in one.traits().items():
                pools[alike][trait].amounts.append(one.amount)
    return pools

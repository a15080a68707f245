"""Comparable copies: an estimated range for a copy without a value, and outliers among the values.

Copies are comparable if they are of the same printing; if there are too few of those, of the same edition, set or
subject; finally, of the whole collection. The range of up to three is from the lowest to the highest; of four or more,
from the lower to the upper quartile (the median of the lower and of the upper half, Tukey's hinges). It is a range, not
a valuation.

A value is an outlier if its modified z-score on the logarithms (0.6745 (x - median) / MAD) exceeds 3.5 (Iglewicz and
Hoaglin, How to Detect and Handle Outliers, 1993; from memory): a misplaced decimal point is found, an expensive book
among expensive ones is not. An outlier is a question to the person, not an error.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import log
from statistics import median

from intake.model.currencies import rounded

FEWEST = {"printing": 1, "edition": 1, "set": 2, "subject": 3, "collection": 5}
"""Fewest valued copies with a common trait for an estimate, the closest trait first."""
FEW = 4
LIMIT_Z = 3.5
FEWEST_FOR_OUTLIERS = 5
LEAST_SPREAD = 0.05
"""Least spread assumed, so that small differences are not outliers where nearly all values are equal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyTraits:
    """The traits by which copies are compared; None where a trait is unknown.

    Attributes:
        amount: its value in the currency of the calculation; None if it has none.
    """

    copy: str
    edition: int
    printing: int | None = None
    set: int | None = None
    subject: str = ""
    amount: Decimal | None = None

    def traits(self) -> dict[str, object]:
        """Return its traits by name, the closest first; a copy without a trait is not compared by it."""
        printing = None if self.printing is None else (self.edition, self.printing)
        all_of = {"printing": printing, "edition": self.edition, "set": self.set, "subject": self.subject or None}
        return {**all_of, "collection": "all"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueRange:
    """The estimated range of a copy's value, the trait that the compared copies share, and their number."""

    copy: str
    low: Decimal
    high: Decimal
    alike: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlier:
    """A value to be confirmed; `times` is its ratio to the median (`middle`) of the comparable copies."""

    copy: str
    amount: Decimal
    middle: Decimal
    times: float
    alike: str
    count: int


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
        for alike, value in copy.traits().items():
            amounts = pools[alike].get(value, []) if value is not None else []
            if len(amounts) >= FEWEST[alike]:
                low, high = _span([amount for _, amount in amounts], currency)
                estimates[copy.copy] = ValueRange(copy=copy.copy, low=low, high=high, alike=alike, count=len(amounts))
                break
        else:
            without_estimate.append(copy.copy)
    return estimates, tuple(without_estimate)


def find_outliers(copies: Sequence[CopyTraits]) -> tuple[Outlier, ...]:
    """Return the values that are outliers among comparable copies, the most extreme first."""
    pools = _pools(copies)
    unlike: list[Outlier] = []
    for copy in copies:
        if copy.amount is None or copy.amount <= 0:
            continue
        for alike, value in copy.traits().items():
            pool = pools[alike].get(value, []) if value is not None else []
            others = [amount for number, amount in pool if number != copy.copy and amount > 0]
            if len(others) >= FEWEST_FOR_OUTLIERS:
                if abs(modified_z(float(copy.amount), [float(other) for other in others])) > LIMIT_Z:
                    middle = median(others)
                    times = float(copy.amount / middle)
                    unlike.append(
                        Outlier(copy=copy.copy, amount=copy.amount, middle=middle, times=times, alike=alike,
                               count=len(others))
                    )  # fmt: skip
                break
    return tuple(sorted(unlike, key=lambda outlier: -abs(log(outlier.times))))


def modified_z(value: float, others: Sequence[float]) -> float:
    """Return the modified z-score of a value among others, on natural logarithms."""
    logs = [log(other) for other in others]
    middle = median(logs)
    spread = max(median(abs(x - middle) for x in logs), LEAST_SPREAD)
    return 0.6745 * (log(value) - middle) / spread


def _span(amounts: Iterable[Decimal], currency: str) -> tuple[Decimal, Decimal]:
    ordered = sorted(amounts)
    if len(ordered) < FEW:
        return ordered[0], ordered[-1]
    half = (len(ordered) + 1) // 2
    return rounded(median(ordered[:half]), currency), rounded(median(ordered[-half:]), currency)


def _pools(copies: Iterable[CopyTraits]) -> Mapping[str, Mapping[object, list[tuple[str, Decimal]]]]:
    """Group the known values by trait and its value."""
    pools: dict[str, dict[object, list[tuple[str, Decimal]]]] = {alike: defaultdict(list) for alike in FEWEST}
    for copy in copies:
        if copy.amount is not None:
            for alike, value in copy.traits().items():
                if value is not None:
                    pools[alike][value].append((copy.copy, copy.amount))
    return pools

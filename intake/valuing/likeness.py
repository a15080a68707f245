"""Like copies: a range for a copy without a value, and a question about a value unlike the others.

Copies are like each other if they are of one printing; failing enough of those, of one edition, one set, one subject;
last of all, of the whole collection. The range of few is from the lowest to the highest; of four and more, from the
lower to the upper quartile (the median of the lower and of the upper half, Tukey's hinges). It is a range, no value.

A value is asked about where its modified z-score on the logarithms (0.6745 (x - median) / MAD) is beyond 3.5 (Iglewicz
and Hoaglin, How to Detect and Handle Outliers, 1993; from memory): a decimal point in the wrong place stands out, a
dear book among dear ones does not. Judges no value.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import log
from statistics import median

from intake.model.currencies import rounded

FEWEST = {"printing": 1, "edition": 1, "set": 2, "subject": 3, "collection": 5}
"""How many valued copies must be alike in this before they are taken for a range, the closest likeness first."""
FEW = 4
LIMIT_Z = 3.5
FEWEST_FOR_OUTLIERS = 5
LEAST_SPREAD = 0.05
"""Taken for granted where nearly all values are one, or the smallest difference would be asked about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kin:
    """What a copy may have in common with others; None where it has none.

    Attributes:
        amount: its value in the currency of the reckoning, None where it has none.
    """

    copy: str
    edition: int
    printing: int | None = None
    set: int | None = None
    subject: str = ""
    amount: Decimal | None = None

    def traits(self) -> dict[str, object]:
        """Return what it is alike in, the closest first; an unknown trait likens it to nothing."""
        printing = None if self.printing is None else (self.edition, self.printing)
        all_of = {"printing": printing, "edition": self.edition, "set": self.set, "subject": self.subject or None}
        return {**all_of, "collection": "all"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """From where to where the value of a copy may lie, by how many copies alike in what."""

    copy: str
    low: Decimal
    high: Decimal
    alike: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Unlike:
    """A value to ask about: `times` is its ratio to the middle of the like copies."""

    copy: str
    amount: Decimal
    middle: Decimal
    times: float
    alike: str
    count: int


def ranges(kin: Sequence[Kin], currency: str) -> tuple[dict[str, Range], tuple[str, ...]]:
    """Estimate every copy that has no value.

    Returns:
        The ranges, and the copies for which too few are alike in anything.
    """
    pools = _pools(kin)
    found: dict[str, Range] = {}
    alone: list[str] = []
    for one in kin:
        if one.amount is not None:
            continue
        for alike, value in one.traits().items():
            amounts = pools[alike].get(value, []) if value is not None else []
            if len(amounts) >= FEWEST[alike]:
                low, high = _span([amount for _, amount in amounts], currency)
                found[one.copy] = Range(copy=one.copy, low=low, high=high, alike=alike, count=len(amounts))
                break
        else:
            alone.append(one.copy)
    return found, tuple(alone)


def outliers(kin: Sequence[Kin]) -> tuple[Unlike, ...]:
    """Return the values that are unlike those of like copies, the most unlike first."""
    pools = _pools(kin)
    found: list[Unlike] = []
    for one in kin:
        if one.amount is None or one.amount <= 0:
            continue
        for alike, value in one.traits().items():
            pool = pools[alike].get(value, []) if value is not None else []
            others = [amount for copy, amount in pool if copy != one.copy and amount > 0]
            if len(others) >= FEWEST_FOR_OUTLIERS:
                if abs(modified_z(float(one.amount), [float(other) for other in others])) > LIMIT_Z:
                    middle = median(others)
                    times = float(one.amount / middle)
                    found.append(
                        Unlike(copy=one.copy, amount=one.amount, middle=middle, times=times, alike=alike,
                               count=len(others))
                    )  # fmt: skip
                break
    return tuple(sorted(found, key=lambda unlike: -abs(log(unlike.times))))


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


def _pools(kin: Iterable[Kin]) -> Mapping[str, Mapping[object, list[tuple[str, Decimal]]]]:
    """Gather the known values by what copies are alike in."""
    pools: dict[str, dict[object, list[tuple[str, Decimal]]]] = {alike: defaultdict(list) for alike in FEWEST}
    for one in kin:
        if one.amount is not None:
            for alike, value in one.traits().items():
                if value is not None:
                    pools[alike][value].append((one.copy, one.amount))
    return pools

"""The supported regimes of a carrier's liability, with the figures of each, their sources and dates.

SDR are the special drawing rights of the International Monetary Fund.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum


class Regime(StrEnum):
    """The liability regime of a contract of carriage."""

    RELEASED = "released value"
    FULL = "full value"
    MONTREAL = "Montreal"
    HAGUE_VISBY = "Hague-Visby"
    CMR = "CMR"
    PER_KG = "amount per kilogram"


@dataclass(frozen=True, slots=True)
class LiabilityRule:
    """The limit of liability under a regime.

    Attributes:
        unit: currency of the amounts, "SDR", or "" if the person gives it.
        per_kg, per_lb, per_package: amounts; None if the regime has no such amount.
        counts: the mass that they apply to.
        source: where the figures are published, and their date.
    """

    unit: str
    counts: str
    source: str
    per_kg: Decimal | None = None
    per_lb: Decimal | None = None
    per_package: Decimal | None = None


MONTREAL_STEPS = (
    (date(2024, 12, 28), Decimal(26)),
    (date(2019, 12, 28), Decimal(22)),
    (date(2009, 12, 30), Decimal(19)),
    (date.min, Decimal(17)),
)
"""SDR per kilogram by the date from which they apply, latest first; article 22(3), revised under article 24."""

EXTRAORDINARY_USD_PER_LB = Decimal(100)
"""49 CFR 375: an article worth more than this per pound has to be declared to the carrier in writing."""

RULES: Mapping[Regime, LiabilityRule] = {
    Regime.RELEASED: LiabilityRule(
        unit="USD",
        per_lb=Decimal("0.60"),
        counts="the mass of each article that is missing or damaged; each copy counts as an article",
        source="49 CFR 375 and the Surface Transportation Board's released rates: 0.60 USD per pound per article",
    ),
    Regime.FULL: LiabilityRule(
        unit="USD",
        per_lb=Decimal("6.00"),
        counts="the mass of the whole shipment, as the minimum that may be declared; never more than the loss",
        source="49 CFR 375, full (replacement) value: at least 6.00 USD per pound of the shipment",
    ),
    Regime.MONTREAL: LiabilityRule(
        unit="SDR",
        per_kg=MONTREAL_STEPS[0][1],
        counts="the gross mass of each package concerned (article 22(4), from memory)",
        source="Montreal Convention 1999, article 22(3)",
    ),
    Regime.HAGUE_VISBY: LiabilityRule(
        unit="SDR",
        per_kg=Decimal(2),
        per_package=Decimal("666.67"),
        counts="per package, or by the mass of the goods concerned, whichever is more",
        source="Hague-Visby Rules with the SDR Protocol of 1979, article IV, 5(a)",
    ),
    Regime.CMR: LiabilityRule(
        unit="SDR",
        per_kg=Decimal("8.33"),
        counts="the mass that is short or damaged",
        source="CMR 1956 with the Protocol of 1978, article 23(3)",
    ),
    Regime.PER_KG: LiabilityRule(
        unit="", counts="the mass that is short or damaged", source="your contract, as you gave it"
    ),
}


def montreal_per_kg(dispatched: date) -> tuple[Decimal, date]:
    """Return the SDR per kilogram for carriage that began on a day, and the date from which they apply.

    >>> montreal_per_kg(date(2024, 12, 27))[0], montreal_per_kg(date(2024, 12, 28))[0]
    (Decimal('22'), Decimal('26'))
    """
    since, amount = next(step for step in MONTREAL_STEPS if dispatched >= step[0])
    return amount, since

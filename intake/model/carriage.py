"""What a claim against a carrier rests on: the regime and the terms of the contract."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class LiabilityTerms:
    """The contract and the exchange rate, as given by the person.

    Attributes:
        currency: of the calculation.
        rate: amount of it for one unit of the regime (a special drawing right, a US dollar); None if they are the same.
        rate_on, rate_source: date and publisher of the rate.
        per_kg: amount per kilogram in `currency`, for the regime of that name.
        dispatched: the day the carriage began, which decides which figure of the Montreal Convention applies.
    """

    regime: Regime
    currency: str
    rate: Decimal | None = None
    rate_on: date | None = None
    rate_source: str = ""
    per_kg: Decimal | None = None
    dispatched: date | None = None

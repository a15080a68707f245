"""What a copy is worth, on which day, on which basis and who says so."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum


class Basis(StrEnum):
    """What the amount is the amount of."""

    PURCHASE = "purchase"
    REPLACEMENT = "replacement"
    MARKET = "market"
    AGREED = "agreed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Valuation:
    """An amount in a currency (ISO 4217 code), on a date, on a stated basis, with its source."""

    id: int
    copy: str
    amount: Decimal
    currency: str
    on: date
    basis: Basis
    source: str = ""
    note: str = ""

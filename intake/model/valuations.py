"""What a copy is worth: amount, date, basis and source."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum


class Basis(StrEnum):
    """The kind of value that an amount states."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class SetValue:
    """What a set is worth as a whole, or with volumes missing.

    Attributes:
        lacking: the volumes that are missing ("2", "2, 4"); empty for the complete set.
    """

    id: int
    set_id: int
    amount: Decimal
    currency: str
    on: date
    basis: Basis
    lacking: str = ""
    source: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """A rate of exchange on one day.

    Attributes:
        key: date, base and currency in one ("2026-01-15 EUR USD"), so that there is one rate for each date.
        per_base: units of `currency` for one unit of `base`.
        source: who published it.
    """

    key: str
    on: date
    base: str
    currency: str
    per_base: Decimal
    source: str = ""


def rate_key(on: date, base: str, currency: str) -> str:
    """Return the key of the rate on a date.

    >>> rate_key(date(2026, 1, 15), "EUR", "USD")
    '2026-01-15 EUR USD'
    """
    return f"{on.isoformat()} {base} {currency}"

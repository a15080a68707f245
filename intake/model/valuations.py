"""What a copy is worth: amount, date, basis and source; and sums of amounts, by currency and basis."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum

from intake.units.language import term


class Basis(StrEnum):
    """The kind of value that an amount states."""

    PURCHASE = term("purchase")
    REPLACEMENT = term("replacement")
    MARKET = term("market")
    AGREED = term("agreed")


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
class CountedAmount:
    """An amount as it enters a total: of one copy, or once of the copies of a set."""

    amount: Decimal
    currency: str
    basis: Basis
    copies: int = 1
    is_set: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Subtotal:
    """The sum of amounts in one currency on one basis.

    Attributes:
        copies: how many copies it is of, those of sets included.
        sets: how many sets are counted once in it.
        in_sets: how many of the copies they stand for.
    """

    amount: Decimal
    currency: str
    basis: Basis
    copies: int
    sets: int = 0
    in_sets: int = 0


def add_up(amounts: Iterable[CountedAmount], *, first: str = "", to: Iterable[Subtotal] = ()) -> tuple[Subtotal, ...]:
    """Return one subtotal for each currency and basis, so that neither is ever mixed.

    Args:
        amounts: in any order.
        first: the currency that comes first; all others follow by their codes.
        to: what is added up already, each currency and basis once.
    """
    parts: dict[tuple[str, Basis], list[CountedAmount]] = defaultdict(list)
    for one in amounts:
        parts[one.currency, one.basis].append(one)
    before = {(one.currency, one.basis): one for one in to}
    found = before | {
        key: _added(before.get(key) or Subtotal(amount=Decimal(), currency=key[0], basis=key[1], copies=0), part)
        for key, part in parts.items()
    }
    return tuple(found[key] for key in sorted(found, key=lambda key: (key[0] != first, *key)))


def _added(before: Subtotal, amounts: Sequence[CountedAmount]) -> Subtotal:
    return replace(
        before,
        amount=sum((one.amount for one in amounts), before.amount),
        copies=before.copies + sum(one.copies for one in amounts),
        sets=before.sets + sum(one.is_set for one in amounts),
        in_sets=before.in_sets + sum(one.copies for one in amounts if one.is_set),
    )


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

"""An amount as a person states it, and what makes one impossible."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from intake.errors import UsageError
from intake.flow.values.exchange_rates import currency_code
from intake.model.currencies import decimals
from intake.model.valuations import Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """An amount as a person states it, for a copy or a set."""

    amount: Decimal
    currency: str
    on: date
    basis: Basis
    source: str = ""
    note: str = ""


MOST = Decimal(10) ** 12
"""No copy and no set is worth as much in any currency; an amount from there on is a slip."""


def checked(figure: Figure, today: date) -> Figure:
    """Return a figure with its currency in capitals.

    Raises:
        UsageError: a currency that is none, an amount that `check_amount` refuses, a day to come.
    """
    currency = currency_code(figure.currency)
    check_amount("Value", figure.amount, currency)
    refuse_future(figure.on, today, "give the day of the valuation")
    return replace(figure, currency=currency)


def check_amount(name: str, amount: Decimal, currency: str) -> None:
    """Refuse an amount that cannot be one.

    Raises:
        UsageError: it is negative, finer than its currency, or larger than any value.
    """
    if not amount.is_finite() or amount < 0:
        raise UsageError(f"{name} {amount}", "is not an amount", "give an amount such as 120.00")
    if amount >= MOST:
        raise UsageError(f"{name} {amount}", f"is {MOST:,f} or more", "check the decimal point")
    if -int(amount.normalize().as_tuple().exponent) > decimals(currency):
        why = f"has more than the {decimals(currency)} decimals of {currency}"
        raise UsageError(f"{name} {amount}", why, "check the decimal point")


def refuse_future(day: date, today: date, remedy: str) -> None:
    """Refuse a day to come.

    Raises:
        UsageError: the day is later than today.
    """
    if day > today:
        raise UsageError(f"The day {day.isoformat()}", "is in the future", remedy)

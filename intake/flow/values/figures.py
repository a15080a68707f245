"""An amount as a person states it, and what makes one impossible."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from intake.errors import UsageError
from intake.flow.values.exchange_rates import currency_code
from intake.model.currencies import amount_fault, days_of_use, decimals, figures_text
from intake.model.valuations import Basis

THOUSANDS = 3
"""Figures between two marks of thousands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """An amount as a person states it, for a copy or a set."""

    amount: Decimal
    currency: str
    on: date
    basis: Basis
    source: str = ""
    note: str = ""


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
    """Refuse an amount, as typed, that cannot be one (see `amount_fault`) or that may be two.

    EUR 1.200 is twelve hundred in many countries.

    Raises:
        UsageError: it cannot, or has three decimals in a currency of fewer.
    """
    if why := amount_fault(amount, currency):
        example = figures_text(Decimal(120), currency)
        how = "with a decimal point" if decimals(currency) else "without decimals"
        raise UsageError(f"{name} {amount}", why, f"give an amount such as {example}, {how}", field="amount")
    if amount.as_tuple().exponent == -THOUSANDS and decimals(currency) < THOUSANDS:
        whole, parts = (f"{one:.{decimals(currency)}f}" for one in (amount.scaleb(THOUSANDS), amount))
        raise UsageError(f"{name} {amount}", f"may be {whole} or {parts}", f"write {whole} or {parts}", field="amount")


def question_about_day(figure: Figure) -> str:
    """Return the question to ask where a value is in a currency that was not in use on its day; empty for none.

    A value may be stated in another currency than it was paid in, so that this is never refused.
    """
    first, last = days_of_use(figure.currency.strip().upper())
    day = figure.on.isoformat()
    if first is not None and figure.on < first:
        return f"{figure.currency.upper()} was first in use on {first.isoformat()}, and the value is of {day}"
    if last is not None and figure.on > last:
        return f"{figure.currency.upper()} was last in use on {last.isoformat()}, and the value is of {day}"
    return ""


def question_about_nothing(figure: Figure) -> str:
    """Return the question to ask where a thing is said to be worth nothing; empty where it is worth something."""
    return "" if figure.amount else "nothing is a value too: it replaces the one before, in every list and total"


def refuse_future(day: date, today: date, remedy: str) -> None:
    """Refuse a day to come.

    Raises:
        UsageError: the day is later than today.
    """
    if day > today:
        raise UsageError(f"The day {day.isoformat()}", "is in the future", remedy, field="on")

"""Read days and amounts of money as people write them.

A day is written as ISO 8601 has it; an amount has a decimal point, or a comma where it cannot be one of thousands.
A currency beside it is read as a sign or as three letters; which there are, and
how many decimals each has, is not known here.
"""

import re
from datetime import date
from decimal import Decimal

from intake.errors import UsageError
from intake.units.written_currencies import SHARED, currency_of
from intake.units.written_numbers import DecimalMark, number_readings, with_cents

MOST_DIGITS, MOST_DECIMALS = 15, 12
"""So many figures stand before and after the decimal mark at most."""


_PRICED = re.compile(r"(?P<before>[^\d\s.,+−-][^\d\s]*|)\s*(?P<amount>[+−-]?\d(?:.*\d)?)\s*(?P<after>[^\d\s].*|)")


def parse_day(text: str) -> date:
    """Read a day.

    Raises:
        UsageError: it is not one.

    >>> parse_day("2026-05-04")
    datetime.date(2026, 5, 4)
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise UsageError(f"The day {text!r}", "is not a date", "write it like 2026-05-04") from None


def parse_amount(text: str) -> Decimal:
    """Read an exact amount of money, or a rate, from 0 on.

    A decimal comma and marks between thousands are read where the text can mean one number only; a point alone is a
    decimal point.

    Raises:
        UsageError: it is not one, or may be two.

    >>> parse_amount("120.00"), parse_amount("1.234,50"), parse_amount("1,234.50"), parse_amount("480,-")
    (Decimal('120.00'), Decimal('1234.50'), Decimal('1234.50'), Decimal('480.00'))
    >>> parse_amount("1.234")
    Decimal('1.234')
    """
    name, cure = f"The amount {text!r}", "write it like 1.31"
    number = with_cents(text.strip())
    readings = {mark: value for mark, value in number_readings(number).items() if value is not None}
    values = set(readings.values())
    if not values or not all(map(_is_in_reach, values)):
        raise UsageError(name, "is not an amount", cure)
    if any(value.is_signed() for value in values):
        raise UsageError(name, "is below 0", cure)
    if len(values) > 1 and "," in number:
        whole, parts = max(values), min(values)
        raise UsageError(name, f"may be {whole} or {parts}", f"write {whole} or {parts}")
    return readings.get(DecimalMark.POINT, min(values))


def parse_priced(name: str, text: str) -> tuple[Decimal, str]:
    """Read an amount with its currency on either side, with or without a space.

    Args:
        name: what it is, for the refusal, such as "budget".
        text: as typed.

    Returns:
        The amount, and the code of the currency; whether there is such a code is not checked.

    Raises:
        UsageError: there is no amount, or one that may be two; or no currency, or a sign that several share.

    >>> parse_priced("budget", "€ 16"), parse_priced("budget", "1.000,00EUR")
    ((Decimal('16'), 'EUR'), (Decimal('1000.00'), 'EUR'))
    """
    subject, cure = f"The {name} {text!r}", 'write it like "80 EUR"'
    match = _PRICED.fullmatch(with_cents(text.strip()))
    if match is None:
        raise UsageError(subject, "is not an amount and a currency", cure)
    signs = [sign for sign in (match["before"], match["after"].strip()) if sign]
    if any(sign.casefold() in SHARED for sign in signs):
        raise UsageError(subject, "has a sign that several currencies share", f"{cure}, with the three letters")
    codes = {currency_of(sign) for sign in signs}
    if len(codes) != 1 or "" in codes:
        raise UsageError(subject, "names no currency that is understood" if signs else "has no currency", cure)
    readings = {value for value in number_readings(match["amount"]).values() if value is not None}
    if len(readings) > 1:
        whole, parts = f"{max(readings):f}", f"{min(readings).normalize():f}"
        raise UsageError(subject, f"may be {whole} or {parts}", f"write {whole}.00 or {parts}")
    return parse_amount(match["amount"]), codes.pop()


def _is_in_reach(value: Decimal) -> bool:
    whole, _, rest = f"{abs(value):f}".partition(".")
    return len(whole) <= MOST_DIGITS and len(rest) <= MOST_DECIMALS

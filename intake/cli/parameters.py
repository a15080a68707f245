"""Types of arguments: masses and lengths with their units, days, amounts of money. The names show in the help."""

import re
from datetime import date
from decimal import Decimal, InvalidOperation

from intake.errors import UsageError
from intake.units.quantities import parse_length_mm, parse_mass_g, parse_size_mm

ON_THE_FLOOR = re.compile(r"0+(?:[.,]0+)?\s*(?:mm|cm|m|in)", re.IGNORECASE)


def mass(text: str) -> float:
    """Read a mass with its unit, as grams."""
    return parse_mass_g(text)


def length(text: str) -> float:
    """Read a length with its unit, as millimetres."""
    return parse_length_mm(text)


def height(text: str) -> float:
    """Read a height above the floor with its unit, as millimetres; "0 mm" is on the floor."""
    return 0.0 if ON_THE_FLOOR.fullmatch(text.strip()) else parse_length_mm(text)


def size(text: str) -> tuple[float, float, float]:
    """Read length, width and height, such as "42 x 33 x 31 cm", as millimetres."""
    return parse_size_mm(text)


def day(text: str) -> date:
    """Read a date as ISO 8601 writes it.

    Raises:
        UsageError: it is not a date.
    """
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(f"The day {text!r}", "is not a date", "write it like 2026-05-04") from None


def amount(text: str) -> Decimal:
    """Read an exact amount of money, or a rate.

    Raises:
        UsageError: it is not a number, or it is negative.
    """
    try:
        value = Decimal(text)
    except InvalidOperation:
        raise UsageError(f"The amount {text!r}", "is not a number", "write it like 1.31") from None
    if not value.is_finite() or value < 0:
        raise UsageError(f"The amount {text!r}", "is negative or not a number", "write it like 1.31")
    return value

"""Read days and amounts of money as people write them.

A day is written as ISO 8601 has it; an amount has a decimal point, or a comma where it cannot be one of thousands.
Knows no currency and how many decimals it has.
"""

import re
from datetime import date
from decimal import Decimal

from intake.errors import UsageError

AMOUNT = re.compile(r"\d{1,15}(?:\.\d{1,12}|,(?!\d{3}$)\d{1,12})?")
"""Three figures after a comma may be thousands: such an amount is none."""


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

    Raises:
        UsageError: it is not one.

    >>> parse_amount("120.00")
    Decimal('120.00')
    >>> parse_amount("135,50")
    Decimal('135.50')
    """
    if not AMOUNT.fullmatch(text.strip()):
        raise UsageError(f"The amount {text!r}", "is not an amount from 0 on", "write it like 1.31")
    return Decimal(text.strip().replace(",", "."))

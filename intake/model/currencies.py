"""Currencies: the valid codes, and how many decimals their amounts have.

The codes are those of ISO 4217, current and withdrawn (a purchase of 1985 was paid in a currency of 1985), as the
Unicode CLDR lists them. The decimals are the minor units of ISO 4217, list one; those of the CLDR differ for currencies
whose small coins are no longer used. Withdrawn currencies are assumed to have had two.
"""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

from intake.units.language import say
from intake.units.local_forms import figures, with_currency

_NONE = ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF")
_THREE = ("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND")
OTHER_THAN_TWO = {**dict.fromkeys((*_NONE, "XPF"), 0), **dict.fromkeys(_THREE, 3), "CLF": 4, "UYW": 4}


@lru_cache
def currency_codes() -> frozenset[str]:
    """Return every code; XAD, the Arab accounting dinar, is newer than CLDR's table."""
    from babel.numbers import list_currencies  # noqa: PLC0415 - it takes a tenth of a second, and few commands need it

    return frozenset({*list_currencies(), "XAD"})


@dataclass(frozen=True, slots=True)
class Money:
    """An amount with its currency, for whatever has to write it with the right decimals."""

    amount: Decimal
    currency: str


def decimals(currency: str) -> int:
    """Return how many decimals an amount in this currency has.

    >>> decimals("EUR"), decimals("JPY"), decimals("KWD")
    (2, 0, 3)
    """
    return OTHER_THAN_TWO.get(currency, 2)


MOST = Decimal(10) ** 12
"""No copy and no set is worth as much in any currency; an amount from there on is a slip."""


def amount_fault(amount: Decimal, currency: str) -> str:
    """Return why an amount cannot be a value in a currency, as a predicate of it; empty where it can.

    >>> amount_fault(Decimal("1.5"), "JPY"), amount_fault(Decimal("1.50"), "EUR")
    ('has more than the 0 decimals of JPY', '')
    """
    if not amount.is_finite() or amount < 0:
        return "is not an amount from 0 on"
    if amount >= MOST:
        return f"is {MOST:,f} or more"
    finer = -int(amount.normalize().as_tuple().exponent) > decimals(currency)
    return f"has more than the {decimals(currency)} decimals of {currency}" if finer else ""


@lru_cache
def days_of_use(currency: str) -> tuple[date | None, date | None]:
    """Return the first and the last day on which a currency was in use anywhere, after the Unicode CLDR.

    None stands for a first day that CLDR does not tell, and for a currency that is still in use.

    >>> days_of_use("EUR"), days_of_use("DEM")
    ((datetime.date(1999, 1, 1), None), (datetime.date(1948, 6, 20), datetime.date(2002, 5, 15)))
    """
    from babel.core import get_global  # noqa: PLC0415 - as above

    uses = [(start, end) for uses in get_global("territory_currencies").values()
            for code, start, end, _ in uses if code == currency]  # fmt: skip
    starts = [start for start, _ in uses if start is not None]
    ends = [end for _, end in uses]
    first = date(*min(starts)) if starts and len(starts) == len(uses) else None
    last = date(*max(end for end in ends if end is not None)) if ends and None not in ends else None
    return first, last


def smallest(currency: str) -> Decimal:
    """Return the smallest amount that can be written in a currency.

    >>> smallest("EUR")
    Decimal('0.01')
    """
    return Decimal(1).scaleb(-decimals(currency))


def rounded(amount: Decimal, currency: str) -> Decimal:
    """Round to the decimals of the currency, half away from zero (commercial rounding, DIN 1333).

    >>> rounded(Decimal("2.345"), "EUR"), rounded(Decimal("2.5"), "JPY")
    (Decimal('2.35'), Decimal('3'))
    """
    return amount.quantize(smallest(currency), rounding=ROUND_HALF_UP)


def amount_text(amount: Decimal, currency: str) -> str:
    """Format an amount with its currency code, and at least the decimals that the currency has.

    >>> amount_text(Decimal("1250.5"), "EUR"), amount_text(Decimal(800), "JPY")
    ('EUR 1,250.50', 'JPY 800')
    """
    return with_currency(figures_text(amount, currency), currency)


def range_text(low: Decimal, high: Decimal, currency: str) -> str:
    """Write two amounts as a range, one where both are the same.

    >>> range_text(Decimal(5), Decimal(7), "EUR"), range_text(Decimal(5), Decimal(5), "EUR")
    ('EUR 5.00 to EUR 7.00', 'EUR 5.00')
    """
    one, other = amount_text(low, currency), amount_text(high, currency)
    return one if one == other else say("{low} to {high}", low=one, high=other)


def figures_text(amount: Decimal, currency: str) -> str:
    """Format an amount as `amount_text` does, without the currency code.

    >>> figures_text(Decimal("1250.5"), "EUR")
    '1,250.50'
    """
    return figures(amount, places(amount, currency), grouped=True)


def plain_text(amount: Decimal, currency: str) -> str:
    """Format an amount as `figures_text` does, without thousands separators, for programs to read.

    >>> plain_text(Decimal("1250.5"), "EUR"), plain_text(Decimal("1E+3"), "JPY")
    ('1250.50', '1000')
    """
    return f"{amount:.{places(amount, currency)}f}"


def places(amount: Decimal, currency: str) -> int:
    """Return with how many decimals an amount is written: as many as the currency has, more where it is finer.

    >>> places(Decimal("1.5"), "BHD"), places(Decimal("0.0050"), "EUR")
    (3, 3)
    """
    return max(decimals(currency), -int(amount.normalize().as_tuple().exponent), 0)

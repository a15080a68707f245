"""Currencies: the valid codes, and how many decimals their amounts have.

The codes are those of ISO 4217, current and withdrawn (a purchase of 1985 was paid in a currency of 1985), as the
Unicode CLDR lists them. The decimals are the minor units of ISO 4217, list one; those of the CLDR differ for currencies
whose small coins are no longer used. Withdrawn currencies are assumed to have had two.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from babel.numbers import list_currencies

_NONE = ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF")
_THREE = ("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND")
OTHER_THAN_TWO = {**dict.fromkeys((*_NONE, "XPF"), 0), **dict.fromkeys(_THREE, 3), "CLF": 4, "UYW": 4}
CODES = frozenset({*list_currencies(), "XAD"})
"""XAD, the Arab accounting dinar, is newer than CLDR's table."""


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
    return f"{currency} {figures_text(amount, currency)}"


def figures_text(amount: Decimal, currency: str) -> str:
    """Format an amount as `amount_text` does, without the currency code.

    >>> figures_text(Decimal("1250.5"), "EUR")
    '1,250.50'
    """
    return f"{amount:,.{places(amount, currency)}f}"


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

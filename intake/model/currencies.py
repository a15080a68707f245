"""Currencies: which codes there are, and how many decimals their amounts have.

The codes are those of ISO 4217, current and withdrawn (a purchase of 1985 was paid in what there was), as the Unicode
CLDR lists them. The decimals are the minor units of ISO 4217, list one; the CLDR's own differ where a country has given
up its small coins. Withdrawn currencies are taken to have had two.
"""

from decimal import ROUND_HALF_UP, Decimal

from babel.numbers import list_currencies

_NONE = ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF")
_THREE = ("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND")
OTHER_THAN_TWO = {**dict.fromkeys((*_NONE, "XPF"), 0), **dict.fromkeys(_THREE, 3), "CLF": 4, "UYW": 4}
CODES = frozenset({*list_currencies(), "XAD"})
"""XAD, the Arab accounting dinar, is younger than the table."""


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
    """Write an amount with at least the decimals that its currency has.

    >>> amount_text(Decimal("1250.5"), "EUR"), amount_text(Decimal(800), "JPY")
    ('EUR 1,250.50', 'JPY 800')
    """
    own = -int(amount.normalize().as_tuple().exponent)
    return f"{currency} {amount:,.{max(decimals(currency), own, 0)}f}"

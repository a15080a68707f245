"""Currencies as people write them beside an amount: a sign, or the three letters of ISO 4217.

A sign that several currencies share ($, kr, ¥) names none.
"""

import re
from collections.abc import Mapping

SIGNS: Mapping[str, str] = {
    "€": "EUR",
    "euro": "EUR",
    "euros": "EUR",
    "£": "GBP",
    "zł": "PLN",
    "kč": "CZK",
    "ft": "HUF",
    "sfr": "CHF",
    "fr.": "CHF",
    "円": "JPY",
    "₽": "RUB",
    "₺": "TRY",
    "₹": "INR",
    "₪": "ILS",
    "₩": "KRW",
    "us$": "USD",
    "can$": "CAD",
    "c$": "CAD",
    "a$": "AUD",
    "nz$": "NZD",
}
SHARED = frozenset({"$", "kr", "kr.", "¥", "fr", "-kr"})
CODE = re.compile(r"[A-Za-z]{3}")


def currency_of(text: str) -> str:
    """Return the code that a sign or code stands for, '' for none or several. Whether a code exists is not checked.

    >>> currency_of("€"), currency_of("chf"), currency_of("$")
    ('EUR', 'CHF', '')
    """
    text = text.strip().casefold()
    if text in SIGNS:
        return SIGNS[text]
    return text.upper() if CODE.fullmatch(text) else ""

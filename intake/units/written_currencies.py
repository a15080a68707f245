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
_CROWNS = frozenset({"SEK", "NOK", "DKK", "ISK"})
_DOLLARS = frozenset(
    {"USD", "CAD", "AUD", "NZD", "HKD", "SGD", "TWD", "MXN", "ARS", "CLP", "COP", "UYU", "BBD", "BMD", "BND", "BSD"}
    | {"BZD", "DOP", "FJD", "GYD", "JMD", "KYD", "LRD", "NAD", "SBD", "SRD", "TTD", "XCD", "ZWL"}
)
SHARED: Mapping[str, frozenset[str]] = {
    "$": _DOLLARS,
    "¥": frozenset({"JPY", "CNY"}),
    "fr": frozenset({"CHF", "FRF", "BEF", "LUF", "XPF", "XAF", "XOF"}),
    **dict.fromkeys(("kr", "kr.", "-kr"), _CROWNS),
}
"""The currencies, current and former, that are written with a sign; from memory."""
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


def may_stand_for(sign: str, currency: str) -> bool:
    """Return whether a sign or code may be written beside an amount in a currency.

    >>> may_stand_for("$", "CAD"), may_stand_for("$", "EUR"), may_stand_for("€", "EUR")
    (True, False, True)
    """
    return currency_of(sign) == currency or currency in SHARED.get(sign.strip().casefold(), ())

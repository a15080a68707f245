"""The currency that the number format of a spreadsheet's cell shows beside an amount.

A format (ECMA-376-1, 18.8.31) has up to four sections; the first is that of amounts. A currency stands in it as a sign
or code in quotation marks, after a backslash or bare, or as [$SIGN-LOCALE], where the locale (the language identifiers
of [MS-LCID]) tells which of the currencies of a shared sign is meant: [$$-409] are dollars of the United States.
"""

import locale
import re
from functools import lru_cache

from intake.model.currencies import currency_codes
from intake.units.full_width import narrow
from intake.units.written_currencies import SHARED, currency_of, may_stand_for

TOKEN = re.compile(
    r"\[\$(?P<sign>[^\]\-]*)(?:-(?P<locale>[0-9A-Fa-f]+))?[^\]]*\]"
    r"|\[[^\]]*\]|\"(?P<quoted>[^\"]*)\"|[_*].|\\(?P<escaped>.)|(?P<bare>[^\s0-9#?.,;/@\-+()%A-Za-z])|(?P<end>;)|.",
    re.DOTALL,
)
LANGUAGE_BITS = 0xFFFF
"""Of a locale, the bits that name language and country; those above are of calendars and digits."""


@lru_cache(1024)
def currency_sign(code: str) -> str:
    """Return the currency that a format code shows: its code, or a sign that several share; '' for none.

    >>> [currency_sign(code) for code in ('#,##0.00 [$€-407]', '[$$-409]#,##0', '"$"#,##0.00', '0.00')]
    ['EUR', 'USD', '$', '']
    """
    signs: list[str] = []
    words = ""
    for match in TOKEN.finditer(code):
        if match["end"]:
            break
        if match["sign"]:
            signs.append(_of_locale(match["sign"].strip(), match["locale"] or ""))
        words += match["quoted"] or match["escaped"] or match["bare"] or " "
    signs += (_plain(word) for word in words.split())
    found = set(filter(None, signs))
    return found.pop() if len(found) == 1 else ""


def _plain(word: str) -> str:
    """Return the code of a sign, a code in capitals, or a shared sign; '' for any other word."""
    word = narrow(word)
    code = currency_of(word)
    if code and (not word.isascii() or not word.isalpha() or word.isupper()):
        return code if code in currency_codes() else ""
    return word.casefold() if word.casefold() in SHARED else ""


def _of_locale(sign: str, identifier: str) -> str:
    """Return the currency of a sign in a country."""
    plain = _plain(sign)
    name = locale.windows_locale.get(int(identifier, 16) & LANGUAGE_BITS) if identifier else None
    if name is None or currency_of(plain):
        return plain
    from babel.numbers import get_territory_currencies  # noqa: PLC0415 - it takes a tenth of a second to load

    codes = get_territory_currencies(name.rpartition("_")[2])
    return codes[0] if len(codes) == 1 and may_stand_for(narrow(sign), codes[0]) else plain

"""Days and figures in the form of the language that is being made (`language.py`).

In English a day is written as ISO 8601 has it, and figures with a decimal point; in another language both as the
Unicode CLDR has them for it, by Babel.
"""

import re
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from functools import cache

from intake.units.language import spoken

_FIGURES = re.compile("[0-9]+")
_WIDEST = 20
"""Figures to which a number is filled up with zeros, so that those of fewer are sorted by their value."""


def day_text(on: date | None) -> str:
    """Write a day; empty for none.

    >>> day_text(date(2026, 5, 4))
    '2026-05-04'
    """
    if on is None:
        return ""
    language = spoken()
    if language is None:
        return on.isoformat()
    from babel.dates import format_date  # noqa: PLC0415 - it takes a tenth of a second, and English needs it not

    return format_date(on, "medium", _locale(language.tag))


def moment_text(at: datetime, *, seconds: bool = False) -> str:
    """Write a day and the time of it, as they stand, to the minute or to the second.

    >>> moment_text(datetime(2026, 5, 4, 14, 5, 9)), moment_text(datetime(2026, 5, 4, 14, 5, 9), seconds=True)
    ('2026-05-04 14:05', '2026-05-04 14:05:09')
    """
    language = spoken()
    if language is None:
        return at.strftime("%Y-%m-%d %H:%M:%S" if seconds else "%Y-%m-%d %H:%M")
    from babel.dates import format_time  # noqa: PLC0415 - as above

    time = format_time(at.time(), "medium" if seconds else "short", locale=_locale(language.tag))
    return f"{day_text(at.date())}, {time}"


def figures(number: Decimal | float, decimals: int, *, grouped: bool = False) -> str:
    """Write a number with so many decimals.

    Args:
        number: what is written.
        decimals: how many, and no fewer.
        grouped: whether its thousands are marked.

    >>> figures(Decimal("1250.5"), 2, grouped=True), figures(0.5, 3)
    ('1,250.50', '0.500')
    """
    language = spoken()
    if language is None:
        return f"{number:{',' if grouped else ''}.{decimals}f}"
    from babel.numbers import format_decimal  # noqa: PLC0415 - as above

    exact = Decimal(f"{number:.{decimals}f}")
    pattern = ("#,##0" if grouped else "0") + ("." + "0" * decimals if decimals else "")
    return format_decimal(exact, pattern, _locale(language.tag), decimal_quantization=False)


def exact_figures(number: Decimal) -> str:
    """Write a number with all the decimals that it has.

    >>> exact_figures(Decimal("1.0850")), exact_figures(Decimal("1E+2"))
    ('1.0850', '100')
    """
    return figures(number, max(0, -int(number.as_tuple().exponent)))


def with_currency(amount: str, currency: str) -> str:
    """Write an amount, which is a text already, with the code of its currency on the side of the language.

    >>> with_currency("1,250.50", "EUR")
    'EUR 1,250.50'
    """
    language = spoken()
    if language is None:
        return f"{currency} {amount}"
    from babel import Locale  # noqa: PLC0415 - as above

    pattern = Locale.parse(_locale(language.tag)).currency_formats["standard"].pattern
    before = pattern.startswith("\u00a4")
    return f"{currency}\u00a0{amount}" if before else f"{amount}\u00a0{currency}"


def order_of(text: str) -> tuple[bytes, str]:
    """Return by what a text is sorted in a list: by the CLDR's collation of the language, by its letters in English.

    Figures are sorted by their value, so that box 10 follows box 9.

    >>> sorted(["Box 10", "Box 9"], key=order_of)
    ['Box 9', 'Box 10']
    """
    language, valued = spoken(), _FIGURES.sub(lambda found: found[0].zfill(_WIDEST), text)
    return (b"" if language is None else _sort_key(language.tag)(valued), valued)


@cache
def _sort_key(tag: str) -> Callable[[str], bytes]:
    import icu  # type: ignore[import-untyped]  # noqa: PLC0415 - PyICU ships no types; English needs it not

    key: Callable[[str], bytes] = icu.Collator.createInstance(icu.Locale.forLanguageTag(tag)).getSortKey
    return key


def _locale(tag: str) -> str:
    return tag.replace("-", "_")

"""Numbers as people write them: a decimal comma or a decimal point, and marks between thousands.

One text alone may be either ("1.234"), so it is read under a convention, and whoever has a whole column asks which
convention fits all of it. Spaces of all widths and apostrophes mark thousands in both.
"""

import re
from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum

GAP = re.compile(r"(?<=\d)[ \u00a0\u2009\u202f'’](?=\d{3}(?!\d))")

NO_CENTS = re.compile(r"(?<=\d)(?P<mark>[.,])\s?[-‐-―−]+(?![-‐-―−\s]*\d)")
"""A whole amount, as shops write it: 480,– and 480.--"""


class DecimalMark(StrEnum):
    """What stands before the decimals."""

    COMMA = "comma"
    POINT = "point"


_SIGNS = {DecimalMark.COMMA: (",", "."), DecimalMark.POINT: (".", ",")}
_FORMS = {
    mark: re.compile(
        rf"(?P<sign>[+\-−]?)(?P<whole>\d+|[1-9]\d{{0,2}}(?:{re.escape(group)}\d{{3}})+)(?:{re.escape(point)}(?P<rest>\d+))?",
        re.ASCII,
    )
    for mark, (point, group) in _SIGNS.items()
}


def with_cents(text: str) -> str:
    """Return a text with noughts in place of the dashes that stand for no cents; a currency may follow.

    >>> with_cents("1.480,– €"), with_cents("CHF 480.--"), with_cents("12,-15")
    ('1.480,00 €', 'CHF 480.00', '12,-15')
    """
    return NO_CENTS.sub(r"\g<mark>00", text)


def read_number(text: str, mark: DecimalMark) -> Decimal | None:
    """Return the number that a text is under a convention, None where it is none.

    >>> read_number("1.234,56", DecimalMark.COMMA), read_number("1.234,56", DecimalMark.POINT)
    (Decimal('1234.56'), None)
    """
    match = _FORMS[mark].fullmatch(GAP.sub("", text.strip()))
    if match is None:
        return None
    whole = match["whole"].replace(_SIGNS[mark][1], "")
    sign = "-" if match["sign"] in ("-", "−") else ""
    return Decimal(f"{sign}{whole}.{match['rest']}" if match["rest"] else f"{sign}{whole}")


def read_either(text: str, mark: DecimalMark) -> Decimal | None:
    """Return the number that a text is under a convention, or under the other where it is none under that.

    >>> read_either("1.250", DecimalMark.COMMA), read_either("12.50", DecimalMark.COMMA)
    (Decimal('1250'), Decimal('12.50'))
    """
    other = DecimalMark.POINT if mark is DecimalMark.COMMA else DecimalMark.COMMA
    first = read_number(text, mark)
    return first if first is not None else read_number(text, other)


def number_readings(text: str) -> Mapping[DecimalMark, Decimal | None]:
    """Return what a text is under each convention."""
    return {mark: read_number(text, mark) for mark in DecimalMark}

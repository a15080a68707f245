"""Days as people write them: 2019-03-12, 12.03.2019, 12/03/2019, 12 mars 2019, March 12, 2019, 2019年3月12日.

With two numbers that may both be months a text alone can be either day, so it is read under an order, and whoever has a
whole column asks which order fits all of it. Between points the day comes first: no locale of the Unicode CLDR writes
the number of the month before the day with points. Names of months are those of the CLDR. Years have four digits.
"""

import re
import unicodedata
from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from functools import cache

from babel.dates import get_month_names

LANGUAGES = ("en", "de", "fr", "es", "it", "nl", "pt", "sv", "da", "nb", "fi", "pl", "cs", "hu")
ISO = re.compile(r"(?P<y>\d{4})(?P<mark>[-./])(?P<m>\d{1,2})(?P=mark)(?P<d>\d{1,2})\.?")
NUMBERS = re.compile(r"(?P<first>\d{1,2})\s?(?P<mark>[-./])\s?(?P<second>\d{1,2})\s?(?P=mark)\s?(?P<y>\d{4})")
DAY_FIRST = re.compile(
    r"(?P<d>\d{1,2})(?:\.|er|º|ª|st|nd|rd|th)?[\s\-]+(?:de\s+)?(?P<name>[^\W\d]+)\.?,?[\s\-]+(?:de\s+)?(?P<y>\d{4})"
)
MONTH_FIRST = re.compile(r"(?P<name>[^\W\d]+)\.?\s+(?P<d>\d{1,2})(?:st|nd|rd|th)?,?\s+(?P<y>\d{4})")
YEAR_FIRST = re.compile(r"(?P<y>\d{4})\.\s+(?P<name>[^\W\d]+)\s+(?P<d>\d{1,2})\.?")
EAST_ASIAN = re.compile(r"(?P<y>\d{4})\s?年\s?(?P<m>\d{1,2})\s?月\s?(?P<d>\d{1,2})\s?日")
MIDNIGHT = re.compile(r"[T\s]+00:00(?::00(?:\.0+)?)?(?:Z|[+\-]00:?00)?$")


WITHOUT_DAY = re.compile(r"[^\d]*(?:\d{1,2}\s?[-./]\s?)?\d{4}[^\d]*|\d{4}\s?[-./年]\s?\d{1,2}\s?月?")
"""A year alone, or beside it a month, a season, a feast, in any language."""


class DayOrder(StrEnum):
    """Which of two numbers is the day."""

    DMY = "dmy"
    MDY = "mdy"


def read_day(text: str, order: DayOrder) -> date | None:
    """Return the day that a text is under an order, None where it is none.

    >>> read_day("12/03/2019", DayOrder.DMY), read_day("12/03/2019", DayOrder.MDY)
    (datetime.date(2019, 3, 12), datetime.date(2019, 12, 3))
    """
    text = MIDNIGHT.sub("", text.strip())
    if match := ISO.fullmatch(text) or EAST_ASIAN.fullmatch(text):
        return _day(match["y"], int(match["m"]), match["d"])
    if match := NUMBERS.fullmatch(text):
        day, month = match["first"], match["second"]
        if order is DayOrder.MDY:
            if match["mark"] == ".":
                return None
            day, month = month, day
        return _day(match["y"], int(month), day)
    for form in (DAY_FIRST, MONTH_FIRST, YEAR_FIRST):
        if (match := form.fullmatch(text)) and (number := _months().get(_fold(match["name"]))):
            return _day(match["y"], number, match["d"])
    return None


def read_either_day(text: str, order: DayOrder) -> date | None:
    """Return the day that a text is under an order, or under the other where it is none under that.

    >>> read_either_day("3/4/2024", DayOrder.DMY), read_either_day("3/31/2024", DayOrder.DMY)
    (datetime.date(2024, 4, 3), datetime.date(2024, 3, 31))
    """
    other = DayOrder.MDY if order is DayOrder.DMY else DayOrder.DMY
    return read_day(text, order) or read_day(text, other)


def day_readings(text: str) -> Mapping[DayOrder, date | None]:
    """Return what a text is under each order."""
    return {order: read_day(text, order) for order in DayOrder}


def is_without_day(text: str) -> bool:
    """Return whether a text dates something by its year, and at most by a month or a season.

    >>> is_without_day("spring 2018"), is_without_day("11/1985"), is_without_day("12 mars 2019"), is_without_day("soon")
    (True, True, False, False)
    """
    return WITHOUT_DAY.fullmatch(text.strip()) is not None


def _day(year: str, month: int, day: str) -> date | None:
    try:
        return date(int(year), month, int(day))
    except ValueError:
        return None


@cache
def _months() -> Mapping[str, int]:
    """Return the number of each month's name, without those that mean two months in two languages."""
    numbers: dict[str, set[int]] = {}
    for language in LANGUAGES:
        for width in ("wide", "abbreviated"):
            for context in ("format", "stand-alone"):
                for number, name in get_month_names(width, context, language).items():
                    numbers.setdefault(_fold(name.rstrip(".")), set()).add(number)
    return {name: number for name, found in numbers.items() for number in found if len(found) == 1}


def _fold(name: str) -> str:
    decomposed = unicodedata.normalize("NFKD", name.casefold())
    return "".join(char for char in decomposed if not unicodedata.combining(char))

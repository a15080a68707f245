"""Read masses and lengths as people write them: "12.5 kg", "27 lb 9 oz", "42 x 33 x 31 cm", "2 ft 6 1/2 in".

Accepted units are kg, g, lb, oz, mm, cm, m, in and ft, with a decimal point or comma, or with a fraction. A number
without a unit is refused, because one person means grams and the next pounds; so is "1,250 g", which may mean 1250 g or
1.25 g. Metric and imperial units are not mixed in one quantity. A value must be positive and no larger than a box of
books can have; whether it is right is not checked.
"""

import re
import unicodedata
from collections.abc import Mapping

from intake.errors import UsageError
from intake.units.convert import G_PER_KG, G_PER_LB, G_PER_OZ, MM_PER_CM, MM_PER_FOOT, MM_PER_INCH

MASSES: Mapping[str, float] = {
    **dict.fromkeys(
        ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramm", "kilogramme", "kilogrammes"), G_PER_KG
    ),
    **dict.fromkeys(("g", "gr", "gram", "grams", "gramm", "gramme", "grammes", "gramos", "grammi"), 1.0),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), G_PER_LB),
    **dict.fromkeys(("oz", "ounce", "ounces"), G_PER_OZ),
}
LENGTHS: Mapping[str, float] = {
    **dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres", "millimètres"), 1.0),
    **dict.fromkeys(("cm", "centimeter", "centimeters", "centimetre", "centimetres", "centimètres"), MM_PER_CM),
    **dict.fromkeys(("zentimeter", "centímetros", "centimetri"), MM_PER_CM),
    "m": 1000.0,
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "”", "''"), MM_PER_INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "’"), MM_PER_FOOT),
}
METRIC = frozenset({G_PER_KG, 1.0})
"""Grams of the units of mass that are metric."""
LARGEST_G = 2_000_000.0
LARGEST_MM = 20_000.0
"""Two tonnes and twenty metres: a larger value is a typing error."""

FRACTION = re.compile(r"(?:(\d+)(?:\s+|\s*-\s*))?(\d+)/(\d+)")
PART = re.compile(rf"\s*({FRACTION.pattern}|[+-]?\d+(?:[.,]\d+)?)\s*([^\W\d_]+|''|[\"″”'′’])?\.?\s*")
FEET_AND_INCHES = re.compile(r"(\d\s*(?:['′’]|ft\.?))\s*-\s*(?=\d)")
"""The hyphen of 2'-11 1/4" joins and is no sign."""
VULGAR = {char: unicodedata.normalize("NFKC", char).replace("⁄", "/") for char in "¼½¾⅓⅔⅛⅜⅝⅞"}
ON_THE_FLOOR = re.compile(r"0+(?:[.,]0+)?\s*(?:mm|cm|m|in)", re.IGNORECASE)
TIMES = re.compile(r"\s*[x×*]\s*|\s+by\s+", re.IGNORECASE)


def parse_mass_g(text: str) -> float:
    """Read a mass and return it in grams.

    Raises:
        UsageError: the unit is missing or unknown, two systems are mixed, or the value is out of range for a box.

    >>> parse_mass_g("2.5 kg"), round(parse_mass_g("27 lb 9 oz"))
    (2500.0, 12502)
    """
    parts = _parts(text)
    factors = [_factor(text, unit, MASSES, "kg, g, lb or oz") for _, unit in parts]
    if len({factor in METRIC for factor in factors}) > 1 or sorted(factors, reverse=True) != factors:
        raise UsageError(f"Mass {text!r}", "mixes units that do not go together", "use one unit, such as 2.5 kg")
    total = sum(number * factor for (number, _), factor in zip(parts, factors, strict=True))
    return _in_range(text, total, LARGEST_G, "Mass")


def parse_length_mm(text: str) -> float:
    """Read a length and return it in millimetres.

    Raises:
        UsageError: the unit is missing or unknown, or the value is out of range for a box.

    >>> parse_length_mm("16 in"), parse_length_mm("42 cm"), parse_length_mm("2 ft 6 1/2 in")
    (406.4, 420.0, 774.7)
    """
    parts = _parts(text)
    factors = [_factor(text, unit, LENGTHS, "mm, cm, in or ft") for _, unit in parts]
    if len(parts) > 1 and factors != [MM_PER_FOOT, MM_PER_INCH]:
        raise UsageError(f"Length {text!r}", "has more than one number", "use one number and unit, such as 42 cm")
    total = sum(number * factor for (number, _), factor in zip(parts, factors, strict=True))
    return _in_range(text, total, LARGEST_MM, "Length")


def parse_height_mm(text: str) -> float:
    """Read a height above the floor and return it in millimetres; unlike a length it may be zero, on the floor.

    Raises:
        UsageError: see `parse_length_mm`.

    >>> parse_height_mm("0 mm"), parse_height_mm("8 cm")
    (0.0, 80.0)
    """
    return 0.0 if ON_THE_FLOOR.fullmatch(text.strip()) else parse_length_mm(text)


def parse_size_mm(text: str) -> tuple[float, float, float]:
    """Read length, width and height in millimetres; a unit written once, at the end, applies to all three.

    Raises:
        UsageError: there are not three lengths, or `parse_length_mm` refuses one of them.

    >>> parse_size_mm("42 x 33 x 31 cm")
    (420.0, 330.0, 310.0)
    """
    sides = TIMES.split(text.strip())
    if len(sides) != 3:
        raise UsageError(f"Size {text!r}", "is not three lengths", "write it as 42 x 33 x 31 cm")
    length, width, height = parse_sides_mm(text)
    return (length, width, height)


def parse_sides_mm(text: str, unit: str = "") -> tuple[float, ...]:
    """Read one to three lengths in millimetres, in the order in which they stand.

    Args:
        text: the lengths; a unit written once, at the end, applies to all.
        unit: of lengths without one; '' to refuse them.

    Raises:
        UsageError: there are more lengths, or `parse_length_mm` refuses one of them.

    >>> parse_sides_mm("28,5 x 21 x 3 cm"), parse_sides_mm("300 × 210", "mm")
    ((285.0, 210.0, 30.0), (300.0, 210.0))
    """
    sides = TIMES.split(text.strip())
    if len(sides) > 3:
        raise UsageError(f"Size {text!r}", "is more than three lengths", "write it as 42 x 33 x 31 cm")
    last = _parts(sides[-1])[-1][1] or unit
    if not last and not all(_parts(side)[0][1] for side in sides):
        raise UsageError(f"Size {text!r}", "has no unit", "add mm, cm or in at its end, as 42 x 33 x 31 cm")
    return tuple(parse_length_mm(side if _parts(side)[0][1] else f"{side} {last}") for side in sides)


def _parts(text: str) -> list[tuple[float, str]]:
    parts, position = [], 0
    text = FEET_AND_INCHES.sub(r"\1 ", text)
    for char, fraction in VULGAR.items():
        text = text.replace(char, f" {fraction}")
    while position < len(text):
        match = PART.match(text, position)
        if match is None:
            break
        number, unit = match.group(1), match.groups()[-1]
        if re.fullmatch(r"[+-]?\d+,\d{3}", number):
            why = "is ambiguous, because the comma may mark thousands or decimals"
            raise UsageError(repr(text), why, "write it with a decimal point")
        parts.append((_value(number), (unit or "").casefold()))
        position = match.end()
    if not parts or position < len(text):
        raise UsageError(repr(text), "is not a number with a unit", "write it as 12.5 kg or 42 cm")
    if len(parts) > 1 and any(unit for _, unit in parts) and not all(unit for _, unit in parts):
        raise UsageError(repr(text), "has more than one number for a unit", "write one, such as 42 cm")
    return parts


def _value(number: str) -> float:
    """Return a number with a decimal comma, a point or a fraction; one divided by 0 is no length and gives 0."""
    if match := FRACTION.fullmatch(number):
        whole, above, below = (int(group or 0) for group in match.groups())
        return whole + above / below if below else 0.0
    return float(number.replace(",", "."))


def _factor(text: str, unit: str, factors: Mapping[str, float], names: str) -> float:
    if not unit:
        raise UsageError(repr(text), "has no unit", f"add {names}")
    if unit not in factors:
        raise UsageError(repr(text), f"has the unknown unit {unit!r}", f"use {names}")
    return factors[unit]


def _in_range(text: str, value: float, largest: float, quantity: str) -> float:
    if value <= 0:
        raise UsageError(f"{quantity} {text!r}", "is not greater than zero", "read the scale or rule again")
    if value > largest:
        raise UsageError(f"{quantity} {text!r}", "is too large for a box of books", "check the number and its unit")
    return round(value, 6)

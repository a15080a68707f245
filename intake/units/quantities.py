"""Read masses and lengths as people write them: "12.5 kg", "27 lb 9 oz", "42 x 33 x 31 cm".

Understood are kg, g, lb, oz, mm, cm, m and in, with a decimal point or comma. A number without a unit is refused, for
it is a gram to one person and a pound to the next; so is "1,250 g", which is a kilogram and a quarter to one and a gram
and a quarter to the other. Units of the two systems are not mixed in one quantity. Checks that a value is positive and
one that a box of books can have; whether it is right, only the scale knows.
"""

import re
from collections.abc import Mapping

from intake.errors import UsageError
from intake.units.convert import G_PER_KG, G_PER_LB, G_PER_OZ, MM_PER_CM, MM_PER_INCH

MASSES: Mapping[str, float] = {
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos"), G_PER_KG),
    **dict.fromkeys(("g", "gr", "gram", "grams"), 1.0),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), G_PER_LB),
    **dict.fromkeys(("oz", "ounce", "ounces"), G_PER_OZ),
}
LENGTHS: Mapping[str, float] = {
    "mm": 1.0,
    "cm": MM_PER_CM,
    "m": 1000.0,
    **dict.fromkeys(("in", "inch", "inches", '"', "″"), MM_PER_INCH),
}
METRIC = frozenset({G_PER_KG, 1.0})
LARGEST_G = 2_000_000.0
LARGEST_MM = 20_000.0
"""Two tonnes and twenty metres: past these a number was typed wrongly."""

PART = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*([^\W\d_]+|[\"″])?\.?\s*")
TIMES = re.compile(r"\s*[x×*]\s*|\s+by\s+", re.IGNORECASE)


def parse_mass_g(text: str) -> float:
    """Read a mass.

    Raises:
        UsageError: no unit, an unknown one, two systems in one quantity, or a value no box can have.

    >>> parse_mass_g("2.5 kg"), round(parse_mass_g("27 lb 9 oz"))
    (2500.0, 12502)
    """
    parts = _parts(text)
    factors = [_factor(text, unit, MASSES, "kg, g, lb or oz") for _, unit in parts]
    if len({factor in METRIC for factor in factors}) > 1 or sorted(factors, reverse=True) != factors:
        raise UsageError(f"Mass {text!r}", "mixes units that do not belong together", "write it in one, such as 2.5 kg")
    total = sum(number * factor for (number, _), factor in zip(parts, factors, strict=True))
    return _sensible(text, total, LARGEST_G, "Mass")


def parse_length_mm(text: str) -> float:
    """Read a length.

    Raises:
        UsageError: no unit, an unknown one, or a value no box can have.

    >>> parse_length_mm("16 in"), parse_length_mm("42 cm")
    (406.4, 420.0)
    """
    parts = _parts(text)
    if len(parts) > 1:
        raise UsageError(f"Length {text!r}", "is more than one number", "write it in one unit, such as 42 cm")
    number, unit = parts[0]
    return _sensible(text, number * _factor(text, unit, LENGTHS, "mm, cm or in"), LARGEST_MM, "Length")


def parse_size_mm(text: str) -> tuple[float, float, float]:
    """Read length, width and height; a unit written once, at the end, holds for all three.

    Raises:
        UsageError: not three numbers, or what `parse_length_mm` refuses.

    >>> parse_size_mm("42 x 33 x 31 cm")
    (420.0, 330.0, 310.0)
    """
    sides = TIMES.split(text.strip())
    if len(sides) != 3:
        raise UsageError(f"Size {text!r}", "is not three lengths", "write it like 42 x 33 x 31 cm")
    last = _parts(sides[2])[-1][1]
    length, width, height = (parse_length_mm(side if _parts(side)[0][1] else f"{side} {last or ''}") for side in sides)
    return (length, width, height)


def _parts(text: str) -> list[tuple[float, str]]:
    parts, at = [], 0
    while at < len(text):
        found = PART.match(text, at)
        if found is None:
            break
        number, unit = found.groups()
        if re.fullmatch(r"[+-]?\d+,\d{3}", number):
            why = "can be read in two ways, because the comma may mark thousands or decimals"
            raise UsageError(repr(text), why, "write it with a decimal point")
        parts.append((float(number.replace(",", ".")), (unit or "").casefold()))
        at = found.end()
    if not parts or at < len(text):
        raise UsageError(repr(text), "is not a number with a unit", "write for example 12.5 kg or 42 cm")
    return parts


def _factor(text: str, unit: str, known: Mapping[str, float], names: str) -> float:
    if not unit:
        raise UsageError(repr(text), "has no unit", f"add {names}")
    if unit not in known:
        raise UsageError(repr(text), f"has the unit {unit!r}, which is not understood here", f"write {names}")
    return known[unit]


def _sensible(text: str, value: float, largest: float, what: str) -> float:
    if value <= 0:
        raise UsageError(f"{what} {text!r}", "is not more than nothing", "read the scale or rule again")
    if value > largest:
        raise UsageError(f"{what} {text!r}", "is more than any box of books has", "check the number and its unit")
    return value

"""Types of arguments: masses and lengths with their units, days, amounts of money. The names show in the help."""

from datetime import date
from decimal import Decimal

import click

from intake.cli import startup
from intake.units.amounts import parse_amount, parse_day
from intake.units.quantities import parse_height_mm, parse_length_mm, parse_mass_g, parse_size_mm


def library_name(text: str) -> str:
    """Read what a library is named by: a folder, which may not be a file, or a URL."""
    if text and not isinstance(startup.place_of(text), startup.ServerAddress):
        click.Path(file_okay=False, readable=False).convert(text, None, None)
    return text


def mass(text: str) -> float:
    """Read a mass with its unit, as grams."""
    return parse_mass_g(text)


def length(text: str) -> float:
    """Read a length with its unit, as millimetres."""
    return parse_length_mm(text)


def height(text: str) -> float:
    """Read a height above the floor with its unit, as millimetres; "0 mm" is on the floor."""
    return parse_height_mm(text)


def size(text: str) -> tuple[float, float, float]:
    """Read length, width and height, such as "42 x 33 x 31 cm", as millimetres."""
    return parse_size_mm(text)


def day(text: str) -> date:
    """Read a day as ISO 8601 writes it."""
    return parse_day(text)


def amount(text: str) -> Decimal:
    """Read an exact amount of money, or a rate."""
    return parse_amount(text)

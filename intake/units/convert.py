"""Lengths and masses: the only place where one unit is converted to another.

Names of quantities end in their unit: ``_mm`` millimetres, ``_pt`` points (1/72 inch), ``_px`` pixels, ``_g`` grams.
The inch is 25.4 mm, the foot 12 inches, and the avoirdupois pound 453.59237 g exactly (international yard and pound
agreement, 1959; ISO 80000-3); a pound is 16 ounces.

A mass that is shown or counted is rounded here and nowhere else: in decimal figures, a half away from zero, as amounts
of money are. The fraction 6.175 has no exact binary form, so rounding a float would make it 6.17.
"""

from decimal import ROUND_HALF_UP, Decimal

from intake.units.local_forms import figures

MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
PT_PER_INCH = 72.0
MM_PER_CM = 10.0
MM3_PER_M3 = 1e9
G_PER_KG = 1000.0
G_PER_LB = 453.59237
G_PER_OZ = G_PER_LB / 16


def mm_to_pt(length_mm: float) -> float:
    """Convert millimetres to points.

    >>> mm_to_pt(25.4)
    72.0
    """
    return length_mm / MM_PER_INCH * PT_PER_INCH


def pt_to_mm(length_pt: float) -> float:
    """Convert points to millimetres.

    >>> pt_to_mm(72)
    25.4
    """
    return length_pt / PT_PER_INCH * MM_PER_INCH


def mm_to_px(length_mm: float, dpi: float) -> float:
    """Convert millimetres to pixels at a resolution in dots per inch.

    >>> mm_to_px(25.4, 300)
    300.0
    """
    return length_mm / MM_PER_INCH * dpi


def rounded_mass(mass_g: float, unit_g: float = G_PER_KG, *, places: int = 2) -> Decimal:
    """Return a mass in a unit, rounded to so many decimals, a half away from zero.

    Args:
        mass_g: in grams; its binary noise below a microgram is dropped first.
        unit_g: the grams of the unit.
        places: how many decimals.

    >>> rounded_mass(905), rounded_mass(453.59237, G_PER_LB)
    (Decimal('0.91'), Decimal('1.00'))
    """
    grams = Decimal(f"{mass_g:.6f}")
    return (grams / Decimal(str(unit_g))).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def kilograms(mass_g: float | None) -> Decimal | None:
    """Return a mass as a table has it: in kilograms, to the gram, so that a column adds up; None where unknown."""
    return None if mass_g is None else rounded_mass(mass_g, places=3)


def whole(number: float | None) -> float | None:
    """Return a whole number where it is one, so that 296.0 is written as 296.

    >>> whole(296.0), whole(12.5), whole(None)
    (296, 12.5, None)
    """
    return int(number) if number is not None and number == int(number) else number


def kg_text(mass_g: float) -> str:
    """Format a mass in kilograms with two decimals: 10 g is what a household scale resolves.

    >>> kg_text(16250)
    '16.25 kg'
    >>> kg_text(6175)
    '6.18 kg'
    """
    return f"{figures(rounded_mass(mass_g), 2)} kg"


def exact_kg_text(mass_g: float) -> str:
    """Format a mass in kilograms to the gram, for lines that a person adds up.

    >>> exact_kg_text(1234.4)
    '1.234 kg'
    """
    return f"{figures(rounded_mass(mass_g, places=3), 3)} kg"


def mm_to_m(length_mm: float) -> float:
    """Convert millimetres to metres.

    >>> mm_to_m(800)
    0.8
    """
    return length_mm / 1000

"""Lengths and masses: the only place where one unit is converted to another.

Names of quantities end in their unit: ``_mm`` millimetres, ``_pt`` points (1/72 inch), ``_px`` pixels, ``_g`` grams.
The inch is 25.4 mm, the foot 12 inches, and the avoirdupois pound 453.59237 g exactly (international yard and pound
agreement, 1959; ISO 80000-3); a pound is 16 ounces.
"""

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


def kg_text(mass_g: float) -> str:
    """Format a mass in kilograms with two decimals: 10 g is what a household scale resolves.

    >>> kg_text(16250)
    '16.25 kg'
    """
    return f"{mass_g / G_PER_KG:.2f} kg"


def exact_kg_text(mass_g: float) -> str:
    """Format a mass in kilograms to the gram, for lines that a person adds up.

    >>> exact_kg_text(1234.4)
    '1.234 kg'
    """
    return f"{mass_g / G_PER_KG:.3f} kg"


def mm_to_m(length_mm: float) -> float:
    """Convert millimetres to metres.

    >>> mm_to_m(800)
    0.8
    """
    return length_mm / 1000

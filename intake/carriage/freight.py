"""Chargeable freight: the volumetric mass of air freight and couriers, and the W/M tonne of sea freight.

    volumetric kg = length x width x height cm / divisor     6000 for air freight, 5000 with many couriers
    chargeable    = the larger of mass and volumetric mass
    W/M           = the larger of cubic metres and tonnes

as carriers publish them; the contract states the divisor. Nothing is rounded unless requested: rounding up to the next
half kilogram is the practice of air carriers (from memory).
"""

import math
from collections.abc import Iterable

from intake.units.convert import G_PER_KG, MM3_PER_M3

AIR_DIVISOR = 6000.0
COURIER_DIVISOR = 5000.0
Size = tuple[float, float, float]


def volume_m3(size_mm: Size) -> float:
    """Return the volume of a box in cubic metres.

    >>> round(12 * volume_m3((450, 350, 330)), 4)
    0.6237
    """
    return math.prod(size_mm) / MM3_PER_M3


def volumetric_g(size_mm: Size, divisor: float = AIR_DIVISOR) -> float:
    """Return the volumetric mass in grams.

    Args:
        size_mm: outer length, width and height.
        divisor: cubic centimetres that count as a kilogram.

    >>> volumetric_g((300, 450, 650))
    14625.0
    """
    return math.prod(size_mm) / divisor


def chargeable_g(gross_g: float, size_mm: Size, divisor: float = AIR_DIVISOR, step_g: float | None = None) -> float:
    """Return the chargeable mass in grams, rounded up to a multiple of `step_g` if given.

    >>> chargeable_g(14_000, (300, 450, 650), step_g=500.0)
    15000.0
    """
    mass = max(gross_g, volumetric_g(size_mm, divisor))
    return mass if step_g is None else math.ceil(mass / step_g - 1e-9) * step_g


def freight_tonnes(boxes: Iterable[tuple[float, Size]]) -> float:
    """Return the freight tonnes (W/M) of boxes, each given as gross mass in grams and outer size in mm.

    >>> round(freight_tonnes([(20_000, (450, 350, 330))] * 12), 3)
    0.624
    """
    every = list(boxes)
    tonnes = sum(gross for gross, _ in every) / G_PER_KG / 1000
    return max(tonnes, sum(volume_m3(size) for _, size in every))

"""Chargeable freight of a consignment: the volumetric mass of air freight and couriers, the W/M tonne of sea freight.

    volumetric kg = sum over the boxes of length x width x height cm / divisor     6000 by air, 5000 with many couriers
    chargeable    = the larger of the gross and the volumetric mass of the whole consignment
    W/M           = the larger of its cubic metres and its tonnes

as carriers publish them; the contract states the divisor. Both masses are of all boxes together, and the larger is
rounded up once, at the end, if a step is given: rounding up to the next half kilogram is the practice of air carriers
(from memory). Taking the larger box by box would charge for more wherever some boxes are heavy and others are large.

Gross mass and volume are those of the same boxes: a box that was not weighed, or whose size is not known, is in neither
and is named. A carrier measures the outside. Where only the inside is known, the outside is assumed to be `WALL_MM`
larger each way, and that box is named as well.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from intake.model.boxes import Box
from intake.units.convert import G_PER_KG, MM3_PER_M3
from intake.units.language import term

AIR_DIVISOR = 6000.0
COURIER_DIVISOR = 5000.0
WALL_MM = 10.0
"""What a carton adds to each of its inner dimensions (from memory: double wall, both sides)."""
Size = tuple[float, float, float]


class SizeSource(StrEnum):
    """How the outer size of a box is known."""

    MEASURED = term("measured outside")
    ASSUMED = term("assumed from the inside")


@dataclass(frozen=True, slots=True)
class OuterSize:
    """Length, width and height outside in millimetres, and how they are known."""

    size_mm: Size
    source: SizeSource

    @property
    def volume_m3(self) -> float:
        """Return the volume in cubic metres."""
        return volume_m3(self.size_mm)


@dataclass(frozen=True, slots=True)
class ConsignmentFreight:
    """A consignment as freight.

    Attributes:
        counted: the boxes whose mass and size are both known; every figure is of these and no others.
        unweighed, unmeasured: the boxes that lack a mass, that lack a size; one that lacks both is in both.
        assumed: those of the counted whose outer size is assumed from the inside.
        on_arrival: those of the counted that were weighed on arrival only.
        gross_g, volume_m3, volumetric_g: sums over the counted boxes.
        chargeable_g: the larger of gross and volumetric mass, rounded up once where a step was given.
        weight_or_measure: freight tonnes (W/M).
    """

    counted: tuple[str, ...]
    unweighed: tuple[str, ...]
    unmeasured: tuple[str, ...]
    assumed: tuple[str, ...]
    on_arrival: tuple[str, ...]
    gross_g: float
    volume_m3: float
    volumetric_g: float
    chargeable_g: float
    weight_or_measure: float


def outer_size(box: Box) -> OuterSize | None:
    """Return the outer size of a box, measured or else assumed from its inside; None where neither is known.

    >>> outer_size(Box(number="B1-75", length_mm=420, width_mm=330, height_mm=310)).size_mm
    (430.0, 340.0, 320.0)
    """
    if box.outer_mm is not None:
        return OuterSize(box.outer_mm, SizeSource.MEASURED)
    if box.inner_mm is None:
        return None
    length, width, height = box.inner_mm
    return OuterSize((length + WALL_MM, width + WALL_MM, height + WALL_MM), SizeSource.ASSUMED)


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


def chargeable_g(
    gross_g: float, sizes_mm: Iterable[Size], divisor: float = AIR_DIVISOR, step_g: float | None = None
) -> float:
    """Return the chargeable mass of a consignment in grams, rounded up once to a multiple of `step_g` if given.

    Args:
        gross_g: of all boxes together.
        sizes_mm: outer length, width and height of each box.
        divisor: cubic centimetres that count as a kilogram.
        step_g: None for no rounding.

    >>> chargeable_g(45_000, [(600, 400, 200)] * 8)
    64000.0
    >>> chargeable_g(14_000, [(300, 450, 650)], step_g=500.0)
    15000.0
    """
    mass = max(gross_g, sum(volumetric_g(size, divisor) for size in sizes_mm))
    return mass if step_g is None else math.ceil(mass / step_g - 1e-9) * step_g


def freight_of(
    boxes: Sequence[Box], *, divisor: float = AIR_DIVISOR, step_g: float | None = None
) -> ConsignmentFreight:
    """Return a consignment as freight.

    Args:
        boxes: all of them, in the order in which they are named.
        divisor: cubic centimetres that count as a kilogram.
        step_g: what the chargeable mass is rounded up to a multiple of; None for no rounding.
    """
    known = [
        (box, gross, size)
        for box in boxes
        if (gross := box.carried_g) is not None and (size := outer_size(box)) is not None
    ]
    gross_g = sum(gross for _, gross, _ in known)
    volume = sum(size.volume_m3 for _, _, size in known)
    sizes = [size.size_mm for _, _, size in known]
    return ConsignmentFreight(
        counted=tuple(box.number for box, _, _ in known),
        unweighed=tuple(box.number for box in boxes if box.carried_g is None),
        unmeasured=tuple(box.number for box in boxes if outer_size(box) is None),
        assumed=tuple(box.number for box, _, size in known if size.source is SizeSource.ASSUMED),
        on_arrival=tuple(box.number for box, _, _ in known if box.gross_g is None),
        gross_g=gross_g,
        volume_m3=volume,
        volumetric_g=sum(volumetric_g(size, divisor) for size in sizes),
        chargeable_g=chargeable_g(gross_g, sizes, divisor, step_g),
        weight_or_measure=max(volume, gross_g / G_PER_KG / 1000),
    )

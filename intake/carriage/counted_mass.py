"""Which mass of a box a limit counts: the whole box, or the part of it that the lost copies take up on its list.

    share = gross mass of the box x mass of its lost copies / mass of all copies on its list

A box is taken as it was carried (`intake.model.boxes.MassSource`). Masses are rounded to a hundredth of the regime's
unit, box by box, as they are printed; everything is computed from the rounded ones.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from intake.model.boxes import MassSource
from intake.model.carriage import Counted, LiabilityRegime, Per
from intake.units.convert import G_PER_KG, G_PER_LB, rounded_mass


@dataclass(frozen=True, slots=True, kw_only=True)
class LostCopy:
    """One copy that is missing or damaged.

    Attributes:
        value: in the currency of the calculation; None if it has none, or none that can be converted.
        mass_g: measured or estimated.
    """

    copy: str
    box: str
    mass_g: float
    value: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxMass:
    """The mass of a box as it was carried, how it is known, and the mass of all copies on its list."""

    mass_g: float
    source: MassSource
    listed_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedBox:
    """What was counted of one box.

    Attributes:
        lost_g: mass of its copies that are missing or damaged.
        quantity: what the limit counts, as `shown_mass` has it; without packing where the box was never weighed.
        mass: of the box.
        beside: nothing of it is missing, but volumes of a set that is incomplete now travelled in it.
    """

    box: str
    lost_g: float
    quantity: Decimal
    mass: BoxMass
    beside: bool = False


def mass_unit(regime: LiabilityRegime) -> Per:
    """Return the unit in which a regime counts masses: pounds where its figures are a pound's, else kilograms."""
    return Per.POUND if any(figure.per is Per.POUND for figure in regime.figures) else Per.KILOGRAM


def shown_mass(mass_g: float, regime: LiabilityRegime) -> Decimal:
    """Return a mass as it is printed: in the unit of the regime, with two decimals."""
    unit_g = G_PER_LB if mass_unit(regime) is Per.POUND else G_PER_KG
    return rounded_mass(mass_g, unit_g)


def count_box(box: str, lost: Sequence[LostCopy], mass: BoxMass, regime: LiabilityRegime) -> CountedBox:
    """Count one box: its gross mass, or the part of it that the copies take up on its list."""
    lost_g = sum(copy.mass_g for copy in lost)
    if regime.counts is Counted.PACKAGES:
        counted_g = mass.mass_g if mass.source is not MassSource.LIST else max(lost_g, mass.mass_g)
    elif mass.source is MassSource.LIST:
        counted_g = lost_g
    else:
        counted_g = mass.mass_g * (min(1.0, lost_g / mass.listed_g) if mass.listed_g else 1.0)
    return CountedBox(box=box, lost_g=lost_g, quantity=shown_mass(counted_g, regime), mass=mass)


def beside_box(box: str, mass: BoxMass, regime: LiabilityRegime) -> CountedBox:
    """Count a box of which nothing is lost, but whose value the loss affects."""
    return CountedBox(box=box, lost_g=0.0, quantity=shown_mass(mass.mass_g, regime), mass=mass, beside=True)

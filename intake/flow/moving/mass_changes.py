"""Whether a box weighed on arrival what it weighed at packing: one judgement for papers, lists and the check-in."""

from collections.abc import Iterable

from intake.flow.moving.box_masses import tare_of
from intake.model.boxes import Box
from intake.units.convert import kg_text
from intake.units.language import say
from intake.weighing.box_check import SCALE_G, WeighCheck, WeightVerdict, check_mass
from intake.weighing.estimates import Estimate


def mass_change(box: Box, *, scale_g: float = SCALE_G.sigma) -> WeighCheck | None:
    """Compare the mass of a box on arrival with that at packing; None where it was not weighed twice.

    What it says of a box is what `intake.flow.moving.weigh_box` says, without looking for copies that would explain it.

    Args:
        box: which.
        scale_g: standard uncertainty of the scale.
    """
    if box.gross_g is None or box.arrived_g is None:
        return None
    now, packed = Estimate(box.arrived_g, scale_g), Estimate(box.gross_g, scale_g)
    return check_mass((), gross_g=now, tare_g=tare_of(box), packed_g=packed, limit=0)


def mass_change_words(box: Box) -> str:
    """Write what a box weighed at packing and on arrival where these differ by more than scale and water explain.

    >>> mass_change_words(Box(number="B2-47", gross_g=6180, arrived_g=4940))
    'mass 6.18 kg at packing, 4.94 kg on arrival (1240 g less)'
    >>> mass_change_words(Box(number="B2-47", gross_g=6180, arrived_g=6100))
    ''
    """
    check = mass_change(box)
    if check is None or check.verdict is WeightVerdict.AGREES or box.gross_g is None or box.arrived_g is None:
        return ""
    off = check.difference.mean
    grams, masses = f"{abs(off):.0f}", {"packed": kg_text(box.gross_g), "arrived": kg_text(box.arrived_g)}
    if off > 0:
        return say("mass {packed} at packing, {arrived} on arrival ({grams} g more)", grams=grams, **masses)
    return say("mass {packed} at packing, {arrived} on arrival ({grams} g less)", grams=grams, **masses)


def changed_masses(boxes: Iterable[Box]) -> dict[str, str]:
    """Return those words of each box whose mass changed on the way, by its number."""
    return {box.number: words for box in boxes if (words := mass_change_words(box))}

"""What boxes weigh: when somebody lifts them, as weighed last; as they were carried, as weighed at packing.

Both fall back on the list of a box. Who lifts a box needs what it weighs now, so carton and padding are estimated too;
what a carrier is told counts no kilogram that nobody weighed.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.store.queries.papers import copies_of_stated_thickness, editions_to_weigh, plain_masses_in_boxes
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import title_words
from intake.flow.moving.lift import BoxLift
from intake.flow.moving.masses import Masses, of_collection
from intake.model.boxes import Box, BoxState, MassSource
from intake.weighing.box_check import PADDING_G
from intake.weighing.estimates import Estimate
from intake.weighing.plausible import contradicts, stated_mass_g

TARE_G = Estimate(900.0, 200.0)
"""An empty carton that was not weighed (from memory)."""
WEIGHED_TARE_G = 20.0


@dataclass(frozen=True, slots=True)
class CarriedMass:
    """What a box weighed as it was carried, in g, and how that is known."""

    mass_g: float
    source: MassSource


def carried_mass(box: Box, listed_g: float) -> CarriedMass:
    """Return what a box weighed as it was carried: weighed at packing, else on arrival, else the copies of its list.

    A box that was weighed on arrival only is without what was gone by then; one that nobody weighed is without carton
    and padding. Both err to the low side.

    Args:
        box: the box.
        listed_g: the copies on its list together.

    >>> carried_mass(Box(number="B5-20", arrived_g=29_100), 17_120)
    CarriedMass(mass_g=29100, source=<MassSource.ARRIVAL: 'weighed on arrival'>)
    """
    if box.gross_g is not None:
        return CarriedMass(box.gross_g, MassSource.PACKING)
    if box.arrived_g is not None:
        return CarriedMass(box.arrived_g, MassSource.ARRIVAL)
    return CarriedMass(listed_g, MassSource.LIST)


def box_lifts(reader: LibraryReader, boxes: Sequence[Box], *, as_packed: bool = False) -> dict[str, BoxLift]:
    """Return what each of these boxes weighs, by its number, in a few statements for all.

    A box that was unpacked in part counts as full, which is the safer mistake.

    Args:
        reader: of the library.
        boxes: the boxes.
        as_packed: what they weighed when they were packed, for the papers that state that: the mass at packing before
            one on arrival, and unpacked boxes as full.
    """
    listed = _listed_masses(reader, [box.number for box in boxes if box.carried_g is None])
    return {box.number: _lift(box, listed.get(box.number), as_packed=as_packed) for box in boxes}


def doubted_in(reader: LibraryReader, boxes: Sequence[Box]) -> tuple[str, ...]:
    """Return number and title of what these boxes list whose stated mass contradicts size and extent, and is not used.

    Of a box that was weighed no mass is estimated.
    """
    numbers = [box.number for box in boxes if box.carried_g is None]
    pairs = copies_of_stated_thickness(reader, numbers)
    return tuple(f"{copy.accession} {title_words(edition)}" for copy, edition in pairs if contradicts(edition))


def box_lift(reader: LibraryReader, box: Box, *, opened_g: float | None = None) -> BoxLift:
    """Return what one box weighs.

    Args:
        reader: of the library.
        box: the box.
        opened_g: what it weighs now that books were taken out of it, which is not recorded; None for what is.
    """
    return box_lifts(reader, [box])[box.number] if opened_g is None else BoxLift(opened_g, weighed=True)


def tare_of(box: Box) -> Estimate:
    """Return the mass of the empty box, as weighed or as supposed."""
    return Estimate(box.tare_g, WEIGHED_TARE_G) if box.tare_g else TARE_G


def _listed_masses(reader: LibraryReader, numbers: Sequence[str]) -> dict[str, float]:
    """Return the mass of the copies on each list in g, no empty list.

    It is estimated where the catalog states none, or one that contradicts the size.
    """
    if not numbers:
        return {}
    masses_g = defaultdict(float, plain_masses_in_boxes(reader, numbers))
    learned: Masses | None = None
    for number, edition in editions_to_weigh(reader, numbers):
        stated_g = stated_mass_g(edition)
        if stated_g is None:
            learned = learned or of_collection(reader)
            stated_g = learned.of(edition).mass_g.mean
        masses_g[number] += stated_g
    return masses_g


def _lift(box: Box, listed_g: float | None, *, as_packed: bool) -> BoxLift:
    empty = box.state is BoxState.UNPACKED and not as_packed
    weighed_g = box.carried_g if as_packed or box.arrived_g is None else box.arrived_g
    if weighed_g is not None:
        return BoxLift(weighed_g, weighed=True, empty=empty)
    mass_g = None if listed_g is None else tare_of(box).mean + PADDING_G.mean + listed_g
    return BoxLift(mass_g, weighed=False, empty=empty)

"""Weigh a box: record what the scale says, and compare it with the list and with the mass at packing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import CopyPair, box_contents
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import title_words
from intake.flow.moving.box_masses import tare_of
from intake.flow.moving.masses import of_collection
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import CopyState
from intake.units.convert import kg_text
from intake.weighing.box_check import SCALE_G, ListedMass, WeighCheck, WeightVerdict, check_mass
from intake.weighing.estimates import Estimate


@dataclass(frozen=True, slots=True)
class BoxWeighing:
    """What the scale says of one box.

    Attributes:
        by_list: against the sum of its list; None where its list is empty, or it has been unpacked in part.
        by_packing: against its mass at packing; None where it was not weighed both times.
    """

    box: Box
    by_list: WeighCheck | None
    by_packing: WeighCheck | None
    titles: Mapping[str, str]

    @property
    def telling(self) -> WeighCheck | None:
        """Return the sharper comparison: with the mass at packing, where there is one."""
        return self.by_packing or self.by_list


def record_mass(library: Library, box_text: str, gross_g: float, *, station: str) -> Box:
    """Record what a box weighs: at packing until it has travelled, then on arrival.

    Raises:
        RefusedError: the box does not exist, or it is unpacked already.
    """
    with library.reading() as records:
        box = find_box(records, box_text)
    if box.state is BoxState.UNPACKED:
        raise RefusedError(f"Box {box.number}", "is unpacked", "weigh a box that is still closed")
    arrived = box.state is BoxState.ARRIVED
    after = replace(box, arrived_g=gross_g) if arrived else replace(box, gross_g=gross_g)
    library.apply(Action(ActionKind.WEIGH_BOX, box.number, station), (Change(box, after),))
    return after


def weigh_box(records: LibraryReader, box_text: str, *, scale_g: float = SCALE_G.sigma) -> BoxWeighing:
    """Compare a box with its list, and its mass on arrival with that at packing.

    Args:
        records: the library.
        box_text: the box, as typed.
        scale_g: standard uncertainty of the scale.

    Raises:
        RefusedError: the box does not exist, or it has never been weighed.
    """
    box = find_box(records, box_text)
    now_g = box.arrived_g if box.arrived_g is not None else box.gross_g
    if now_g is None:
        raise RefusedError(
            f"Box {box.number}", "has never been weighed", f"say 'intake weigh {box.number} \"17.3 kg\"'"
        )
    contents = box_contents(records, box.number)
    listed = _listed_masses(records, contents)
    untouched = all(copy.state in (CopyState.PACKED, CopyState.MISSING) for copy, _ in contents)
    tare = tare_of(box)
    scale = Estimate(now_g, scale_g)
    by_list = check_mass(listed, gross_g=scale, tare_g=tare) if listed and untouched else None
    by_packing = None
    if listed and box.arrived_g is not None and box.gross_g is not None:
        by_packing = check_mass(listed, gross_g=scale, tare_g=tare, packed_g=Estimate(box.gross_g, scale_g))
    titles = {copy.accession: title_words(edition) for copy, edition in contents}
    return BoxWeighing(box, by_list, by_packing, titles)


def _listed_masses(records: LibraryReader, contents: Iterable[CopyPair]) -> list[ListedMass]:
    masses = of_collection(records)
    return [ListedMass(copy.accession, masses.of(edition).mass_g) for copy, edition in contents]


def words_of(check: WeighCheck) -> str:
    """Write the result of a comparison as a sentence that accuses no person."""
    off, sigma = check.difference.mean, check.difference.sigma
    sizes = f"{abs(off):.0f} g {'more' if off > 0 else 'less'} than {kg_text(check.expected.mean)} {check.expected.how}"
    if check.verdict is WeightVerdict.AGREES:
        return f"Agrees: {sizes}; the comparison is accurate to ± {2 * sigma:.0f} g."
    if check.verdict is WeightVerdict.HEAVIER:
        return f"Heavier: {sizes} (± {2 * sigma:.0f} g). More padding, water, or something that is on no list."
    if not check.explanations:
        return f"Lighter: {sizes} (± {2 * sigma:.0f} g), and no one to six copies on its list weigh that much."
    if not check.explanations[0].keys:
        return f"Lighter: {sizes} (± {2 * sigma:.0f} g), but it is still most likely that all copies are there."
    several = f"; {check.alike} sets of copies explain it equally well" if check.alike > 1 else ""
    return f"Lighter: {sizes} (± {2 * sigma:.0f} g){several}. Look for these first:"


def explanation_rows(check: WeighCheck, titles: Mapping[str, str], limit: int = 5) -> Sequence[tuple[str, str]]:
    """Return (probability, what would be gone) of the likeliest explanations."""
    return [
        (
            f"{100 * explanation.probability:.0f} %",
            "; ".join(f"{key} {titles[key]}" for key in explanation.keys) or "nothing is gone",
        )
        for explanation in check.explanations[:limit]
        if explanation.probability >= 0.005
    ]

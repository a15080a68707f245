"""Weigh a box: record what the scale says, and compare it with the list and with the mass at packing.

The mass at packing and that on arrival are facts of the carriage, of a box with everything in it. What a box weighs
after books were taken out of it is neither, so it is compared and not recorded.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import begun_boxes, sightings_of_list, weighings
from intake.edges.store.queries.copies import CopyPair, box_contents, box_contents_as_packed
from intake.edges.store.queries.reversals import undone
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import title_words
from intake.flow.moving.box_masses import tare_of
from intake.flow.moving.contradictions import check_gross
from intake.flow.moving.masses import of_collection
from intake.model.boxes import Box, BoxState, MassSource
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import UNSEEN
from intake.units.advice import advice
from intake.units.convert import kg_text
from intake.units.counts import counted
from intake.weighing.box_check import (
    SCALE_G,
    ListedMass,
    WeighCheck,
    WeightVerdict,
    Whereabouts,
    check_mass,
)
from intake.weighing.estimates import Estimate
from intake.weighing.plausible import contradicts

NOTHING_TO_COMPARE = "There is nothing to compare it with: its list is empty, or nobody knows when a copy left it."
LESS_LIKELY = "each is less likely than these"


@dataclass(frozen=True, slots=True)
class BoxWeighing:
    """What the scale says of one box.

    Attributes:
        by_list: against the sum of what its list has still in it; None where its list is empty, or where nobody knows
            when a copy of it was taken out.
        by_packing: against its mass at packing, less what was taken out since; None where it was not weighed twice.
        titles: of the copies on its list.
        elsewhere: where those of them were found that did not come out of this box, such as 'in box B1-56'.
        doubted: copies whose stated mass and size contradict each other; see `intake.weighing.plausible`.
    """

    box: Box
    by_list: WeighCheck | None
    by_packing: WeighCheck | None
    titles: Mapping[str, str]
    elsewhere: Mapping[str, str]
    doubted: tuple[str, ...] = ()

    @property
    def telling(self) -> WeighCheck | None:
        """Return the sharper comparison: with the mass at packing, where there is one."""
        return self.by_packing or self.by_list


def record_mass(
    library: Library, box_text: str, gross_g: float, *, as_weighed: bool = False, station: str
) -> Box | None:
    """Record what a box weighs: at packing until it has travelled, then on arrival.

    Args:
        library: where it is recorded.
        box_text: the box, as typed.
        gross_g: as the scale shows it.
        as_weighed: record it even if the empty box, or the books alone, weigh more.
        station: who does it.

    Returns:
        The box; None where nothing was recorded, because books were taken out of it since it arrived.

    Raises:
        RefusedError: the box does not exist, it is unpacked already, or it would weigh less than what is in it.
    """
    with library.reading() as records:
        box = find_box(records, box_text)
        contents = box_contents(records, box.number)
        begun = box.state is BoxState.ARRIVED and box.number in begun_boxes(records)
    if box.state is BoxState.UNPACKED:
        raise RefusedError(f"Box {box.number}", "is unpacked", "weigh a box that is still closed", field="box")
    check_gross(box, gross_g, contents, as_weighed=as_weighed)
    if begun:
        return None
    arrived = box.state is BoxState.ARRIVED
    after = replace(box, arrived_g=gross_g) if arrived else replace(box, gross_g=gross_g)
    library.apply(Action(ActionKind.WEIGH_BOX, box.number, station), (Change(box, after),))
    return after


def weigh_box(
    records: LibraryReader, box_text: str, *, opened_g: float | None = None, scale_g: float = SCALE_G.sigma
) -> BoxWeighing:
    """Compare a box with its list, and its mass on arrival with that at packing.

    Args:
        records: the library.
        box_text: the box, as typed.
        opened_g: what it weighs now that books were taken out of it, which is not recorded; None for the mass on
            arrival, else that at packing.
        scale_g: standard uncertainty of the scale.

    Raises:
        RefusedError: the box does not exist, or it has never been weighed.
    """
    box = find_box(records, box_text)
    now_g = next((mass for mass in (opened_g, box.arrived_g, box.gross_g) if mass is not None), None)
    if now_g is None:
        raise RefusedError(
            f"Box {box.number}",
            "has never been weighed",
            advice(f"say 'intake weigh {box.number} \"17.3 kg\"'", "weigh it"),
            field="box",
        )
    contents = box_contents_as_packed(records, box.number)
    sightings = sightings_of_list(records, box.number)
    weighed = _last_weighing(records, box) if opened_g is None else math.inf
    where = _whereabouts(contents, box, sightings, weighed)
    elsewhere = {key: "elsewhere" for key, whereabouts in where.items() if whereabouts is Whereabouts.ELSEWHERE}
    elsewhere |= {copy: f"in box {seen_in}" for copy, seen_in, _ in sightings if copy in elsewhere}
    known = "elsewhere" not in elsewhere.values()
    listed = [replace(copy, where=where[copy.key]) for copy in _listed_masses(records, contents)]
    tare = tare_of(box)
    scale = Estimate(now_g, scale_g)
    by_list = check_mass(listed, gross_g=scale, tare_g=tare) if listed and known else None
    by_packing = None
    if listed and box.gross_g is not None and (opened_g is not None or box.arrived_g is not None):
        by_packing = check_mass(listed, gross_g=scale, tare_g=tare, packed_g=Estimate(box.gross_g, scale_g))
    titles = {copy.accession: title_words(edition) for copy, edition in contents}
    doubted = tuple(copy.accession for copy, edition in contents if contradicts(edition))
    return BoxWeighing(box, by_list, by_packing, titles, elsewhere, doubted)


def _last_weighing(records: LibraryReader, box: Box) -> int | None:
    """Return the latest ledger entry that weighs the box by itself and that was not taken back."""
    taken_back = undone(records)
    return next((seq for seq in weighings(records, box.number) if taken_back.stands(seq)), None)


def _whereabouts(
    contents: Iterable[CopyPair], box: Box, sightings: Iterable[tuple[str, str, int]], weighed: float | None
) -> dict[str, Whereabouts]:
    """Return where each listed copy was when the box was weighed, by the first sighting of it in this box.

    `weighed` is the entry that weighed it; infinite where it was weighed after all of them. Where no entry weighs the
    box by itself, its mass was recorded at closing or on arrival, before anything came out.
    """
    taken_out: dict[str, int] = {}
    for accession, seen_in, seq in sightings:
        if seen_in == box.number:
            taken_out.setdefault(accession, seq)
    where: dict[str, Whereabouts] = {}
    for copy, _ in contents:
        if copy.state in UNSEEN:
            where[copy.accession] = Whereabouts.NOT_SEEN
        elif copy.accession not in taken_out:
            where[copy.accession] = Whereabouts.ELSEWHERE
        else:
            before = weighed is not None and taken_out[copy.accession] < weighed
            where[copy.accession] = Whereabouts.TAKEN_OUT if before else Whereabouts.IN_IT
    return where


def _listed_masses(records: LibraryReader, contents: Iterable[CopyPair]) -> list[ListedMass]:
    masses = of_collection(records)
    return [ListedMass(copy.accession, masses.of(edition).mass_g) for copy, edition in contents]


def look_first_words(telling: WeighCheck) -> str:
    """Write by which comparison the explanations are ranked, over them."""
    return f"By the comparison with its mass {telling.expected.how}, look for these first"


def words_of(check: WeighCheck) -> str:
    """Write the result of a comparison as a sentence that accuses no person."""
    off, sigma = check.difference.mean, check.difference.sigma
    expected = f"{kg_text(check.expected.mean)} {check.expected.how}{_reckoned(check)}"
    sizes = f"{abs(off):.0f} g {'more' if off > 0 else 'less'} than {expected}"
    if check.verdict is WeightVerdict.AGREES:
        return f"Agrees: {sizes}; the comparison is accurate to ± {2 * sigma:.0f} g."
    if check.verdict is WeightVerdict.HEAVIER:
        return f"Heavier: {sizes} (± {2 * sigma:.0f} g). More padding, water, or something that is on no list."
    if not check.explanations:
        return f"Lighter: {sizes} (± {2 * sigma:.0f} g), and no one to six copies on its list weigh that much."
    if not check.explanations[0].keys:
        return f"Lighter: {sizes} (± {2 * sigma:.0f} g), but it is still most likely that all copies are there."
    several = (
        f"; {check.alike} sets of copies explain it at least half as well as the likeliest" if check.alike > 1 else ""
    )
    return f"Lighter: {sizes} (± {2 * sigma:.0f} g){several}."


def _reckoned(check: WeighCheck) -> str:
    """Write what the expected mass is made of besides what anybody can read: padding, the box, what was taken out."""
    padding = f"about {abs(check.padding_g):.0f} g of padding"
    box = f", with the empty box and {padding}" if check.padding_g > 0 else ""
    if not check.taken_out:
        return box
    with_them = f" and {padding}" if check.padding_g < 0 else ""
    return f"{box}, less {counted(check.taken_out, 'copy', 'copies')} taken out before{with_them}"


def opened_words(box: Box, gross_g: float) -> str:
    """Write that what a box weighs now that books were taken out of it is only compared, and which mass it keeps."""
    kept = [(box.gross_g, MassSource.PACKING), (box.arrived_g, MassSource.ARRIVAL)]
    known = " and ".join(f"{kg_text(mass)}, {source}" for mass, source in kept if mass is not None)
    return (
        f"Box {box.number} weighs {kg_text(gross_g)} now that books were taken out of it. That is compared and not "
        f"recorded; recorded is: {known or MassSource.LIST}."
    )


def explanation_rows(
    check: WeighCheck, titles: Mapping[str, str], elsewhere: Mapping[str, str] | None = None, *, limit: int = 5
) -> Sequence[tuple[str, str]]:
    """Return (probability, what would be gone) of the likeliest explanations.

    A copy that was found elsewhere is not looked for: where it stands in an explanation, that supposes that it was in
    this box when that was weighed at packing; in all others it never was.
    """
    found_in = elsewhere or {}

    def named(keys: Iterable[str]) -> str:
        return "; ".join(f"{key} {titles[key]}" for key in keys)

    def words(keys: Sequence[str]) -> str:
        found = [f"{key} ({found_in[key]})" for key in keys if key in found_in]
        gone = named(key for key in keys if key not in found_in)
        if not found:
            return gone or "nothing is gone"
        supposed = f"what was found since was packed in this box: {', '.join(found)}"
        return f"{gone}, if {supposed}" if gone else f"nothing more is gone, if {supposed}"

    return [
        (f"{100 * explanation.probability:.0f} %", words(explanation.keys))
        for explanation in check.explanations[:limit]
        if explanation.probability >= 0.005
    ]

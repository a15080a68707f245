"""Papers of boxes: labels, packing lists, and the master list of a consignment."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from intake.carriage.freight import freight_of
from intake.documents import disclaimers, lists
from intake.edges import fonts
from intake.edges.sheets import Cell
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.papers import boxes_of_consignments, contents_of_boxes, count_listed, surplus_in_boxes
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import edition_words, title_words
from intake.flow.moving.arrival_words import note_words
from intake.flow.moving.box_masses import box_lifts
from intake.flow.moving.consignments import find_consignment, refuse_no_boxes
from intake.flow.moving.freight_words import mass_and_volume
from intake.flow.moving.lift import (
    BoxLift,
    caution_with_index,
    caution_words,
    mass_words,
    short_mass_words,
    stated_words,
)
from intake.flow.moving.masses import doubt_words
from intake.flow.papers.consignment_numbers import transport_numbers
from intake.flow.papers.customs_words import contents_words
from intake.flow.papers.label_papers import LabelRun
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, BoxState, Consignment, MassSource
from intake.model.editions import Copy, Edition
from intake.model.pages import Page
from intake.model.papers import LabelContent, LabelUse, MasterList, Package, PackedLine, PackingList
from intake.units.convert import kilograms
from intake.units.counts import counted
from intake.units.language import say, term
from intake.valuing.customs import tariff_heading
from intake.weighing.plausible import contradicts, stated_mass_g

BOX_MARKS = term("Keep dry. This way up.")
"""Handling marks by their names in ISO 780: paper suffers from damp, and books packed spine down from being turned."""
CARTON = term("carton")
LIST_HEADER = (
    term("Box"), term("Room"), term("Copy"), term("Title"), term("Volume"), term("Contributors"), term("Edition"),
    term("Mass, kg"),
)  # fmt: skip
MASTER_HEADER = (
    term("Box"), term("Type"), term("Marks"), term("Seal"), term("Contents"), term("Pieces"), term("Room"),
    term("Net, kg"), term("Gross, kg"), term("Size is"), term("Length, mm"), term("Width, mm"), term("Height, mm"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BoxFacts:
    """What papers say of boxes beside their own records.

    Attributes:
        listed: how many copies each box lists.
        contents: what each box holds, by the headings that a customs list proposes; for papers that say it.
        box_of: which box of how many each is in its consignment ("3 of 6").
    """

    listed: Mapping[str, int]
    box_of: Mapping[str, str]
    contents: Mapping[str, str] = field(default_factory=dict)


def gather_box_labels(source: PaperSource, options: PaperOptions) -> LabelRun:
    """Gather what each box's label says."""
    return LabelRun(LabelUse.BOX, tuple(box_label_contents(source.reader, options.boxes)))


def gather_packing_lists(source: PaperSource, options: PaperOptions) -> tuple[PackingList, ...]:
    """Gather what is in each box."""
    reader = source.reader
    boxes = _chosen_boxes(reader, options.boxes)
    numbers = [box.number for box in boxes] if options.boxes else None
    contents = contents_of_boxes(reader, numbers)
    facts = _facts(reader, boxes, {number: len(pairs) for number, pairs in contents.items()})
    lifts, surplus = box_lifts(reader, boxes, as_packed=True), surplus_in_boxes(reader, numbers)
    consignments = reader.get_many(Consignment, {box.consignment for box in boxes if box.consignment})
    packing_lists: list[PackingList] = []
    for box in boxes:
        consignment, lift = consignments.get(box.consignment or ""), lifts[box.number]
        pairs = sorted(contents.get(box.number, ()), key=lambda pair: serial_of(pair[0].accession))
        packing_lists.append(
            PackingList(
                package=_package(box, facts),
                lines=tuple(_packed_line(copy, edition) for copy, edition in pairs),
                consignment=box.consignment or "",
                consignee=consignment.consignee if consignment else "",
                carrier=consignment.carrier if consignment else "",
                box_of=facts.box_of.get(box.number, ""),
                on=source.on,
                note=note_words(box),
                gross=_gross_words(box, lift),
                caution=caution_with_index(lift),
                caution_basis=stated_words() if caution_words(lift) else "",
                remarks=tuple(_remarks(pairs, surplus.get(box.number, ()))),
            )
        )
    return tuple(packing_lists)


def lay_out_packing_lists(packing_lists: Sequence[PackingList], options: PaperOptions) -> PaperPages:
    """Set packing lists one after the other, each on pages of its own."""
    pages: list[Page] = []
    for packed in packing_lists:
        pages += lists.lay_out_packing_list(packed, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=say("Packing lists"), pages=pages)


def copies_on_lists(packing_lists: Sequence[PackingList]) -> Iterable[str]:
    """Return the own numbers of the copies listed."""
    return (line.number for packed in packing_lists for line in packed.lines)


def tabulate_packing_lists(packing_lists: Sequence[PackingList], _options: PaperOptions) -> PaperTable:
    """Set packing lists in one table, a row for each copy; masses in kilograms."""
    return PaperTable(
        title=say("Packing lists"),
        header=LIST_HEADER,
        rows=[
            (packed.package.number, packed.package.room, line.number, line.title, line.volume, line.contributors,
             line.edition, kilograms(line.mass_g))
            for packed in packing_lists
            for line in packed.lines
        ],
        notes=tuple(
            say("Box {number}: {remark}", number=packed.package.number, remark=remark)
            for packed in packing_lists
            for remark in packed.remarks
        ),
    )  # fmt: skip


def gather_master_list(source: PaperSource, options: PaperOptions) -> MasterList:
    """Gather the boxes of a consignment.

    Raises:
        RefusedError: there is no such consignment, or it has no boxes.
    """
    reader = source.reader
    consignment = find_consignment(reader, options.reference)
    boxes = sorted(list_boxes(reader, consignment.reference), key=lambda box: serial_of(box.number))
    refuse_no_boxes(consignment.reference, boxes)
    listed = contents_of_boxes(reader, [box.number for box in boxes])
    held = {box: contents_words(tariff_heading(edition) for _, edition in pairs) for box, pairs in listed.items()}
    facts = BoxFacts({number: len(pairs) for number, pairs in listed.items()}, {}, held)
    packages = tuple(_package(box, facts) for box in boxes)
    return MasterList(
        reference=consignment.reference,
        packages=packages,
        totals=tuple(_master_totals(boxes, packages)),
        consignor=consignment.consignor,
        consignee=consignment.consignee,
        carrier=consignment.carrier,
        numbers=transport_numbers(consignment),
        origin=consignment.origin,
        destination=consignment.destination,
        on=source.on,
    )


def lay_out_master_list(master: MasterList, options: PaperOptions) -> PaperPages:
    """Set the master list on pages."""
    pages = lists.lay_out_master_list(master, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=say("Master packing list {reference}", reference=master.reference), pages=pages)


def tabulate_master_list(master: MasterList, _options: PaperOptions) -> PaperTable:
    """Set the master list in a table, a row for each box; masses in kilograms, sizes in millimetres."""
    return PaperTable(
        title=say("Master packing list"),
        header=MASTER_HEADER,
        rows=[
            (box.number, box.type, box.marks, box.seal, box.contents, box.quantity, box.room, kilograms(box.net_g),
             kilograms(box.gross_g), *_size_cells(box))
            for box in master.packages
        ],
        totals={"Pieces": None, "Net, kg": None, "Gross, kg": None},
        notes=(*master.totals, say(disclaimers.NO_PRICES)),
    )  # fmt: skip


def _master_totals(boxes: Sequence[Box], packages: Sequence[Package]) -> Iterable[str]:
    """Yield what the boxes come to; mass and volume together are of the boxes of which both are known."""
    pieces = sum(package.quantity for package in packages)
    yield f"{counted(len(packages), 'box', 'boxes')}, {counted(pieces, 'piece', 'pieces')}"
    yield lists.weighed_text((package.net_g for package in packages), *lists.NET)
    yield lists.weighed_text((package.gross_g for package in packages), *lists.GROSS)
    yield from mass_and_volume(freight_of(boxes))


def _size_cells(box: Package) -> tuple[Cell, ...]:
    """Return whether the size is that outside or inside, and the size."""
    if box.size_mm:
        return (say("outside"), *box.size_mm)
    return (say("inside"), *box.inner_mm) if box.inner_mm else ("", None, None, None)


def _chosen_boxes(reader: LibraryReader, texts: Collection[str]) -> list[Box]:
    """Return the boxes named, in that order, or all, by number."""
    if texts:
        return [find_box(reader, text) for text in texts]
    return sorted(list_boxes(reader), key=lambda box: serial_of(box.number))


def _facts(reader: LibraryReader, boxes: Sequence[Box], listed: Mapping[str, int]) -> BoxFacts:
    box_of: dict[str, str] = {}
    references = {box.consignment for box in boxes if box.consignment}
    for numbers in boxes_of_consignments(reader, references).values():
        for nth, number in enumerate(sorted(numbers, key=serial_of), 1):
            box_of[number] = say("{nth} of {count}", nth=nth, count=len(numbers))
    return BoxFacts(listed, box_of)


def box_label_contents(reader: LibraryReader, texts: Collection[str]) -> list[LabelContent]:
    """Return what the labels of the boxes named say, or of all boxes."""
    boxes = _chosen_boxes(reader, texts)
    listed = count_listed(reader, [box.number for box in boxes] if texts else None)
    facts = _facts(reader, boxes, listed)
    lifts = box_lifts(reader, boxes)
    return [_label_content(box, facts, lifts[box.number]) for box in boxes]


def _label_content(box: Box, facts: BoxFacts, lift: BoxLift) -> LabelContent:
    """Return what a label says; one that is printed once the box was unpacked says that."""
    unpacked = box.state is BoxState.UNPACKED
    copies = counted(facts.listed.get(box.number, 0), "copy", "copies")
    return {
        "number": box.number,
        "box": str(serial_of(box.number)),
        "room": box.room,
        "count": say("{copies}, unpacked", copies=copies) if unpacked else copies,
        "mass": "" if unpacked else short_mass_words(lift),
        "consignment": box.consignment or "",
        "box_of": facts.box_of.get(box.number, ""),
        "marks": say(BOX_MARKS),
        "caution": caution_words(lift),
        "note": box.note,
    }


def _gross_words(box: Box, lift: BoxLift) -> str:
    """Return the gross mass where it is not as weighed at packing, and how it is known; empty where it is."""
    if box.gross_g is not None:
        return ""
    if box.arrived_g is None:
        return mass_words(lift)
    return say("{mass}, {source}", mass=mass_words(lift), source=say(MassSource.ARRIVAL.value))


def _remarks(pairs: Iterable[tuple[Copy, Edition]], surplus: Sequence[str]) -> Iterable[str]:
    """Yield which masses of the catalog are not used, and what came out of a box that it does not list."""
    doubted = [f"{copy.accession} {title_words(edition)}" for copy, edition in pairs if contradicts(edition)]
    if doubted:
        yield doubt_words(doubted)
    if surplus:
        found = term("Found in this box after the move and not on this list, for it was on none: {copies}.")
        yield say(found, copies=", ".join(surplus))


def _packed_line(copy: Copy, edition: Edition) -> PackedLine:
    return PackedLine(
        number=copy.accession,
        title=edition.title,
        contributors="; ".join(edition.contributors),
        volume=edition.volume,
        edition=edition_words(edition),
        mass_g=stated_mass_g(edition),
    )


def _package(box: Box, facts: BoxFacts) -> Package:
    gross = box.carried_g
    net = gross - box.tare_g if gross is not None and box.tare_g is not None and gross > box.tare_g else None
    return Package(
        number=box.number,
        contents=facts.contents.get(box.number, ""),
        quantity=facts.listed.get(box.number, 0),
        type=say(CARTON),
        marks=say(BOX_MARKS),
        seal=box.seal,
        room=box.room,
        net_g=net,
        gross_g=gross,
        size_mm=box.outer_mm,
        inner_mm=box.inner_mm,
    )

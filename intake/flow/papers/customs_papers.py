"""The customs list of a consignment: each piece with its heading, value and masses; sums; open questions."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from intake.carriage.gross_shares import share_gross
from intake.documents import customs_list
from intake.edges import fonts
from intake.edges.sheets import Cell
from intake.flow.lookup.wording import title_words, written_number
from intake.flow.moving.mass_changes import changed_masses, mass_change_words
from intake.flow.papers import customs_words
from intake.flow.papers.consignment_content import (
    ConsignmentContent,
    gather_consignment,
    implausible,
    names_of,
    parties,
    stated_as_recorded,
    value_with_basis,
    value_words,
    weighed_in,
)
from intake.flow.papers.customs_questions import LATE, MISSING, antique_of, asked_before_signing, questions_of
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.flow.papers.schedule_lines import ScheduledCopy
from intake.flow.papers.valued_copies import NOT_ARRIVED
from intake.flow.values.exchange_rates import notices_of
from intake.model.boxes import Box
from intake.model.goods import CustomsLine, CustomsList, CustomsSum
from intake.model.schedules import ScheduleLine
from intake.units.convert import exact_kg_text, kilograms
from intake.units.counts import counted
from intake.valuing.customs import ATLASES, tariff_heading
from intake.weighing.plausible import stated_mass_g

GROSS_SHARES = (
    "Net mass is what the catalog states of the piece itself. The gross mass of a line is the share of its box's gross "
    "mass in proportion to net mass, to the gram; it is given where the box was weighed and all its pieces have a mass."
)
HEADER = (
    "Box", "Copy", "ISBN", "Description", "Contributors, edition", "HS heading", "Goods", "To be decided", "Printed in",
    "State", "Value", "Currency", "Basis", "Found", "As recorded", "Net, kg", "Gross, kg",
)  # fmt: skip


def gather_customs_list(source: PaperSource, options: PaperOptions) -> ConsignmentContent:
    """Gather the goods of a consignment.

    Raises:
        RefusedError: there is no such consignment, or its boxes are empty.
    """
    return gather_consignment(source, options, "customs list", {})


def lay_out_customs_list(content: ConsignmentContent, options: PaperOptions) -> PaperPages:
    """Set a customs list on pages, one line for each piece."""
    reference = content.consignment.reference
    customs = CustomsList(
        reference=reference,
        on=content.on,
        facts=(*parties(content.consignment), ("Packages", counted(len(content.boxes), "box", "boxes"))),
        lines=tuple(_lines(content)),
        asks=tuple(asked_before_signing(content)),
        boxes=tuple(row for box, copies in content.boxes for row in box_sums(content, box, copies)),
        headings=heading_sums(content),
        totals=tuple(closing_total(content)),
        notes=tuple(_notes(content)),
        proof=content.proof,
    )
    pages = customs_list.lay_out(customs, measure=fonts.measure, paper_mm=options.paper_mm)
    notices = notices_of(content.gathered.added.missing)
    return PaperPages(title=f"Customs list {reference}", pages=pages, proof=content.proof, notices=notices)


def tabulate_customs_list(content: ConsignmentContent, _options: PaperOptions) -> PaperTable:
    """Set a customs list in a table, a row for each piece; what the pages say beside the lines is in its notes."""
    asks = (f"To be answered: {ask}" for ask in asked_before_signing(content))
    lines = {one.line.number: one.line for one in content.listed}
    lines |= {whole.line.number: whole.line for whole in content.gathered.sets}
    return PaperTable(
        title="Customs list",
        header=HEADER,
        rows=[_row(line, lines[line.copy]) for line in _lines(content)],
        totals={"Value": ("Currency", "Basis", "Found"), "Net, kg": None, "Gross, kg": None},
        notes=(*closing_total(content), *asks, *_notes(content), customs_list.CUSTOMS),
        proof=content.proof,
        notices=notices_of(content.gathered.added.missing),
    )


def closing_total(content: ConsignmentContent) -> list[str]:
    """Return the closing total of a consignment in sentences, each with what it leaves out; what is lost is apart."""
    boxes = counted(len(content.boxes), "box", "boxes")
    lost = f"; of what was {MISSING}: {_net_words(content.lost)}" if content.lost else ""
    lost += f"; of boxes that have not arrived: {_net_words(content.awaited)}" if content.awaited else ""
    return [
        f"{boxes}, {counted(len(content.listed), 'piece', 'pieces')}",
        *value_sentences(content, "piece", "pieces"),
        f"Net mass {_net_words(content.found)}{lost}",
        gross_sentence(content),
    ]


def value_sentences(content: ConsignmentContent, one: str, many: str) -> list[str]:
    """Return what the copies are worth, and by themselves those that were not found since the move.

    Args:
        content: of the paper.
        one: what it calls a copy.
        many: and several.
    """
    found, lost, awaited = content.found, content.lost, content.awaited
    if not lost and not awaited:
        return [f"Value {content.worth(found)}"]
    sentences = [f"Value of {counted(len(found), one, many)} {content.worth(found)}"]
    if lost:
        gone = f"{counted(len(lost), one, many)} {MISSING}: {names_of([copy.line.number for copy in lost])}"
        sentences.append(f"Apart from these {gone}; value {content.worth(lost, lost=True)}")
    if awaited:
        boxes = names_of(sorted({copy.valued.copy.box or "" for copy in awaited}))
        names = names_of([copy.line.number for copy in awaited])
        late = f"{counted(len(awaited), one, many)} of {boxes}, {LATE}: {names}"
        sentences.append(f"Apart from these {late}; value {content.worth(awaited)}")
    return sentences


def gross_sentence(content: ConsignmentContent) -> str:
    """Return the gross mass of all boxes that were weighed, and the names of the others."""
    masses = [(box, box.carried_g) for box, _ in content.boxes]
    weighed = [mass for _, mass in masses if mass is not None]
    without = [box.number for box, mass in masses if mass is None]
    arrival = [box.number for box, mass in masses if mass is not None and box.gross_g is None]
    mass = f"Gross mass {exact_kg_text(sum(weighed))}" if weighed else "Gross mass not known"
    left = f", without {names_of(without)}, not weighed" if without and weighed else ""
    weighing = f"; {names_of(arrival)} weighed on arrival" if arrival else ""
    changed = changed_masses(box for box, _ in content.boxes)
    now = [f"{box.number} {exact_kg_text(box.arrived_g or 0)}" for box, _ in content.boxes if box.number in changed]
    weighing += f"; counted as at packing, but weighed on arrival: {names_of(now)}" if now else ""
    late = {copy.valued.copy.box for copy in content.awaited}
    apart = sum(mass for box, mass in masses if box.number in late and mass is not None)
    not_here = f"; of it {exact_kg_text(apart)} of boxes that have not arrived" if apart else ""
    return mass + left + weighing + _weighed_with_lost(content) + not_here


def _weighed_with_lost(content: ConsignmentContent) -> str:
    """Write of which boxes the gross mass is that at packing, so that it has in it what was not found since."""
    boxes = [box.number for box, copies in content.boxes if box.gross_g is not None and _some_lost(copies)]
    return f"; that of {names_of(boxes)} is the one at packing, with what was {MISSING}" if boxes else ""


def _some_lost(copies: Iterable[ScheduledCopy]) -> bool:
    return any(one.valued.lost for one in copies)


def _net_words(copies: Sequence[ScheduledCopy]) -> str:
    masses = {one.line.number: stated_mass_g(one.valued.edition) for one in copies}
    known = [mass for mass in masses.values() if mass is not None]
    unknown = [number for number, mass in masses.items() if mass is None]
    if not known:
        return "not known"
    left = f", without {names_of(unknown)}, of unknown mass" if unknown else ""
    return exact_kg_text(sum(known)) + left


def _lines(content: ConsignmentContent) -> Iterable[CustomsLine]:
    """Yield the lines box by box, in the order of the copies' numbers; then the sets that count once."""
    for box, copies in content.boxes:
        shares = _shares(content, box, copies)
        for one in copies:
            yield _line(content, box, one, shares.get(one.line.number))
    yield from (_set_line(whole.line) for whole in content.gathered.sets)


def _set_line(line: ScheduleLine) -> CustomsLine:
    """Return the line of a set, whose value stands once in place of those of its volumes."""
    return CustomsLine(
        box="",
        copy=line.number,
        title=line.title,
        more=line.more,
        goods="",
        heading="",
        value=value_words(line),
        recorded=line.recorded,
        is_set=True,
        counted=line.counted,
        is_found=not line.lost,
    )


def _shares(content: ConsignmentContent, box: Box, copies: Sequence[ScheduledCopy]) -> Mapping[str, int]:
    """Return the share of each copy that was in a box when it was weighed; none where it cannot be computed."""
    inside = weighed_in(content, box, copies)
    known = [mass for one in inside if (mass := stated_mass_g(one.valued.edition)) is not None]
    if box.carried_g is None or not known or len(known) < len(inside) or implausible(content, box, copies) is not None:
        return {}
    return dict(zip((one.line.number for one in inside), share_gross(box.carried_g, known), strict=True))


def _line(content: ConsignmentContent, box: Box, one: ScheduledCopy, gross_g: float | None) -> CustomsLine:
    copy, edition = one.valued.copy, one.valued.edition
    heading = tariff_heading(edition)
    return CustomsLine(
        box=box.number,
        copy=copy.accession,
        isbn=written_number(edition),
        title=title_words(edition),
        more=one.line.more,
        goods=customs_words.goods_words(heading),
        heading=heading.code,
        questions=tuple(questions_of(content, one)),
        country=edition.printed_in,
        state=customs_words.state_of(copy, one.valued.damage),
        value=value_with_basis(one),
        recorded="" if stated_as_recorded(one) else one.line.recorded,
        net_g=stated_mass_g(edition),
        gross_g=gross_g,
        counted=one.line.counted,
        is_found=not one.valued.lost and not one.valued.awaited,
    )


def box_sums(content: ConsignmentContent, box: Box, copies: Sequence[ScheduledCopy]) -> Iterable[CustomsSum]:
    """Yield what a box comes to, with its gross mass; by itself what of it was lost, or was on no list."""
    weighing = "on arrival" if box.gross_g is None and box.arrived_g is not None else "at packing"
    empty = f"; empty {exact_kg_text(box.tare_g)}" if box.tare_g is not None else ""
    doubt = "; less than its contents, see above" if implausible(content, box, copies) else ""
    lost = f"; with what was {MISSING}" if box.gross_g is not None and _some_lost(copies) else ""
    changed = f"; {exact_kg_text(box.arrived_g)} on arrival" if box.arrived_g and mass_change_words(box) else ""
    what = "" if box.carried_g is None else weighing + lost + changed + empty + doubt
    late = f"box {NOT_ARRIVED}" if any(one.valued.awaited for one in copies) else ""
    listed = [one for one in copies if not one.valued.lost and one.line.number not in content.surplus]
    first = _sum(content, listed, box.number, "; ".join(filter(None, (late, what))))
    yield replace(first, gross_g=box.carried_g, weighed=box.carried_g is not None)
    for words, part in (
        (MISSING, [one for one in copies if one.valued.lost]),
        ("on no packing list", [one for one in copies if one.line.number in content.surplus]),
    ):
        if part:
            yield replace(_sum(content, part, box.number, words), weighed=None)


def heading_sums(content: ConsignmentContent) -> tuple[CustomsSum, ...]:
    """Return what the pieces of each heading come to; apart, those that are lost and those that have not arrived."""
    by_heading: dict[tuple[str, int, str], list[ScheduledCopy]] = defaultdict(list)
    for nth, (gone, part) in enumerate((("", content.found), (MISSING, content.lost), (LATE, content.awaited))):
        for one in part:
            heading = tariff_heading(one.valued.edition)
            goods = "; ".join(filter(None, (customs_words.goods_words(heading), gone)))
            by_heading[heading.code, nth, goods].append(one)
    return tuple(_sum(content, copies, code, goods) for (code, _, goods), copies in sorted(by_heading.items()))


def _sum(content: ConsignmentContent, copies: Sequence[ScheduledCopy], name: str, what: str = "") -> CustomsSum:
    """Return what the pieces of a box or a heading come to."""
    masses = [stated_mass_g(one.valued.edition) for one in copies]
    return CustomsSum(
        name=name,
        what=what,
        pieces=len(copies),
        value=content.worth(copies, lost=all(one.valued.lost for one in copies)) if copies else "",
        net_g=sum(mass for mass in masses if mass is not None),
        unknown=masses.count(None),
    )


def _notes(content: ConsignmentContent) -> Iterable[str]:
    """Yield how values, masses and headings were obtained."""
    yield from content.value_notes
    yield GROSS_SHARES
    if any(tariff_heading(one.valued.edition).code == ATLASES for one in content.listed):
        yield customs_words.SUBHEADING
    if any(antique_of(content, one) for one in content.listed):
        yield customs_words.ANTIQUES


def _row(line: CustomsLine, valued: ScheduleLine) -> tuple[Cell, ...]:
    recorded = "; ".join(filter(None, (line.recorded, valued.note)))
    return (
        line.box, line.copy, line.isbn, line.title, line.more, line.heading, line.goods, "; ".join(line.questions),
        line.country, line.state, *customs_words.value_cells(valued), recorded,
        kilograms(line.net_g), kilograms(line.gross_g),
    )  # fmt: skip

"""The customs list of a consignment: each piece with its heading, value and masses; sums; open questions."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from intake.carriage.gross_shares import share_gross
from intake.documents import customs_list
from intake.edges import fonts
from intake.edges.sheets import Cell
from intake.flow.lookup.wording import title_words, written_number
from intake.flow.papers import customs_words
from intake.flow.papers.box_papers import kilograms
from intake.flow.papers.consignment_content import (
    ConsignmentContent,
    gather_consignment,
    implausible,
    names_of,
    parties,
    value_words,
)
from intake.flow.papers.customs_questions import MISSING, antique_of, asked_before_signing, questions_of
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.flow.papers.schedule_lines import ScheduledCopy
from intake.flow.values.exchange_rates import notices_of
from intake.model.boxes import Box
from intake.model.goods import CustomsLine, CustomsList, CustomsSum
from intake.model.schedules import ScheduleLine
from intake.units.convert import exact_kg_text
from intake.units.counts import counted
from intake.valuing.customs import ATLASES, tariff_heading

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
        boxes=tuple(_box_sum(content, box, copies) for box, copies in content.boxes),
        headings=_heading_sums(content),
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
    found, lost = content.found, content.lost
    if not lost:
        return [f"Value {content.worth(found)}"]
    names = names_of([copy.line.number for copy in lost])
    gone = f"{counted(len(lost), one, many)} {MISSING}: {names}"
    return [
        f"Value of {counted(len(found), one, many)} {content.worth(found)}",
        f"Apart from these {gone}; value {content.worth(lost, lost=True)}",
    ]


def gross_sentence(content: ConsignmentContent) -> str:
    """Return the gross mass of all boxes that were weighed, and the names of the others."""
    masses = [(box, box.carried_g) for box, _ in content.boxes]
    weighed = [mass for _, mass in masses if mass is not None]
    without = [box.number for box, mass in masses if mass is None]
    arrival = [box.number for box, mass in masses if mass is not None and box.gross_g is None]
    mass = f"Gross mass {exact_kg_text(sum(weighed))}" if weighed else "Gross mass not known"
    left = f", without {names_of(without)}, not weighed" if without and weighed else ""
    weighing = f"; {names_of(arrival)} weighed on arrival" if arrival else ""
    return mass + left + weighing


def _net_words(copies: Sequence[ScheduledCopy]) -> str:
    masses = [one.valued.edition.mass_g for one in copies]
    known = [mass for mass in masses if mass is not None]
    unknown = [one.line.number for one in copies if one.valued.edition.mass_g is None]
    if not known:
        return "not known"
    left = f", without {names_of(unknown)}, of unknown mass" if unknown else ""
    return exact_kg_text(sum(known)) + left


def _lines(content: ConsignmentContent) -> Iterable[CustomsLine]:
    """Yield the lines box by box, in the order of the copies' numbers; then the sets that count once."""
    for box, copies in content.boxes:
        shares = _shares(box, copies)
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
    )


def _shares(box: Box, copies: Sequence[ScheduledCopy]) -> Mapping[str, int]:
    """Return the share of each copy in the gross mass of its box; none where it cannot be computed."""
    masses = [one.valued.edition.mass_g for one in copies]
    known = [mass for mass in masses if mass is not None]
    if box.carried_g is None or not known or len(known) < len(masses) or implausible(box, copies) is not None:
        return {}
    return dict(zip((one.line.number for one in copies), share_gross(box.carried_g, known), strict=True))


def _line(content: ConsignmentContent, box: Box, one: ScheduledCopy, gross_g: float | None) -> CustomsLine:
    copy, edition = one.valued.copy, one.valued.edition
    heading, recorded = tariff_heading(edition), one.valued.value
    as_stated = recorded is None or (recorded.currency == one.line.currency and not one.line.in_set)
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
        state=customs_words.state_of(copy),
        value=value_words(one.line),
        recorded="" if as_stated else one.line.recorded,
        net_g=edition.mass_g,
        gross_g=gross_g,
    )


def _box_sum(content: ConsignmentContent, box: Box, copies: Sequence[ScheduledCopy]) -> CustomsSum:
    weighing = "on arrival" if box.gross_g is None and box.arrived_g is not None else "at packing"
    empty = f"; empty {exact_kg_text(box.tare_g)}" if box.tare_g is not None else ""
    doubt = "; less than its contents, see above" if implausible(box, copies) else ""
    what = "" if box.carried_g is None else weighing + empty + doubt
    return replace(_sum(content, copies, box.number, what), gross_g=box.carried_g)


def _heading_sums(content: ConsignmentContent) -> tuple[CustomsSum, ...]:
    by_heading: dict[tuple[str, str], list[ScheduledCopy]] = defaultdict(list)
    for one in content.listed:
        heading = tariff_heading(one.valued.edition)
        by_heading[heading.code, customs_words.goods_words(heading)].append(one)
    return tuple(_sum(content, copies, code, goods) for (code, goods), copies in sorted(by_heading.items()))


def _sum(content: ConsignmentContent, copies: Sequence[ScheduledCopy], name: str, what: str = "") -> CustomsSum:
    """Return what the pieces of a box or a heading come to."""
    masses = [one.valued.edition.mass_g for one in copies]
    return CustomsSum(
        name=name,
        what=what,
        pieces=len(copies),
        value=content.worth(copies) if copies else "",
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

"""The customs list of a consignment: each piece with its heading, value and masses; sums; open questions."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from intake.carriage.gross_shares import share_gross
from intake.documents import customs_list
from intake.edges import fonts
from intake.edges.sheets import Cell
from intake.flow.lookup.wording import title_words, written_number
from intake.flow.moving.mass_changes import mass_change_words
from intake.flow.papers import customs_words
from intake.flow.papers.consignment_content import (
    ConsignmentContent,
    gather_consignment,
    implausible,
    parties,
    stated_as_recorded,
    value_with_basis,
    value_words,
    weighed_in,
)
from intake.flow.papers.consignment_sums import closing_total, some_lost
from intake.flow.papers.customs_questions import LATE, MISSING, antique_of, asked_before_signing, questions_of
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.flow.papers.schedule_lines import ScheduledCopy
from intake.flow.values.exchange_rates import notices_of
from intake.model.boxes import Box
from intake.model.goods import CustomsLine, CustomsList, CustomsSum
from intake.model.schedules import ScheduleLine
from intake.units.convert import exact_kg_text, kilograms
from intake.units.counts import counted
from intake.units.language import say, term
from intake.valuing.customs import ATLASES, tariff_heading
from intake.weighing.plausible import stated_mass_g

GROSS_SHARES = term(
    "Net mass is what the catalog states of the piece itself. The gross mass of a line is the share of its box's gross "
    "mass in proportion to net mass, to the gram; it is given where the box was weighed and all its pieces have a mass."
)
HEADER = (
    term("Box"), term("Copy"), term("ISBN"), term("Description"), term("Contributors, edition"), term("HS heading"),
    term("Goods"), term("To be decided"), term("Printed in"), term("State"), term("Value"), term("Currency"),
    term("Basis"), term("Found"), term("As recorded"), term("Net, kg"), term("Gross, kg"),
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
        facts=(*parties(content.consignment), (say("Packages"), counted(len(content.boxes), "box", "boxes"))),
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
    title = say("Customs list {reference}", reference=reference)
    return PaperPages(title=title, pages=pages, proof=content.proof, notices=notices)


def tabulate_customs_list(content: ConsignmentContent, _options: PaperOptions) -> PaperTable:
    """Set a customs list in a table, a row for each piece; what the pages say beside the lines is in its notes."""
    asks = (say("To be answered: {ask}", ask=ask) for ask in asked_before_signing(content))
    lines = {one.line.number: one.line for one in content.listed}
    lines |= {whole.line.number: whole.line for whole in content.gathered.sets}
    return PaperTable(
        title=say("Customs list"),
        header=HEADER,
        rows=[_row(line, lines[line.copy]) for line in _lines(content)],
        totals={"Value": ("Currency", "Basis", "Found"), "Net, kg": None, "Gross, kg": None},
        notes=(*closing_total(content), *asks, *_notes(content), say(customs_list.CUSTOMS)),
        proof=content.proof,
        notices=notices_of(content.gathered.added.missing),
    )


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
    late = [say("box has not arrived")] if any(one.valued.awaited for one in copies) else []
    listed = [one for one in copies if not one.valued.lost and one.line.number not in content.surplus]
    first = _sum(content, listed, box.number, "; ".join([*late, *_how_weighed(content, box, copies)]))
    yield replace(first, gross_g=box.carried_g, weighed=box.carried_g is not None)
    for words, part in (
        (say(MISSING), [one for one in copies if one.valued.lost]),
        (say("on no packing list"), [one for one in copies if one.line.number in content.surplus]),
    ):
        if part:
            yield replace(_sum(content, part, box.number, words), weighed=None)


def _how_weighed(content: ConsignmentContent, box: Box, copies: Sequence[ScheduledCopy]) -> Iterable[str]:
    """Yield when a box was weighed, and what is to be known of that mass; nothing where it never was."""
    if box.carried_g is None:
        return
    yield say("on arrival") if box.gross_g is None else say("at packing")
    if box.gross_g is not None and some_lost(copies):
        yield say("with what was not found since the move")
    if box.arrived_g and mass_change_words(box):
        yield say("{mass} on arrival", mass=exact_kg_text(box.arrived_g))
    if box.tare_g is not None:
        yield say("empty {mass}", mass=exact_kg_text(box.tare_g))
    if implausible(content, box, copies):
        yield say("less than its contents, see above")


def heading_sums(content: ConsignmentContent) -> tuple[CustomsSum, ...]:
    """Return what the pieces of each heading come to; apart, those that are lost and those that have not arrived."""
    by_heading: dict[tuple[str, int, str], list[ScheduledCopy]] = defaultdict(list)
    for nth, (gone, part) in enumerate(
        (("", content.found), (say(MISSING), content.lost), (say(LATE), content.awaited))
    ):
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
    yield say(GROSS_SHARES)
    if any(tariff_heading(one.valued.edition).code == ATLASES for one in content.listed):
        yield say(customs_words.SUBHEADING)
    if any(antique_of(content, one) for one in content.listed):
        yield say(customs_words.ANTIQUES)


def _row(line: CustomsLine, valued: ScheduleLine) -> tuple[Cell, ...]:
    recorded = "; ".join(filter(None, (line.recorded, valued.note)))
    return (
        line.box, line.copy, line.isbn, line.title, line.more, line.heading, line.goods, "; ".join(line.questions),
        line.country, line.state, *customs_words.value_cells(valued), recorded,
        kilograms(line.net_g), kilograms(line.gross_g),
    )  # fmt: skip

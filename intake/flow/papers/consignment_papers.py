"""The move inventory and the customs list of a consignment, each with its proof."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby

from intake.documents import customs_list, disclaimers, move_inventory
from intake.documents.lists import count_text
from intake.edges import fonts
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.papers import reports_of_copies
from intake.errors import RefusedError
from intake.flow.condition.condition_report import before_and_after
from intake.flow.lookup.wording import edition_words, title_words
from intake.flow.moving.consignments import find_consignment
from intake.flow.papers.box_papers import BOX_MARKS, kilograms
from intake.flow.papers.copy_words import report_words
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.flow.papers.schedule_lines import Gathered, ScheduledCopy, scheduled
from intake.flow.papers.valued_copies import proof_of, rates_day, valued_copies
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, CartonState, Consignment, SealState
from intake.model.condition import ConditionReport
from intake.model.currencies import amount_text
from intake.model.editions import Copy, CopyState, Grade
from intake.model.schedules import CustomsLine, CustomsList, MovedBox, MovedLine, MoveInventory
from intake.units.convert import kg_text
from intake.valuing.customs import tariff_heading
from intake.valuing.totals import ROUNDING


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsignmentContent:
    """What papers of a consignment say.

    Attributes:
        boxes: each with the copies that it lists, by number.
        reports: the condition reports of each copy; none where the paper does not ask for them.
    """

    on: date
    consignment: Consignment
    boxes: tuple[tuple[Box, tuple[ScheduledCopy, ...]], ...]
    gathered: Gathered
    reports: Mapping[str, tuple[ConditionReport, ...]]
    proof: str

    @property
    def listed(self) -> tuple[ScheduledCopy, ...]:
        """Return the copies of all boxes."""
        return tuple(one for _, copies in self.boxes for one in copies)


def gather_move_inventory(source: PaperSource, options: PaperOptions) -> ConsignmentContent:
    """Gather what is in each box of a consignment, with its condition before and after the move.

    Raises:
        RefusedError: there is no such consignment, or its boxes are empty.
    """
    return _gather(source, options, "move inventory", reports_of_copies(source.reader))


def gather_customs_list(source: PaperSource, options: PaperOptions) -> ConsignmentContent:
    """Gather the goods of a consignment.

    Raises:
        RefusedError: there is no such consignment, or its boxes are empty.
    """
    return _gather(source, options, "customs list", {})


def _gather(
    source: PaperSource,
    options: PaperOptions,
    purpose: str,
    reports: Mapping[str, tuple[ConditionReport, ...]],
) -> ConsignmentContent:
    consignment = find_consignment(source.reader, options.reference)
    reference = consignment.reference
    copies = valued_copies(source.reader, reference=reference)
    if not copies:
        raise RefusedError(f"Consignment {reference}", "holds no copy", "pack its boxes first")
    on = rates_day(source, options)
    gathered = scheduled(source.reader, copies, currency=options.currency, on=on, estimated=False)
    by_box: dict[str, list[ScheduledCopy]] = {}
    for one in gathered.listed:
        by_box.setdefault(one.valued.copy.box or "", []).append(one)
    boxes = sorted(list_boxes(source.reader, reference), key=lambda box: serial_of(box.number))
    return ConsignmentContent(
        on=source.on,
        consignment=consignment,
        boxes=tuple((box, tuple(by_box.get(box.number, ()))) for box in boxes),
        gathered=gathered,
        reports=reports,
        proof=proof_of(source, purpose, copies, f"consignment {reference}"),
    )


def lay_out_move_inventory(content: ConsignmentContent, options: PaperOptions) -> PaperPages:
    """Set a move inventory on pages, box by box, with lines to sign at both ends."""
    reference = content.consignment.reference
    move = MoveInventory(
        reference=reference,
        on=content.on,
        facts=_parties(content.consignment),
        boxes=tuple(
            MovedBox(
                number=box.number,
                facts=_box_facts(box),
                lines=tuple(_moved(one, content, options) for one in copies),
            )
            for box, copies in content.boxes
        ),
        totals=_move_totals(content, options),
        proof=content.proof,
    )
    pages = move_inventory.lay_out(move, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=f"Move inventory {reference}", pages=pages, proof=content.proof)


def tabulate_move_inventory(content: ConsignmentContent, options: PaperOptions) -> PaperTable:
    """Set a move inventory in a table, a row for each copy."""
    rows = [
        (
            box.number,
            line.number,
            line.title,
            line.at_origin,
            line.at_destination,
            one.line.amount,
            options.currency if one.line.amount is not None else "",
        )
        for box, copies in content.boxes
        for one in copies
        for line in (_moved(one, content, options),)
    ]
    header = ("Box", "Copy", "Title", "Condition at origin", "Condition at destination", "Value", "Currency")
    totals = {"Value": "Currency"}
    return PaperTable(title="Move inventory", header=header, rows=rows, totals=totals, proof=content.proof)


def lay_out_customs_list(content: ConsignmentContent, options: PaperOptions) -> PaperPages:
    """Set a customs list on pages: one line for the copies of one edition in one state."""
    reference = content.consignment.reference
    packages = count_text(len(content.boxes), "box", "boxes")
    listed = content.listed
    customs = CustomsList(
        reference=reference,
        on=content.on,
        currency=options.currency,
        facts=(*_parties(content.consignment), ("Packages", packages)),
        lines=_goods(listed),
        notes=tuple(filter(None, ("; ".join(content.gathered.added.rates), ROUNDING, *_left_out(listed)))),
        proof=content.proof,
    )
    pages = customs_list.lay_out(customs, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=f"Customs list {reference}", pages=pages, proof=content.proof)


def tabulate_customs_list(content: ConsignmentContent, options: PaperOptions) -> PaperTable:
    """Set a customs list in a table, a row for the copies of one edition in one state."""
    rows = [
        (
            line.quantity,
            line.description,
            line.heading,
            line.country,
            line.state,
            line.unit,
            line.total,
            options.currency if line.total is not None else "",
            kilograms(line.mass_g),
        )
        for line in _goods(content.listed)
    ]
    header = ("Pieces", "Description", "HS heading", "Printed in", "State", "Unit value", "Total value", "Currency",
              "Mass, kg")  # fmt: skip
    totals = {"Total value": "Currency"}
    return PaperTable(title="Customs list", header=header, rows=rows, totals=totals, proof=content.proof)


def _parties(consignment: Consignment) -> tuple[tuple[str, str], ...]:
    return (
        ("Consignor", consignment.consignor),
        ("Consignee", consignment.consignee),
        ("Carrier", consignment.carrier),
        ("Carrier's reference", consignment.reference),
        ("From", consignment.origin),
        ("To", consignment.destination),
        ("Dispatched", consignment.dispatched.isoformat() if consignment.dispatched else ""),
    )


def _box_facts(box: Box) -> tuple[tuple[str, str], ...]:
    carton = "" if box.carton is CartonState.NOT_LOOKED_AT else str(box.carton)
    seal = "" if box.seal_state is SealState.NOT_LOOKED_AT else f" ({box.seal_state} on arrival)"
    arrived = f", {kg_text(box.arrived_g)} on arrival" if box.arrived_g is not None else ""
    return (
        ("Marks", BOX_MARKS),
        ("Seal", box.seal + seal if box.seal else ""),
        ("Gross mass", disclaimers.mass_text(box.gross_g) + arrived),
        ("Room of destination", box.room),
        ("Carton on arrival", carton),
        ("Note", box.note),
    )


def _moved(one: ScheduledCopy, content: ConsignmentContent, options: PaperOptions) -> MovedLine:
    line = one.line
    before, after = before_and_after(content.reports.get(line.number, ()))
    unreported = line.condition if after is None else "not reported"
    missing = "missing" if one.valued.copy.state is CopyState.MISSING else ""
    return MovedLine(
        number=line.number,
        title=f"{line.title}\n{line.more}" if line.more else line.title,
        at_origin=report_words(before) if before else unreported,
        at_destination=report_words(after) if after else missing,
        value=amount_text(line.amount, options.currency) if line.amount is not None else "no value",
    )


def _move_totals(content: ConsignmentContent, options: PaperOptions) -> tuple[str, ...]:
    listed = content.listed
    known = [one.line.amount for one in listed if one.line.amount is not None]
    without = len(listed) - len(known)
    left = f", without {count_text(without, 'copy', 'copies')} of no value here" if without else ""
    weighed = [box.gross_g for box, _ in content.boxes if box.gross_g is not None]
    unweighed = len(content.boxes) - len(weighed)
    mass = f"Gross mass {kg_text(sum(weighed))}" if weighed else "Gross mass: not weighed"
    rest = f", without {count_text(unweighed, 'box', 'boxes')} not weighed" if unweighed else ""
    sentences = (
        f"{count_text(len(content.boxes), 'box', 'boxes')}, {count_text(len(listed), 'copy', 'copies')}.",
        f"Value {amount_text(sum(known, Decimal()), options.currency)}{left}.",
        f"{mass}{rest}.",
        "; ".join(content.gathered.added.rates),
    )
    return tuple(filter(None, sentences))


def _goods(listed: Iterable[ScheduledCopy]) -> tuple[CustomsLine, ...]:
    """Return one line for the copies of one edition in one state."""

    def key(one: ScheduledCopy) -> tuple[str, str, int, str]:
        edition = one.valued.edition
        return (tariff_heading(edition).code, edition.title, edition.id, state_of(one.valued.copy))

    return tuple(
        _goods_line(code, state, list(copies))
        for (code, _, _, state), copies in groupby(sorted(listed, key=key), key=key)
    )


def _goods_line(code: str, state: str, copies: Sequence[ScheduledCopy]) -> CustomsLine:
    edition = copies[0].valued.edition
    amounts = [one.line.amount for one in copies if one.line.amount is not None]
    alike = len(set(amounts)) == 1 and len(amounts) == len(copies)
    words = edition_words(edition)
    return CustomsLine(
        quantity=len(copies),
        description=f"{title_words(edition)}\n{tariff_heading(edition).name}" + (f"; {words}" if words else ""),
        heading=code,
        country=edition.printed_in,
        state=state,
        unit=amounts[0] if alike else None,
        total=sum(amounts, Decimal()) if amounts else None,
        unvalued=len(copies) - len(amounts),
        mass_g=None if edition.mass_g is None else edition.mass_g * len(copies),
    )


def state_of(copy: Copy) -> str:
    """Return whether a copy is used or new; a wrapped one counts as neither."""
    if copy.wrapped:
        return "unopened"
    return "new" if copy.grade is Grade.AS_NEW else "used"


def _left_out(listed: Iterable[ScheduledCopy]) -> list[str]:
    """Return what the list could not include, in sentences."""
    copies = [one.valued for one in listed]
    country = sum(not one.edition.printed_in for one in copies)
    missing = [one.copy.accession for one in copies if one.copy.state is CopyState.MISSING]
    sentences = []
    if country:
        sentences.append(f"Country of printing not recorded: {count_text(country, 'piece', 'pieces')}.")
    if missing:
        sentences.append(f"Listed, but missing since: {', '.join(missing)}.")
    return sentences

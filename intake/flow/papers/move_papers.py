"""The move inventory and the customs list of a consignment, each with its proof."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby
from pathlib import Path

from intake.documents import customs_list, disclaimers, move_inventory
from intake.documents.lists import count_text
from intake.edges import fonts, sheets
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.condition.condition_report import before_and_after, reports_by_copy
from intake.flow.lookup.wording import edition_words, title_words
from intake.flow.papers.paper_contents import BOX_MARKS
from intake.flow.papers.proofs import proof_now
from intake.flow.papers.schedule_lines import Gathered, ScheduledCopy, gather
from intake.flow.papers.schedules import check_suffix, save_pages
from intake.flow.values.exchange_rates import currency_code
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, CartonState, Consignment, SealState
from intake.model.condition import ConditionReport
from intake.model.currencies import amount_text
from intake.model.editions import Copy, CopyState, Grade
from intake.model.pages import PrintReport
from intake.model.papers import A4_MM
from intake.model.schedules import CustomsLine, CustomsList, MovedBox, MovedLine, MoveInventory
from intake.units.convert import kg_text
from intake.valuing import proof as proof_words
from intake.valuing.condition import UNOPENED, grade_words
from intake.valuing.customs import tariff_heading
from intake.valuing.totals import ROUNDING

Table = list[tuple[sheets.Cell, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriageRequest:
    """Which consignment is listed, and how; `rates_on` is the day of the rates, None for that of the list."""

    reference: str
    currency: str
    on: date
    rates_on: date | None = None
    paper_mm: tuple[float, float] = A4_MM


@dataclass(frozen=True, slots=True)
class _CarriageJob:
    records: LibraryReader
    consignment: Consignment
    boxes: list[Box]
    gathered: Gathered
    by_box: dict[str, list[ScheduledCopy]]


def _job(records: LibraryReader, wanted: CarriageRequest) -> _CarriageJob:
    consignment = records.get(Consignment, wanted.reference)
    if consignment is None:
        known = ", ".join(held.reference for held in records.all(Consignment)) or "none yet"
        raise RefusedError(f"Consignment {wanted.reference}", "is not in this library", f"name one of these: {known}")
    boxes = sorted(list_boxes(records, wanted.reference), key=lambda box: serial_of(box.number))
    gathered = gather(records, currency=currency_code(wanted.currency), on=wanted.rates_on or wanted.on)
    by_box: dict[str, list[ScheduledCopy]] = {box.number: [] for box in boxes}
    for one in gathered.listed:
        if one.copy.box in by_box:
            by_box[one.copy.box].append(one)
    if not any(by_box.values()):
        raise RefusedError(f"Consignment {wanted.reference}", "holds no copy", "pack its boxes first")
    return _CarriageJob(records, consignment, boxes, gathered, by_box)


def print_move_inventory(records: LibraryReader, path: Path, wanted: CarriageRequest) -> PrintReport:
    """Write the move inventory of a consignment.

    Raises:
        RefusedError: there is no such consignment, or nothing lies in its boxes.
        UsageError: the file's name ends in none of .pdf, .xlsx and .csv; the currency is none.
    """
    job = _job(records, wanted)
    proof = _proof(records, "move inventory", wanted)
    reports = reports_by_copy(records)
    boxes = tuple(
        MovedBox(
            number=box.number,
            facts=_box_facts(box),
            lines=tuple(_moved(one, reports.get(one.copy.accession, ()), wanted) for one in job.by_box[box.number]),
        )
        for box in job.boxes
    )
    if path.suffix.casefold() != ".pdf":
        listed = {one.copy.accession: one for lines in job.by_box.values() for one in lines}
        rows: Table = []
        for box in boxes:
            for line in box.lines:
                amount = listed[line.number].line.amount
                cells = (box.number, line.number, line.title, line.at_origin, line.at_destination, amount)
                rows.append((*cells, wanted.currency if amount is not None else ""))
        header = ("Box", "Copy", "Title", "Condition at origin", "Condition at destination", "Value", "Currency")
        return _save_table(path, header, rows, proof, "Move inventory", totals={"Value": "Currency"})
    move = MoveInventory(
        reference=wanted.reference,
        on=wanted.on,
        facts=_parties(job.consignment),
        boxes=boxes,
        totals=_move_totals(job, wanted),
        proof=proof,
    )
    pages = move_inventory.lay_out(move, measure=fonts.measure, paper_mm=wanted.paper_mm)
    return save_pages(path, pages, f"Move inventory {wanted.reference}", proof)


def print_customs_list(records: LibraryReader, path: Path, wanted: CarriageRequest) -> PrintReport:
    """Write the customs list of a consignment: one line for the copies of one edition in one state.

    Raises:
        RefusedError: there is no such consignment, or nothing lies in its boxes.
        UsageError: the file's name ends in none of .pdf, .xlsx and .csv; the currency is none.
    """
    job = _job(records, wanted)
    proof = _proof(records, "customs list", wanted)
    listed = [one for box in job.boxes for one in job.by_box[box.number]]
    lines = _goods(listed)
    if path.suffix.casefold() != ".pdf":
        rows: Table = [
            (line.quantity, line.description, line.heading, line.country, line.state, line.unit, line.total,
             wanted.currency if line.total is not None else "",
             None if line.mass_g is None else round(line.mass_g / 1000, 3))
            for line in lines
        ]  # fmt: skip
        header = ("Pieces", "Description", "HS heading", "Printed in", "State", "Unit value", "Total value",
                  "Currency", "Mass, kg")  # fmt: skip
        return _save_table(path, header, rows, proof, "Customs list", totals={"Total value": "Currency"})
    customs = CustomsList(
        reference=wanted.reference,
        on=wanted.on,
        currency=wanted.currency,
        facts=(*_parties(job.consignment), ("Packages", count_text(len(job.boxes), "box", "boxes"))),
        lines=lines,
        notes=tuple(filter(None, ("; ".join(job.gathered.added.rates), ROUNDING, *_left_out(listed)))),
        proof=proof,
    )
    pages = customs_list.lay_out(customs, measure=fonts.measure, paper_mm=wanted.paper_mm)
    return save_pages(path, pages, f"Customs list {wanted.reference}", proof)


def _proof(records: LibraryReader, purpose: str, wanted: CarriageRequest) -> str:
    return proof_words.to_text(proof_now(records, purpose, f"consignment {wanted.reference}", on=wanted.on))


def _save_table(
    path: Path,
    header: tuple[str, ...],
    rows: Table,
    proof: str,
    title: str,
    totals: dict[str, str | None] | None = None,
) -> PrintReport:
    check_suffix(path)
    if path.suffix.casefold() == ".csv":
        sheets.save_csv(path, (*header, "Proof"), [(*row, "" if nth else proof) for nth, row in enumerate(rows)])
    else:
        sheets.save_xlsx(path, header, rows, title=title, totals=totals, proof=proof)
    return PrintReport(pages=1)


def _parties(held: Consignment) -> tuple[tuple[str, str], ...]:
    return (
        ("Consignor", held.consignor),
        ("Consignee", held.consignee),
        ("Carrier", held.carrier),
        ("Carrier's reference", held.reference),
        ("From", held.origin),
        ("To", held.destination),
        ("Dispatched", held.dispatched.isoformat() if held.dispatched else ""),
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


def _moved(one: ScheduledCopy, reports: tuple[ConditionReport, ...], wanted: CarriageRequest) -> MovedLine:
    before, after = before_and_after(reports)
    origin = report_words(before) if before else (one.line.condition if after is None else "not reported")
    gone = "missing" if one.copy.state is CopyState.MISSING else ""
    destination = report_words(after) if after is not None else gone
    value = amount_text(one.line.amount, wanted.currency) if one.line.amount is not None else "no value"
    more = one.line.more
    return MovedLine(
        number=one.copy.accession,
        title=f"{one.line.title}\n{more}" if more else one.line.title,
        at_origin=origin,
        at_destination=destination,
        value=value,
    )


def report_words(report: ConditionReport) -> str:
    """Write a condition report in one cell."""
    grade = UNOPENED if report.wrapped else grade_words(report.grade, report.jacket, has_jacket=report.has_jacket)
    return "; ".join(filter(None, (grade, report.condition, report.note, report.at.date().isoformat())))


def _move_totals(job: _CarriageJob, wanted: CarriageRequest) -> tuple[str, ...]:
    listed = [one for lines in job.by_box.values() for one in lines]
    known = [one.line.amount for one in listed if one.line.amount is not None]
    without = len(listed) - len(known)
    weighed = [box.gross_g for box in job.boxes if box.gross_g is not None]
    left = f", without {count_text(without, 'copy', 'copies')} of no value here" if without else ""
    unweighed = len(job.boxes) - len(weighed)
    mass = f"Gross mass {kg_text(sum(weighed))}" if weighed else "Gross mass: not weighed"
    return tuple(
        filter(
            None,
            (
                f"{count_text(len(job.boxes), 'box', 'boxes')}, {count_text(len(listed), 'copy', 'copies')}.",
                f"Value {amount_text(sum(known, Decimal()), wanted.currency)}{left}.",
                mass + (f", without {count_text(unweighed, 'box', 'boxes')} not weighed" if unweighed else "") + ".",
                "; ".join(job.gathered.added.rates),
            ),
        )
    )


def _goods(listed: Iterable[ScheduledCopy]) -> tuple[CustomsLine, ...]:
    """Gather copies of one edition in one state into one line."""

    def key(one: ScheduledCopy) -> tuple[str, str, int, str]:
        return (tariff_heading(one.edition).code, one.edition.title, one.edition.id, state_of(one.copy))

    lines: list[CustomsLine] = []
    for (code, _, _, state), same in groupby(sorted(listed, key=key), key=key):
        copies = list(same)
        edition = copies[0].edition
        amounts = [one.line.amount for one in copies if one.line.amount is not None]
        alike = len(set(amounts)) == 1 and len(amounts) == len(copies)
        words = edition_words(edition)
        lines.append(
            CustomsLine(
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
        )
    return tuple(lines)


def state_of(copy: Copy) -> str:
    """Say whether a copy is used or new; one that is wrapped claims neither."""
    if copy.wrapped:
        return "unopened"
    return "new" if copy.grade is Grade.AS_NEW else "used"


def _left_out(listed: list[ScheduledCopy]) -> list[str]:
    """Say what the list could not include."""
    country = sum(not one.edition.printed_in for one in listed)
    missing = [one.copy.accession for one in listed if one.copy.state is CopyState.MISSING]
    said = [f"Country of printing not recorded: {count_text(country, 'piece', 'pieces')}."] if country else []
    return [*said, *([f"Listed, but missing since: {', '.join(missing)}."] if missing else [])]

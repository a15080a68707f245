"""Print the papers of a move: labels for four faces, packing plan, discrepancy report, notice, periods and limits."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from intake.documents import disclaimers, four_faces, moving
from intake.edges import fonts, pdf
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.moving.claims import Claim, notice_paper
from intake.flow.moving.plan_packing import Planned
from intake.flow.moving.reconcile import Reconciled
from intake.flow.papers import paper_contents
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, Consignment
from intake.model.carriage import LiabilityTerms
from intake.model.moving_papers import (
    DiscrepancyPaper,
    FaceLabel,
    HandlingMark,
    PlannedBox,
    PlannedCopy,
    PlanPaper,
)
from intake.model.pages import Page, PrintReport
from intake.model.papers import A4_MM
from intake.packing.packing_plan import FilledBox

PaperSize = tuple[float, float]
BOOK_MARKS = (HandlingMark.THIS_WAY_UP, HandlingMark.KEEP_DRY, HandlingMark.NO_HOOKS)
"""Paper suffers from damp and hooks, and piles of books from being turned (common practice, no source)."""


def print_face_labels(
    records: LibraryReader,
    boxes: Sequence[Box],
    path: Path,
    *,
    address: str = "",
    stacking_g: float | None = None,
    paper_mm: PaperSize = A4_MM,
) -> PrintReport:
    """Print a sheet of four labels for each box.

    Args:
        records: the library.
        boxes: which.
        path: the file.
        address: of the desk, "http://192.168.1.20:8000"; the symbol then opens the box's page, else it says its number.
        stacking_g: the most that may stand on a box; adds the mark that says so.
        paper_mm: width and height of the sheet.
    """
    marks = (*BOOK_MARKS, HandlingMark.STACKING_LIMIT) if stacking_g is not None else BOOK_MARKS
    labels = [
        FaceLabel(
            number=content["number"],
            serial=content["box"],
            opens=f"{address.rstrip('/')}/boxes/{content['number']}" if address else content["number"],
            room=content["room"],
            consignment=content["consignment"],
            box_of=content["box_of"],
            mass=content["mass"],
            caution=content["caution"],
            marks=marks,
            stacking_g=stacking_g,
        )
        for content in paper_contents.box_labels(records, boxes)
    ]
    return _save(four_faces.lay_out(labels, measure=fonts.measure, paper_mm=paper_mm), path, "Box labels, four faces")


def print_plan(planned: Planned, path: Path, *, on: date, paper_mm: PaperSize = A4_MM) -> PrintReport:
    """Print a packing plan."""
    paper = PlanPaper(
        on=on,
        remarks=tuple(plan_remarks(planned)),
        boxes=tuple(_planned_box(n, box, planned) for n, box in enumerate(planned.plan.boxes, 1)),
        left=tuple((left.item.key, planned.titles[left.item.key], left.why) for left in planned.plan.left),
    )
    return _save(moving.lay_out_plan(paper, measure=fonts.measure, paper_mm=paper_mm), path, "Packing plan")


def plan_remarks(planned: Planned) -> Sequence[str]:
    """Say how good a plan is and what it rests on."""
    plan = planned.plan
    copies = sum(len(box.items) for box in plan.boxes)
    bound = f"{len(plan.boxes)} boxes for {copies} copies; no plan under the same rules needs fewer than {plan.bound}"
    remarks = [f"{bound} (gap {100 * plan.gap:.1f} %). The first plan had {plan.first}."]
    if planned.left_out:
        remarks.append(f"{planned.left_out} copies were not planned before the time was up; give it more.")
    for key, boxes in plan.torn.items():
        remarks.append(f"The set {planned.set_titles.get(key, key)} lies in {boxes} boxes.")
    remarks.append(planned.masses.words())
    if planned.guessed:
        remarks.append(f"Of {planned.guessed} copies too little is known to reckon a mass: weigh their boxes.")
    return remarks


def print_discrepancies(
    records: LibraryReader,
    found: Reconciled,
    consignment: Consignment,
    path: Path,
    *,
    on: date,
    paper_mm: PaperSize = A4_MM,
) -> PrintReport:
    """Print the discrepancy report of a consignment."""
    days = sorted({box.delivered for box in list_boxes(records, consignment.reference) if box.delivered})
    paper = DiscrepancyPaper(
        reference=consignment.reference,
        on=on,
        consignee=consignment.consignee,
        carrier=consignment.carrier,
        delivered=", ".join(day.isoformat() for day in days),
        faults=found.faults,
        lines=found.lines,
        found=found.found_elsewhere,
        still_closed=tuple(box.number for box in (*found.still_closed, *found.awaited)),
        totals=(*found.totals, *filter(None, (found.undecided,))),
        ledger_seq=count_records(records).entries,
        ledger_head=ledger_head(records),
    )
    pages = moving.lay_out_discrepancies(paper, measure=fonts.measure, paper_mm=paper_mm)
    return _save(pages, path, f"Discrepancy report {consignment.reference}")


def print_notice(
    claim: Claim, terms: LiabilityTerms, path: Path, *, on: date, paper_mm: PaperSize = A4_MM
) -> PrintReport:
    """Print the letter to the carrier.

    Raises:
        RefusedError: nothing is missing or damaged, and every box arrived as it left.
    """
    if not claim.reconciled.lines and not claim.reconciled.faults:
        raise RefusedError("The notice", "would have nothing to say", "unpack and finish the boxes first")
    paper = notice_paper(claim, terms, today=on)
    pages = moving.lay_out_notice(paper, measure=fonts.measure, paper_mm=paper_mm)
    return _save(pages, path, f"Notice of loss and damage {paper.reference}")


def print_periods(
    claim: Claim, terms: LiabilityTerms, path: Path, *, on: date, paper_mm: PaperSize = A4_MM
) -> PrintReport:
    """Print the sender's own sheet of periods and limits."""
    paper = notice_paper(claim, terms, today=on)
    pages = moving.lay_out_periods(paper, measure=fonts.measure, paper_mm=paper_mm)
    return _save(pages, path, f"Periods and limits {paper.reference}")


def _planned_box(nth: int, box: FilledBox, planned: Planned) -> PlannedBox:
    masses = {item.key: item.mass_g for item in box.items}
    return PlannedBox(
        name=f"Box {serial_of(box.number)}" if box.number else f"New box {nth}",
        kind=box.kind.name,
        room=box.room,
        mass_g=box.mass_g,
        copies=tuple(
            PlannedCopy(
                number=place.key,
                title=planned.titles[place.key],
                pile=place.pile,
                layer=place.layer,
                mass_g=masses[place.key],
            )
            for place in box.placed
        ),
        caution=disclaimers.lifting(box.mass_g),
    )


def _save(pages: Sequence[Page], path: Path, title: str) -> PrintReport:
    if not pages:
        raise RefusedError(str(path), "would have no page, because nothing was chosen", "choose what to print")
    return pdf.save(pages, path, title=title)

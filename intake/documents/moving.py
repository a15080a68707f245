"""Papers of a move: the packing plan, the discrepancy report, the notice of loss and damage, the sheet of periods.

The report and the notice state what was seen and make no claim that depends on a contract; the limits of the carrier's
liability are on a separate sheet, for the sender. The sources of rules and figures are part of the records; they are
not checked here. Report and sheet state that they are not legal advice; the letter does not, as it speaks to the
carrier: the sender is told so where it is printed.
"""

from intake.documents.disclaimers import NOT_LEGAL_ADVICE
from intake.documents.lists import date_text
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.text_fit import Measure
from intake.model.currencies import amount_text
from intake.model.moving_papers import (
    BoxFault,
    DiscrepancyLine,
    DiscrepancyPaper,
    FoundElsewhere,
    LimitsPaper,
    NoticePaper,
    PlannedCopy,
    PlanPaper,
)
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM
from intake.units.convert import kg_text
from intake.units.counts import counted

PLAN_COLUMNS = (
    TableColumn("Pile", 0.7, Align.RIGHT),
    TableColumn("Layer", 0.8, Align.RIGHT),
    TableColumn("Copy", 1.5, bold=True),
    TableColumn("Title", 8.0),
    TableColumn("Mass", 1.3, Align.RIGHT),
)
LEFT_COLUMNS = (TableColumn("Copy", 1.5, bold=True), TableColumn("Title", 6.0), TableColumn("Why it does not fit", 4.5))
FAULT_COLUMNS = (
    TableColumn("Box", 1.5, bold=True),
    TableColumn("What was seen on arrival", 8.0),
    TableColumn("Photographs", 1.5),
)
LINE_COLUMNS = (
    TableColumn("Copy", 1.4, bold=True),
    TableColumn("Title", 4.6),
    TableColumn("Box", 1.4),
    TableColumn("What", 1.3),
    TableColumn("Reason or damage", 3.2),
    TableColumn("Value", 2.0, Align.RIGHT),
)
FOUND_COLUMNS = (
    TableColumn("Copy", 1.4, bold=True),
    TableColumn("Title", 6.0),
    TableColumn("Found in", 1.6),
    TableColumn("Listed in", 2.4),
)
SURPLUS_COLUMNS = FOUND_COLUMNS[:3]
SINCE_COLUMNS = (
    TableColumn("Copy", 1.4, bold=True),
    TableColumn("Title", 6.0),
    TableColumn("Listed in", 1.6),
    TableColumn("Where it is", 2.4),
)
PERIOD_COLUMNS = (
    TableColumn("For", 1.9, bold=True),
    TableColumn("Last day", 2.6, bold=True),
    TableColumn("Counted", 3.4),
    TableColumn("If it is late", 2.8),
    TableColumn("Source", 2.0),
)
LOSS_COLUMNS = (
    TableColumn("What", 1.5, bold=True),
    TableColumn("Basis", 1.8),
    TableColumn("Copies", 4.2),
    TableColumn("As recorded", 2.0, Align.RIGHT),
    TableColumn("In these sums", 2.4, Align.RIGHT),
)
LIMIT_COLUMNS = (
    TableColumn("Box", 1.4, bold=True),
    TableColumn("Calculation", 7.4),
    TableColumn("Limit", 2.4, Align.RIGHT),
)
COUNTED_COLUMNS = (
    TableColumn("Box", 1.4, bold=True),
    TableColumn("What of it", 7.4),
    TableColumn("Counted", 2.4, Align.RIGHT),
)


def lay_out_plan(paper: PlanPaper, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a packing plan: the copies of each box by pile, from the bottom of each pile.

    Args:
        paper: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    sheet = Sheet(Head("Packing plan", date_text(paper.on)), measure, paper_mm)
    for remark in paper.remarks:
        sheet.paragraph(remark)
    columns = sheet.size_columns(PLAN_COLUMNS, (_planned(copy) for box in paper.boxes for copy in box.copies))
    for box in paper.boxes:
        where = f", {box.room}" if box.room else ""
        caution = f" {box.caution}." if box.caution else ""
        sheet.heading(f"{box.name}: {box.kind}{where}, about {kg_text(box.mass_g)}.{caution}")
        sheet.table(columns, map(_planned, box.copies))
    if paper.left:
        sheet.heading("Not planned")
        sheet.table(LEFT_COLUMNS, paper.left)
    return sheet.finish()


def _planned(copy: PlannedCopy) -> tuple[str, ...]:
    return (str(copy.pile or "–"), str(copy.layer or "–"), copy.number, copy.title, kg_text(copy.mass_g))


def lay_out_discrepancies(
    paper: DiscrepancyPaper, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM
) -> list[Page]:
    """Lay out the discrepancy report.

    Args:
        paper: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (
        ("Consignee", paper.consignee),
        ("Carrier", paper.carrier),
        ("Delivered", paper.delivered),
        ("Date of this report", date_text(paper.on)),
    )
    sheet = Sheet(Head("Discrepancy report", paper.reference, facts), measure, paper_mm)
    _faults(sheet, paper.faults)
    _lines(sheet, paper.lines)
    _found(sheet, paper.found)
    if paper.found_since:
        sheet.heading("Found since they were reported missing: not counted any more")
        sheet.table(SINCE_COLUMNS, ((line.number, line.title, line.box, line.since) for line in paper.found_since))
    if paper.still_closed:
        boxes = counted(len(paper.still_closed), "box is", "boxes are")
        sheet.heading(f"{boxes} not unpacked yet, with unknown contents: {', '.join(paper.still_closed)}")
    if paper.awaited:
        sheet.heading(f"{counted(len(paper.awaited), 'box has', 'boxes have')} not arrived: {', '.join(paper.awaited)}")
    with sheet.closing():
        _sign_report(sheet, paper)
    return sheet.finish()


def _sign_report(sheet: Sheet, paper: DiscrepancyPaper) -> None:
    for total in paper.totals:
        sheet.paragraph(total, bold=True)
    sheet.paragraph(
        f"From a ledger of {counted(paper.ledger_seq, 'entry', 'entries')}; its last digest (SHA-256) "
        f"is {paper.ledger_head}.",
        size_pt=SMALL_PT,
    )
    sheet.paragraph(NOT_LEGAL_ADVICE, size_pt=SMALL_PT)
    sheet.signatures(("Consignee, place, date", "Carrier, place, date"))


def lay_out_notice(paper: NoticePaper, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the letter that gives notice; it states no limit, which is for the carrier to claim.

    Args:
        paper: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (
        ("To", paper.carrier or "the carrier"),
        ("From", paper.sender),
        ("Delivered", paper.delivered),
        ("Date", date_text(paper.on)),
    )
    sheet = Sheet(Head("Notice of loss and damage", paper.reference, facts), measure, paper_mm)
    for paragraph in _notice_words(paper):
        sheet.paragraph(paragraph)
    _faults(sheet, paper.faults)
    if paper.lines or paper.delivered:
        _lines(sheet, paper.lines)
    _surplus(sheet, paper.surplus)
    if paper.awaited:
        sheet.heading(f"Not delivered to us so far: {', '.join(paper.awaited)}")
    with sheet.closing():
        _sign_notice(sheet, paper)
    return sheet.finish()


def _sign_notice(sheet: Sheet, paper: NoticePaper) -> None:
    for total in paper.totals:
        sheet.paragraph(total, bold=True)
    sheet.signatures(("Signed, place, date", "Received by the carrier, place, date"))


def _notice_words(paper: NoticePaper) -> tuple[str, ...]:
    """Return what the letter says before its lists; where nothing arrived, there is nothing to look at."""
    liable = "We hold you liable for it and keep all our rights."
    if not paper.lines and not paper.faults:
        first = f"We give notice that goods of consignment {paper.reference} have not been delivered to us, as listed "
        first += f"below. {liable}"
    else:
        first = f"We give notice that goods of consignment {paper.reference} were lost or damaged while they were in "
        first += f"your charge, as listed below. {liable} The list is not closed while boxes are still being unpacked."
    if not paper.delivered:
        return (first, "Please confirm in writing that you have received this notice, and tell us where the boxes are.")
    second = "Please confirm in writing that you have received this notice, keep what you have found, and tell us "
    second += "whether you wish to look at the boxes and the packing."
    return (first, second)


def lay_out_periods(paper: LimitsPaper, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the sender's own sheet: the periods of each delivery, and the carrier's limit compared with the loss.

    Args:
        paper: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (("Carrier", paper.carrier), *paper.facts)
    sheet = Sheet(Head(f"Periods and limits: {paper.regime}", paper.reference, facts), measure, paper_mm)
    sheet.paragraph(NOT_LEGAL_ADVICE, bold=True)
    sheet.heading("Until when")
    for delivery in paper.deliveries:
        sheet.paragraph(delivery)
    sheet.table(PERIOD_COLUMNS, paper.periods)
    for heading, columns, lines in (
        ("The loss", LOSS_COLUMNS, paper.losses),
        ("The limit, which is not what is owed", LIMIT_COLUMNS, paper.limits),
        ("The mass that was counted", COUNTED_COLUMNS, paper.counted),
    ):
        if lines:
            sheet.heading(heading)
            sheet.table(columns, lines)
    for heading, notes in paper.notes:
        sheet.heading(heading)
        for note in notes:
            sheet.paragraph(note)
    with sheet.closing():
        sheet.paragraph(f"Written on {date_text(paper.on)}. {NOT_LEGAL_ADVICE}", size_pt=SMALL_PT)
    return sheet.finish()


def _found(sheet: Sheet, found: tuple[FoundElsewhere, ...]) -> None:
    """Set what was in a box that does not list it, and apart from it what is on no list."""
    listed = [copy for copy in found if not copy.surplus]
    if listed:
        sheet.heading("Found in a box that does not list them")
        sheet.table(FOUND_COLUMNS, ((copy.number, copy.title, copy.found_in, copy.listed_in) for copy in listed))
    _surplus(sheet, tuple(copy for copy in found if copy.surplus))


def _surplus(sheet: Sheet, surplus: tuple[FoundElsewhere, ...]) -> None:
    if surplus:
        sheet.heading("Surplus: came with the boxes and is on no list")
        sheet.table(SURPLUS_COLUMNS, ((copy.number, copy.title, copy.found_in) for copy in surplus))


def _faults(sheet: Sheet, faults: tuple[BoxFault, ...]) -> None:
    if faults:
        sheet.heading("Boxes that did not arrive as they left")
        sheet.table(FAULT_COLUMNS, ((f.number, f.what, str(f.pictures or "none")) for f in faults))


def _lines(sheet: Sheet, lines: tuple[DiscrepancyLine, ...]) -> None:
    if not lines:
        sheet.heading("No copy is missing or damaged in what was unpacked")
        return
    sheet.heading(counted(len(lines), "copy", "copies") + " missing or damaged")
    rows = (
        (
            line.number,
            line.title,
            line.box,
            line.what,
            line.reason,
            "not valued" if line.amount is None else amount_text(line.amount, line.currency),
        )
        for line in lines
    )
    sheet.table(LINE_COLUMNS, rows)

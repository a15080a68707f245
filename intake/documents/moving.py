"""Papers of a move that went wrong: the discrepancy report, the notice of loss and damage, the sheet of periods.

The report and the notice state what was seen and make no claim that depends on a contract; the limits of the carrier's
liability are on a separate sheet, for the sender. The sources of rules and figures are part of the records; they are
not checked here. Report and sheet state that they are not legal advice; the letter does not, as it speaks to the
carrier: the sender is told so where it is printed.
"""

from intake.documents.disclaimers import NOT_LEGAL_ADVICE
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
)
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM
from intake.units.language import say, say_as, say_of
from intake.units.local_forms import day_text

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
        (say("Consignee"), paper.consignee),
        (say("Carrier"), paper.carrier),
        *paper.numbers,
        (say("Delivered"), paper.delivered),
        (say("Date of this report"), day_text(paper.on)),
    )
    sheet = Sheet(Head(say("Discrepancy report"), paper.reference, facts), measure, paper_mm)
    _faults(sheet, paper.faults)
    _lines(sheet, paper.lines)
    _found(sheet, paper.found)
    if paper.found_since:
        sheet.heading(say("Found since they were reported missing: not counted any more"))
        sheet.table(SINCE_COLUMNS, ((line.number, line.title, line.box, line.since) for line in paper.found_since))
    if paper.still_closed:
        closed = say_of(
            len(paper.still_closed),
            "{count} box is not unpacked yet, with unknown contents: {boxes}",
            "{count} boxes are not unpacked yet, with unknown contents: {boxes}",
            boxes=", ".join(paper.still_closed),
        )
        sheet.heading(closed)
    if paper.awaited:
        awaited = say_of(
            len(paper.awaited),
            "{count} box has not arrived: {boxes}",
            "{count} boxes have not arrived: {boxes}",
            boxes=", ".join(paper.awaited),
        )
        sheet.heading(awaited)
    with sheet.closing():
        _sign_report(sheet, paper)
    return sheet.finish()


def _sign_report(sheet: Sheet, paper: DiscrepancyPaper) -> None:
    for total in paper.totals:
        sheet.paragraph(total, bold=True)
    ledger = say_of(
        paper.ledger_seq,
        "From a ledger of {count} entry; its last digest (SHA-256) is {digest}.",
        "From a ledger of {count} entries; its last digest (SHA-256) is {digest}.",
        digest=paper.ledger_head,
    )
    sheet.paragraph(ledger, size_pt=SMALL_PT)
    sheet.paragraph(say(NOT_LEGAL_ADVICE), size_pt=SMALL_PT)
    sheet.signatures((say("Consignee, place, date"), say("Carrier, place, date")))


def lay_out_notice(paper: NoticePaper, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the letter that gives notice; it states no limit, which is for the carrier to claim.

    Args:
        paper: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (
        (say_as("receiver of a letter", "To"), paper.carrier or say("the carrier")),
        (say("From"), paper.sender),
        *paper.numbers,
        (say("Delivered"), paper.delivered),
        (say("Date"), day_text(paper.on)),
    )
    sheet = Sheet(Head(say("Notice of loss and damage"), paper.reference, facts), measure, paper_mm)
    for paragraph in _notice_words(paper):
        sheet.paragraph(paragraph)
    _faults(sheet, paper.faults)
    if paper.lines or paper.delivered:
        _lines(sheet, paper.lines)
    _surplus(sheet, paper.surplus)
    if paper.awaited:
        sheet.heading(say("Not delivered to us so far: {boxes}", boxes=", ".join(paper.awaited)))
    with sheet.closing():
        _sign_notice(sheet, paper)
    return sheet.finish()


def _sign_notice(sheet: Sheet, paper: NoticePaper) -> None:
    for total in paper.totals:
        sheet.paragraph(total, bold=True)
    sheet.signatures((say("Signed, place, date"), say("Received by the carrier, place, date")))


def _notice_words(paper: NoticePaper) -> tuple[str, ...]:
    """Return what the letter says before its lists; where nothing arrived, there is nothing to look at."""
    if not paper.lines and not paper.faults:
        first = say(
            "We give notice that goods of consignment {reference} have not been delivered to us, as listed below. We "
            "hold you liable for it and keep all our rights.",
            reference=paper.reference,
        )
    else:
        first = say(
            "We give notice that goods of consignment {reference} were lost or damaged while they were in your charge, "
            "as listed below. We hold you liable for it and keep all our rights. The list is not closed while boxes "
            "are still being unpacked.",
            reference=paper.reference,
        )
    if not paper.delivered:
        return (
            first,
            say("Please confirm in writing that you have received this notice, and tell us where the boxes are."),
        )
    second = say(
        "Please confirm in writing that you have received this notice, keep what you have found, and tell us whether "
        "you wish to look at the boxes and the packing."
    )
    return (first, second)


def lay_out_periods(paper: LimitsPaper, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the sender's own sheet: the periods of each delivery, and the carrier's limit compared with the loss.

    Args:
        paper: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = ((say("Carrier"), paper.carrier), *paper.facts)
    sheet = Sheet(
        Head(say("Periods and limits: {regime}", regime=paper.regime), paper.reference, facts), measure, paper_mm
    )
    sheet.paragraph(say(NOT_LEGAL_ADVICE), bold=True)
    sheet.heading(say("Until when"))
    for delivery in paper.deliveries:
        sheet.paragraph(delivery)
    sheet.table(PERIOD_COLUMNS, paper.periods)
    for heading, columns, lines in (
        (say("The loss"), LOSS_COLUMNS, paper.losses),
        (say("The limit, which is not what is owed"), LIMIT_COLUMNS, paper.limits),
        (say("The mass that was counted"), COUNTED_COLUMNS, paper.counted),
    ):
        if lines:
            sheet.heading(heading)
            sheet.table(columns, lines)
    for heading, notes in paper.notes:
        sheet.heading(heading)
        for note in notes:
            sheet.paragraph(note)
    with sheet.closing():
        written = say("Written on {day}.", day=day_text(paper.on))
        sheet.paragraph(f"{written} {say(NOT_LEGAL_ADVICE)}", size_pt=SMALL_PT)
    return sheet.finish()


def _found(sheet: Sheet, found: tuple[FoundElsewhere, ...]) -> None:
    """Set what was in a box that does not list it, and apart from it what is on no list."""
    listed = [copy for copy in found if not copy.surplus]
    if listed:
        sheet.heading(say("Found in a box that does not list them"))
        sheet.table(FOUND_COLUMNS, ((copy.number, copy.title, copy.found_in, copy.listed_in) for copy in listed))
    _surplus(sheet, tuple(copy for copy in found if copy.surplus))


def _surplus(sheet: Sheet, surplus: tuple[FoundElsewhere, ...]) -> None:
    if surplus:
        sheet.heading(say("Surplus: came with the boxes and is on no list"))
        sheet.table(SURPLUS_COLUMNS, ((copy.number, copy.title, copy.found_in) for copy in surplus))


def _faults(sheet: Sheet, faults: tuple[BoxFault, ...]) -> None:
    if faults:
        sheet.heading(say("Boxes that did not arrive as they left"))
        sheet.table(FAULT_COLUMNS, ((f.number, f.what, str(f.pictures) if f.pictures else say("none")) for f in faults))


def _lines(sheet: Sheet, lines: tuple[DiscrepancyLine, ...]) -> None:
    if not lines:
        sheet.heading(say("No copy is missing or damaged in what was unpacked"))
        return
    sheet.heading(say_of(len(lines), "{count} copy missing or damaged", "{count} copies missing or damaged"))
    rows = (
        (
            line.number,
            line.title,
            line.box,
            say(line.what),
            line.reason,
            _value(line),
        )
        for line in lines
    )
    sheet.table(LINE_COLUMNS, rows)


def _value(line: DiscrepancyLine) -> str:
    """Write what makes the loss of a copy, and below it the basis and the day of that value."""
    if line.amount is None:
        return say("not valued")
    basis = say(line.basis.value) if line.basis else ""
    return "\n".join(filter(None, (amount_text(line.amount, line.currency), basis, day_text(line.valued_on))))

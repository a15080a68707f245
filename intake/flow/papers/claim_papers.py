"""Papers about what did not arrive as it left: discrepancy report, notice to the carrier, periods and limits."""

from datetime import date

from intake.documents import moving
from intake.edges import fonts
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.errors import RefusedError, UsageError
from intake.flow.moving.claims import REGIMES, Claim, notice_paper, plan_claim
from intake.flow.moving.consignments import find_consignment
from intake.flow.moving.reconcile import reconcile
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.model.carriage import LiabilityTerms
from intake.model.moving_papers import DiscrepancyPaper, NoticePaper


def gather_discrepancies(source: PaperSource, options: PaperOptions) -> DiscrepancyPaper:
    """Gather how what arrived of a consignment differs from its lists.

    Raises:
        RefusedError: there is no such consignment.
    """
    consignment = find_consignment(source.reader, options.reference)
    found = reconcile(source.reader, consignment.reference)
    days = {box.delivered for box in list_boxes(source.reader, consignment.reference) if box.delivered}
    return DiscrepancyPaper(
        reference=consignment.reference,
        on=source.on,
        consignee=consignment.consignee,
        carrier=consignment.carrier,
        delivered=", ".join(day.isoformat() for day in sorted(days)),
        faults=found.faults,
        lines=found.lines,
        found=found.found_elsewhere,
        still_closed=tuple(box.number for box in (*found.still_closed, *found.awaited)),
        totals=(*found.totals, *filter(None, (found.undecided,))),
        ledger_seq=count_records(source.reader).entries,
        ledger_head=ledger_head(source.reader),
    )


def lay_out_discrepancies(paper: DiscrepancyPaper, options: PaperOptions) -> PaperPages:
    """Set a discrepancy report on pages."""
    pages = moving.lay_out_discrepancies(paper, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=f"Discrepancy report {paper.reference}", pages=pages)


def tabulate_discrepancies(paper: DiscrepancyPaper, _options: PaperOptions) -> PaperTable:
    """Set a discrepancy report in a table: what is missing or damaged, and what was found elsewhere."""
    missing = [
        (line.what, line.number, line.title, line.box, line.since, line.reason, line.amount, line.currency)
        for line in paper.lines
    ]
    elsewhere = [
        ("found elsewhere", one.number, one.title, one.listed_in, f"in box {one.found_in}", "", None, "")
        for one in paper.found
    ]
    header = ("What", "Copy", "Title", "Listed in", "Found", "Reason or damage", "Value", "Currency")
    totals = {"Value": "Currency"}
    return PaperTable(title="Discrepancies", header=header, rows=[*missing, *elsewhere], totals=totals)


def gather_notice(source: PaperSource, options: PaperOptions) -> NoticePaper:
    """Gather what the letter to the carrier says.

    Raises:
        RefusedError: see `notice_content` and `intake.flow.moving.claims.plan_claim`.
    """
    claim, terms = _claim(source, options)
    return notice_content(claim, terms, source.on)


def notice_content(claim: Claim, terms: LiabilityTerms, on: date) -> NoticePaper:
    """Return what the letter to the carrier says.

    Raises:
        RefusedError: nothing is missing or damaged, and every box arrived as it left.
    """
    if not claim.reconciled.lines and not claim.reconciled.faults:
        raise RefusedError("The notice", "would have nothing to say", "unpack and finish the boxes first")
    return notice_paper(claim, terms, today=on)


def lay_out_notice(paper: NoticePaper, options: PaperOptions) -> PaperPages:
    """Set the letter to the carrier on pages."""
    pages = moving.lay_out_notice(paper, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=f"Notice of loss and damage {paper.reference}", pages=pages)


def gather_periods(source: PaperSource, options: PaperOptions) -> NoticePaper:
    """Gather the periods of notice and what the carrier would owe at most.

    Raises:
        RefusedError: see `intake.flow.moving.claims.plan_claim`.
    """
    claim, terms = _claim(source, options)
    return periods_content(claim, terms, source.on)


def periods_content(claim: Claim, terms: LiabilityTerms, on: date) -> NoticePaper:
    """Return what the sender's own sheet says."""
    return notice_paper(claim, terms, today=on)


def lay_out_periods(paper: NoticePaper, options: PaperOptions) -> PaperPages:
    """Set the sender's own sheet of periods and limits on pages."""
    pages = moving.lay_out_periods(paper, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=f"Periods and limits {paper.reference}", pages=pages)


def _claim(source: PaperSource, options: PaperOptions) -> tuple[Claim, LiabilityTerms]:
    consignment = find_consignment(source.reader, options.reference)
    if options.regime not in REGIMES:
        raise UsageError("The claim", "needs the rules that the contract names", f"name {', '.join(REGIMES)}")
    terms = LiabilityTerms(
        regime=REGIMES[options.regime],
        currency=options.currency,
        rate=options.rate,
        rate_on=options.rate_on,
        rate_source=options.rate_source,
        per_kg=options.per_kg,
        dispatched=consignment.dispatched,
    )
    claim = plan_claim(
        source.reader,
        consignment.reference,
        terms,
        delivered=options.delivered,
        today=source.on,
        declared=options.declared,
        insured=options.insured,
    )
    return claim, terms

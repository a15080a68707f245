"""Papers about what did not arrive as it left: discrepancy report, notice to the carrier, periods and limits."""

from datetime import date

from intake.carriage.regimes import REGIMES
from intake.documents import moving
from intake.documents.disclaimers import NOT_LEGAL_ADVICE
from intake.edges import fonts
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import BoxCount, counts_per_box
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.moving.broken_sets import broken_set_words
from intake.flow.moving.claim_words import limits_paper
from intake.flow.moving.claims import Claim, ClaimRequest, plan_claim
from intake.flow.moving.consignments import find_consignment, refuse_no_boxes
from intake.flow.moving.deliveries import check_days, deliveries_of, delivery_words
from intake.flow.moving.reconcile import reconcile
from intake.flow.papers.consignment_numbers import all_numbers, transport_numbers
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.model.carriage import LiabilityTerms
from intake.model.moving_papers import DiscrepancyPaper, LimitsPaper, NoticePaper
from intake.units.counts import counted
from intake.units.language import say, say_of, term

HEADER = (
    term("What"), term("Copy"), term("Title"), term("Listed in"), term("Found"), term("Reason or damage"),
    term("Value"), term("Currency"), term("Basis"), term("Valued on"),
)  # fmt: skip


def gather_discrepancies(source: PaperSource, options: PaperOptions) -> DiscrepancyPaper:
    """Gather how what arrived of a consignment differs from its lists.

    Raises:
        RefusedError: there is no such consignment, or it has no boxes.
    """
    consignment = find_consignment(source.reader, options.reference)
    boxes = list_boxes(source.reader, consignment.reference)
    refuse_no_boxes(consignment.reference, boxes)
    found = reconcile(source.reader, consignment.reference)
    deliveries, _ = deliveries_of(boxes)
    return DiscrepancyPaper(
        reference=consignment.reference,
        on=source.on,
        consignee=consignment.consignee,
        carrier=consignment.carrier,
        delivered=delivery_words(deliveries),
        numbers=all_numbers(consignment),
        faults=found.faults,
        lines=found.lines,
        found=found.found_elsewhere,
        found_since=found.found_since,
        still_closed=tuple(box.number for box in found.still_closed),
        awaited=tuple(box.number for box in found.awaited),
        totals=(
            *found.totals,
            *broken_set_words(source.reader, found.lines),
            *filter(None, (found.undecided,)),
        ),
        ledger_seq=count_records(source.reader).entries,
        ledger_head=ledger_head(source.reader),
    )


def lay_out_discrepancies(paper: DiscrepancyPaper, options: PaperOptions) -> PaperPages:
    """Set a discrepancy report on pages."""
    pages = moving.lay_out_discrepancies(paper, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=say("Discrepancy report {reference}", reference=paper.reference), pages=pages)


def tabulate_discrepancies(paper: DiscrepancyPaper, _options: PaperOptions) -> PaperTable:
    """Set a discrepancy report in a table: boxes that arrived changed, what is missing or damaged, what was found."""
    missing = [
        (
            *(say(line.what), line.number, line.title, line.box, "", line.reason, line.amount, line.currency),
            *(say(line.basis.value) if line.basis else "", line.valued_on),
        )
        for line in paper.lines
    ]
    since = [
        (say("found since"), line.number, line.title, line.box, line.since, line.reason, None, "", "", None)
        for line in paper.found_since
    ]
    elsewhere = [
        (
            say("surplus") if found.surplus else say("found elsewhere"),
            found.number,
            found.title,
            found.listed_in,
            say("in box {box}", box=found.found_in),
            "",
            None,
            "",
            "",
            None,
        )
        for found in paper.found
    ]
    boxes = [(say("box"), "", "", fault.number, "", fault.what, None, "", "", None) for fault in paper.faults]
    totals = {"Value": "Currency"}
    return PaperTable(
        title=say("Discrepancies"), header=HEADER, rows=[*boxes, *missing, *since, *elsewhere], totals=totals
    )


def gather_notice(source: PaperSource, options: PaperOptions) -> NoticePaper:
    """Gather what the letter to the carrier says.

    Raises:
        RefusedError: see `notice_content`.
        UsageError: the day of delivery is in the future, or before the dispatch.
    """
    return notice_content(source.reader, options.reference, on=source.on, delivered=options.delivered)


def notice_content(records: LibraryReader, reference: str, *, on: date, delivered: date | None = None) -> NoticePaper:
    """Return what the letter to the carrier says: what is missing or damaged now, whatever rules apply.

    Args:
        records: the library.
        reference: of the consignment.
        on: the day of the letter.
        delivered: the day of delivery of the boxes that have none recorded.

    Raises:
        RefusedError: nothing is missing or damaged, every box arrived, and arrived as it left.
        UsageError: the day of delivery is in the future, or before the dispatch.
    """
    consignment = find_consignment(records, reference)
    found = reconcile(records, reference, delivered=delivered)
    deliveries, undated = deliveries_of(list_boxes(records, reference), given=delivered)
    check_days(consignment, deliveries, today=on, given=delivered)
    if not (found.lines or found.faults or found.awaited):
        raise RefusedError("The notice", "would have nothing to say", "unpack and finish the boxes first")
    counts = counts_per_box(records) if found.awaited else {}
    undated_words = say("day not recorded: {boxes}", boxes=", ".join(undated)) if undated else ""
    return NoticePaper(
        reference=consignment.reference,
        on=on,
        sender=consignment.consignee or consignment.consignor,
        carrier=consignment.carrier,
        numbers=transport_numbers(consignment),
        delivered="; ".join(filter(None, (delivery_words(deliveries), undated_words))),
        faults=found.faults,
        lines=found.lines,
        surplus=tuple(copy for copy in found.found_elsewhere if copy.surplus),
        awaited=tuple(f"{box.number} ({_on_its_list(counts.get(box.number))})" for box in found.awaited),
        totals=(*found.totals, *broken_set_words(records, found.lines), *_not_identified(found.waiting)),
    )


def _not_identified(count: int) -> tuple[str, ...]:
    """Write for the carrier that what is on the query pile may be among the missing."""
    if not count:
        return ()
    words = say_of(
        count,
        "{count} thing from these boxes is not identified yet, and may be among what is missing.",
        "{count} things from these boxes are not identified yet, and may be among what is missing.",
    )
    return (words,)


def _on_its_list(count: BoxCount | None) -> str:
    copies = 0 if count is None else sum(count.listed.values())
    return counted(copies, "copy", "copies") if copies else say("no list")


def lay_out_notice(paper: NoticePaper, options: PaperOptions) -> PaperPages:
    """Set the letter to the carrier on pages; that it is not legal advice is told to the sender, not to the carrier."""
    pages = moving.lay_out_notice(paper, measure=fonts.measure, paper_mm=options.paper_mm)
    title = say("Notice of loss and damage {reference}", reference=paper.reference)
    return PaperPages(title=title, pages=pages, notices=(say(NOT_LEGAL_ADVICE),))


def gather_periods(source: PaperSource, options: PaperOptions) -> LimitsPaper:
    """Gather the periods of notice and what the carrier could owe at most.

    Raises:
        RefusedError, UsageError: see `intake.flow.moving.claims.plan_claim`.
    """
    return limits_paper(claim_of(source.reader, options, today=source.on), today=source.on)


def lay_out_periods(paper: LimitsPaper, options: PaperOptions) -> PaperPages:
    """Set the sender's own sheet of periods and limits on pages."""
    pages = moving.lay_out_periods(paper, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=say("Periods and limits {reference}", reference=paper.reference), pages=pages)


def claim_of(records: LibraryReader, options: PaperOptions, *, today: date) -> Claim:
    """Compute the claim that the options describe.

    Raises:
        RefusedError, UsageError: see `intake.flow.moving.claims.plan_claim`; or the regime is not in the table.
    """
    if options.regime not in REGIMES:
        raise UsageError("The claim", "needs the rules that the contract names", f"name {', '.join(REGIMES)}")
    terms = LiabilityTerms(
        regime=REGIMES[options.regime],
        currency=options.currency,
        rate=options.rate,
        rate_on=options.rate_on,
        rate_source=options.rate_source,
        per_kg=options.per_kg,
        goods=options.goods,
        packed_by=options.packed_by,
        packages=options.packages,
        volume_m3=options.volume_m3,
        charges=options.charges,
        declared=options.declared,
        holidays=frozenset(options.holidays),
    )
    request = ClaimRequest(
        terms=terms,
        delivered=options.delivered,
        insured=options.insured,
        rates_on=options.rates_on,
        awaited_lost=options.awaited_lost,
    )
    return plan_claim(records, options.reference, request, today=today)

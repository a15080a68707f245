"""What the carrier would owe at most, and until when: from the discrepancies of a consignment and what the person says.

Values in another currency than that of the claim are left out and counted, never converted without a rate.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.carriage.liability import NOT_ADVICE, Liability, LostCopy, compute_liability
from intake.carriage.periods import Period, notice_periods
from intake.carriage.regimes import MONTREAL_STEPS
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import unweighed_contents
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.moving.consignments import find_consignment
from intake.flow.moving.masses import Masses, of_collection
from intake.flow.moving.reconcile import Reconciled, reconcile
from intake.flow.values.exchange_rates import currency_code
from intake.model.boxes import Box, Consignment
from intake.model.carriage import LiabilityTerms, Regime
from intake.model.currencies import amount_text
from intake.model.editions import Copy, Edition
from intake.model.moving_papers import NoticePaper

REGIMES: Mapping[str, Regime] = {
    "released-value": Regime.RELEASED,
    "full-value": Regime.FULL,
    "montreal": Regime.MONTREAL,
    "hague-visby": Regime.HAGUE_VISBY,
    "cmr": Regime.CMR,
    "per-kg": Regime.PER_KG,
}
"""What the person types, and what it is."""

NO_LEGAL_ADVICE = NOT_ADVICE


@dataclass(frozen=True, slots=True)
class Claim:
    """What is owed, and the periods of notice.

    Attributes:
        owed: None where nothing is missing or damaged.
        unweighed: copies whose mass is only estimated.
    """

    consignment: Consignment
    delivered: date
    reconciled: Reconciled
    owed: Liability | None
    periods: tuple[Period, ...]
    remarks: tuple[str, ...]


def plan_claim(
    records: LibraryReader,
    reference: str,
    terms: LiabilityTerms,
    *,
    delivered: date | None,
    today: date,
    declared: Decimal | None = None,
    insured: Decimal | None = None,
) -> Claim:
    """Compute what a carrier would owe at most, and until when to give notice.

    Args:
        records: the library.
        reference: of the consignment.
        terms: regime, currency, rate.
        delivered: day of delivery; None takes the latest that was recorded at checking in.
        today: in the person's place.
        declared: value declared to the carrier, in the currency of the terms.
        insured: sum insured, in the same currency.

    Raises:
        RefusedError: the consignment does not exist, or no day of delivery is known.
        UsageError: the day is in the future, the currency is not a code of ISO 4217, or a rate is missing.
    """
    currency_code(terms.currency)
    reconciled = reconcile(records, reference)
    consignment = find_consignment(records, reference)
    boxes = {box.number: box for box in list_boxes(records, reference)}
    day = delivered or max((box.delivered for box in boxes.values() if box.delivered), default=None)
    if day is None:
        raise RefusedError(
            f"Consignment {reference}", "has no day of delivery", "give it with --delivered, as 2026-05-04"
        )
    masses = of_collection(records)
    lost = _lost(records, reconciled, masses, terms.currency)
    owed = None
    if lost:
        shipment_g = _shipment_g(records, reference, boxes.values(), masses)
        owed = compute_liability(lost, _gross(boxes, lost), terms, shipment_g)
    remarks = tuple(_remarks(reconciled, owed, terms, declared, insured))
    return Claim(consignment, day, reconciled, owed, notice_periods(terms.regime, day, today), remarks)


def notice_paper(claim: Claim, terms: LiabilityTerms, *, today: date) -> NoticePaper:
    """Return what the notice letter and the sheet of periods say."""
    owed = claim.owed
    limits = (
        [(box.box or "all", box.words, amount_text(box.amount, terms.currency)) for box in owed.boxes] if owed else []
    )
    return NoticePaper(
        reference=claim.consignment.reference,
        on=today,
        sender=claim.consignment.consignee or claim.consignment.consignor,
        carrier=claim.consignment.carrier,
        delivered=claim.delivered.isoformat(),
        regime=terms.regime.value,
        faults=claim.reconciled.faults,
        lines=tuple(line for line in claim.reconciled.lines if not line.since),
        totals=claim.reconciled.totals,
        facts=tuple(claim_sums(claim, terms)),
        limits=tuple(limits),
        periods=tuple(period_rows(claim.periods, today)),
        remarks=(*claim.remarks[1:], *((f"{owed.rule.source}. It counts {owed.rule.counts}.",) if owed else ())),
    )


def claim_sums(claim: Claim, terms: LiabilityTerms) -> Sequence[tuple[str, str]]:
    """Return the sums of a claim as (name, text)."""
    owed = claim.owed
    if owed is None:
        return (("Loss", "nothing is missing or damaged in what was unpacked"),)
    rate = ""
    if terms.rate is not None and owed.rule.unit not in ("", terms.currency):
        when = f"on {terms.rate_on}" if terms.rate_on else "of no stated day"
        parts = (f"1 {owed.rule.unit} = {terms.rate} {terms.currency}", when, terms.rate_source)
        rate = ", ".join(part for part in parts if part)
    return (
        ("Loss, as far as valued", amount_text(owed.loss, terms.currency)),
        ("The carrier would owe at most", amount_text(owed.most, terms.currency)),
        ("Limit", amount_text(owed.limit, terms.currency)),
        ("Not covered by it", amount_text(owed.gap, terms.currency)),
        ("Rate", rate),
    )


def period_rows(periods: Sequence[Period], today: date) -> list[tuple[str, str, str, str]]:
    """Return (for what, last day and what is left of it, rule, source)."""
    rows = []
    for period in periods:
        left = period.left(today)
        if period.last is None or left is None:
            when = "not known"
        elif left < 0:
            when = f"{period.last}: over"
        else:
            when = f"{period.last}: today" if left == 0 else f"{period.last}: {left} days left"
        rows.append((period.what, when, period.words, period.source))
    return rows


def _lost(records: LibraryReader, reconciled: Reconciled, masses: Masses, currency: str) -> list[LostCopy]:
    lines = [line for line in reconciled.lines if not line.since]
    copies = records.get_many(Copy, (line.number for line in lines))
    editions = records.get_many(Edition, (copy.edition_id for copy in copies.values()))
    lost: dict[str, LostCopy] = {}
    for line in lines:
        edition = editions[copies[line.number].edition_id]
        value = line.amount if line.currency == currency else None
        lost[line.number] = LostCopy(copy=line.number, box=line.box, mass_g=masses.of(edition).mass_g.mean, value=value)
    return list(lost.values())


def _gross(boxes: Mapping[str, Box], lost: Sequence[LostCopy]) -> dict[str, float | None]:
    return {copy.box: boxes[copy.box].gross_g for copy in lost if copy.box in boxes}


def _shipment_g(records: LibraryReader, reference: str, boxes: Iterable[Box], masses: Masses) -> float:
    """Return the mass of the shipment: as weighed, and where a box was not, as estimated from its list."""
    weighed = sum(box.gross_g for box in boxes if box.gross_g is not None)
    estimated = sum(masses.of(edition).mass_g.mean for _, edition in unweighed_contents(records, reference))
    return weighed + estimated


def _remarks(
    reconciled: Reconciled,
    owed: Liability | None,
    terms: LiabilityTerms,
    declared: Decimal | None,
    insured: Decimal | None,
) -> list[str]:
    remarks = [NOT_ADVICE]
    for name, amount in (("declared to the carrier", declared), ("insured", insured)):
        if amount is not None and owed is not None:
            gap = owed.loss - min(owed.loss, amount)
            rest = f"{amount_text(gap, terms.currency)} of the loss is above it" if gap else "the loss is within it"
            remarks.append(f"{amount_text(amount, terms.currency)} are {name}: {rest}.")
    if owed is not None and owed.unvalued:
        remarks.append(f"{owed.unvalued} copies have no value in {terms.currency} and are not in these sums.")
    if owed is not None and owed.to_name:
        names = ", ".join(owed.to_name)
        remarks.append(
            f"Worth over 100 USD a pound, which a mover has to be informed of in writing beforehand: {names}."
        )
    if terms.regime is Regime.MONTREAL and terms.dispatched is None:
        remarks.append(f"The figure of {MONTREAL_STEPS[0][0]} is used because the day of dispatch is not known.")
    if reconciled.undecided:
        remarks.append(reconciled.undecided)
    if reconciled.still_closed or reconciled.awaited:
        remarks.append(
            f"{len(reconciled.still_closed)} boxes are not opened and {len(reconciled.awaited)} not arrived: "
            "more may be missing."
        )
    return remarks

"""What the carrier could owe at most, and until when to give notice: from the discrepancies and what the person says.

The day of delivery is each box's own. Values in other currencies are converted by the rates that the library holds;
what cannot be converted, and what has no value, is named and is in no sum.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from intake.carriage.liability import BoxMass, Liability, LostCopy, compute_liability
from intake.carriage.periods import Period, notice_periods
from intake.carriage.regimes import check_scope
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import CopyPair, consignment_contents
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.moving.consignments import find_consignment
from intake.flow.moving.deliveries import Delivery, check_days, deliveries_of
from intake.flow.moving.losses import AtRisk, ConsignmentValues, Loss, list_losses, value_at_risk, values_of_consignment
from intake.flow.moving.masses import of_collection
from intake.flow.moving.reconcile import Reconciled, reconcile
from intake.flow.values.average import pays_under_average
from intake.flow.values.exchange_rates import currency_code
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, Consignment
from intake.model.carriage import LiabilityTerms
from intake.model.editions import Copy, Edition
from intake.valuing.insurance import AverageResult
from intake.valuing.rates import Conversion


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimRequest:
    """What a person says of a claim.

    Attributes:
        delivered: the day of delivery of those boxes that arrived and have none recorded.
        insured: sum insured, in the currency of the terms.
        rates_on: day of the rates by which values are converted; None for today.
        awaited_lost: whether boxes that have not arrived count as lost.
    """

    terms: LiabilityTerms
    delivered: date | None = None
    insured: Decimal | None = None
    rates_on: date | None = None
    awaited_lost: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """What could be owed, and the periods of notice.

    Attributes:
        terms: with the rate that was used.
        periods: of each day of delivery, the earliest first.
        undated: boxes that arrived on a day that nobody recorded.
        owed: None where nothing is missing or damaged.
        as_one: the same if the transport document names one package only; None where that is known.
        set_volumes: losses that are volumes of a set.
        unweighed: boxes of which the gross mass is not known.
        average: what a policy with average pays of the loss; None where no sum insured was given, or nothing is valued.
        rates: the exchange rates by which values were converted, in words.
    """

    consignment: Consignment
    request: ClaimRequest
    terms: LiabilityTerms
    reconciled: Reconciled
    periods: tuple[tuple[Delivery, tuple[Period, ...]], ...]
    undated: tuple[str, ...]
    losses: tuple[Loss, ...]
    owed: Liability | None
    as_one: Liability | None
    at_risk: AtRisk
    set_volumes: tuple[str, ...]
    unweighed: tuple[str, ...]
    average: AverageResult | None
    rates: tuple[str, ...]


def plan_claim(records: LibraryReader, reference: str, request: ClaimRequest, *, today: date) -> Claim:
    """Compute what a carrier could owe at most, and until when to give notice.

    Args:
        records: the library.
        reference: of the consignment.
        request: regime, contract, day of delivery and sums, as the person states them.
        today: in the person's place.

    Raises:
        RefusedError: the consignment does not exist, no day of delivery is known, or the regime does not apply.
        UsageError: a day is in the future or before the dispatch, an amount is negative, the currency is not a code of
            ISO 4217, or something that the limit needs is missing.
    """
    terms, consignment = _checked(records, reference, request)
    boxes = sorted(list_boxes(records, reference), key=lambda box: serial_of(box.number))
    deliveries, undated = deliveries_of(boxes, given=request.delivered)
    if not deliveries:
        raise RefusedError(
            f"Consignment {reference}", "has no day of delivery", "give the day of delivery, as 2026-05-04"
        )
    rates_on = request.rates_on or today
    check_days(consignment, deliveries, today=today, rates_on=rates_on, rate_on=terms.rate_on)
    reconciled = reconcile(records, reference)
    # A surplus book is recorded with the box it came out of, but nobody handed it to the carrier.
    surplus = {found.number for found in reconciled.found_elsewhere if found.surplus}
    contents = [pair for pair in consignment_contents(records, reference) if pair[0].accession not in surplus]
    values = values_of_consignment(records, reference, currency=terms.currency, unit=terms.regime.unit, on=rates_on)
    terms = _with_rate(terms, values)
    awaited = [box.number for box in reconciled.awaited] if request.awaited_lost else []
    losses = list_losses(reconciled.lines, contents, values, awaited=awaited)
    owed, as_one = _liabilities(records, losses, contents, boxes, terms)
    at_risk = value_at_risk(contents, losses, values)
    return Claim(
        consignment=consignment,
        request=request,
        terms=terms,
        reconciled=reconciled,
        periods=tuple(
            (delivery, notice_periods(terms.regime, delivery.day, today, terms.holidays)) for delivery in deliveries
        ),
        undated=undated,
        losses=losses,
        owed=owed,
        as_one=as_one,
        at_risk=at_risk,
        set_volumes=_set_volumes(losses, contents),
        unweighed=tuple(box.number for box in boxes if not box.gross_g),
        average=_average(owed, request.insured, at_risk, terms.currency),
        rates=values.rates_used(),
    )


def _checked(records: LibraryReader, reference: str, request: ClaimRequest) -> tuple[LiabilityTerms, Consignment]:
    """Return the terms with the day of dispatch, and the consignment, once all that is stated can be."""
    terms = replace(request.terms, currency=currency_code(request.terms.currency))
    sums = (
        ("The value declared", terms.declared),
        ("The charges", terms.charges),
        ("The sum insured", request.insured),
        ("The amount per kilogram", terms.per_kg),
    )
    for name, amount in sums:
        if amount is not None and not (amount.is_finite() and amount >= 0):
            raise UsageError(f"{name} of {amount}", "is not an amount from 0 on", "correct it")
    consignment = find_consignment(records, reference)
    check_scope(terms)
    return replace(terms, dispatched=consignment.dispatched), consignment


def _with_rate(terms: LiabilityTerms, values: ConsignmentValues) -> LiabilityTerms:
    """Return the terms with the rate of the regime's unit that the library holds, where the person gave none."""
    unit = terms.regime.unit
    if terms.rate is not None or unit in ("", terms.currency):
        return terms
    conversion = values.table.conversion(unit, terms.currency, values.on)
    if not isinstance(conversion, Conversion):
        return terms
    rate = Decimal(conversion.factor.numerator) / Decimal(conversion.factor.denominator)
    return replace(terms, rate=rate, rate_on=values.on, rate_source=conversion.words)


def _liabilities(
    records: LibraryReader,
    losses: Sequence[Loss],
    contents: Sequence[CopyPair],
    boxes: Sequence[Box],
    terms: LiabilityTerms,
) -> tuple[Liability | None, Liability | None]:
    """Return what could be owed, and what if the document names one package, where it does not say how many."""
    if not losses:
        return None, None
    masses = _copy_masses(records, losses, contents)
    box_masses = _box_masses(boxes, contents, masses)
    lost = [LostCopy(copy=loss.copy, box=loss.box, mass_g=masses[loss.copy], value=loss.amount) for loss in losses]
    beside = _boxes_of_broken_sets(losses, contents)

    def compute(packages: int | None) -> Liability:
        return compute_liability(
            lost,
            box_masses,
            replace(terms, packages=packages),
            shipment_g=sum(mass.gross_g or mass.listed_g for mass in box_masses.values()),
            shipment_boxes=len(boxes),
            beside=beside,
        )

    asked = terms.regime.counts_packages() and terms.packages is None and len(boxes) > 1
    return compute(terms.packages), compute(1) if asked else None


def _copy_masses(records: LibraryReader, losses: Sequence[Loss], contents: Sequence[CopyPair]) -> dict[str, float]:
    """Return the mass of each copy in grams, also of those that were packed into another box since."""
    learned = of_collection(records)
    pairs = {copy.accession: edition for copy, edition in contents}
    moved = records.get_many(Copy, [loss.copy for loss in losses if loss.copy not in pairs])
    editions = records.get_many(Edition, {copy.edition_id for copy in moved.values()})
    pairs.update({copy.accession: editions[copy.edition_id] for copy in moved.values()})
    return {accession: learned.of(edition).mass_g.mean for accession, edition in pairs.items()}


def _box_masses(boxes: Sequence[Box], contents: Sequence[CopyPair], masses: Mapping[str, float]) -> dict[str, BoxMass]:
    listed: dict[str, float] = defaultdict(float)
    for copy, _ in contents:
        listed[copy.box or ""] += masses[copy.accession]
    return {box.number: BoxMass(gross_g=box.gross_g, listed_g=listed[box.number]) for box in boxes}


def _boxes_of_broken_sets(losses: Sequence[Loss], contents: Sequence[CopyPair]) -> tuple[str, ...]:
    """Return the boxes in which other volumes of a set travelled of which a volume is lost, in their order."""
    lost = set(_set_volumes(losses, contents))
    broken = {edition.set_id for copy, edition in contents if copy.accession in lost}
    found = (copy.box or "" for copy, edition in contents if edition.set_id in broken)
    return tuple(sorted(set(found), key=serial_of))


def _set_volumes(losses: Sequence[Loss], contents: Sequence[CopyPair]) -> tuple[str, ...]:
    lost = {loss.copy for loss in losses}
    return tuple(copy.accession for copy, edition in contents if copy.accession in lost and edition.set_id is not None)


def _average(owed: Liability | None, insured: Decimal | None, at_risk: AtRisk, currency: str) -> AverageResult | None:
    if owed is None or insured is None or not at_risk.amount:
        return None
    return pays_under_average(owed.loss, insured, at_risk.amount, currency)

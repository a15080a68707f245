"""What the carrier could owe at most, and until when to give notice: from the discrepancies and what the person says.

The day of delivery is each box's own. Values in other currencies are converted by the rates that the library holds;
what cannot be converted, and what has no value, is named and is in no sum.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from intake.carriage.counted_mass import BoxMass, LostCopy, shown_mass
from intake.carriage.liability import Liability, compute_liability
from intake.carriage.periods import OverduePeriod, Period, notice_periods, overdue_periods
from intake.carriage.regimes import check_scope
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import CopyPair, consignment_contents, counts_per_box
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.moving.box_masses import carried_mass
from intake.flow.moving.claim_sums import averages, with_rate
from intake.flow.moving.claimed_sets import SetFall, before_loss, boxes_of_incomplete_sets, falls_of_sets, set_volumes
from intake.flow.moving.consignments import find_consignment
from intake.flow.moving.deliveries import Delivery, check_days, deliveries_of
from intake.flow.moving.loss_values import LossValue, loss_values
from intake.flow.moving.losses import AtRisk, Loss, list_losses, value_at_risk, with_rates
from intake.flow.moving.masses import of_collection
from intake.flow.moving.reconcile import Reconciled, reconcile
from intake.flow.values.exchange_rates import currency_code
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, BoxState, Consignment, MassSource
from intake.model.carriage import Counted, LiabilityTerms
from intake.model.editions import Copy, CopyState, Edition
from intake.valuing.insurance import AverageResult
from intake.weighing.plausible import contradicts


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
class DoubtedMass:
    """A copy whose stated mass cannot be right, with the mass that was counted instead."""

    copy: str
    stated_g: float
    counted_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """What could be owed, and the periods of notice.

    Attributes:
        terms: with the rate that was used.
        periods: of each day of delivery, the earliest first; none where nothing was delivered.
        overdue: what runs without a delivery, of `never_came`: boxes that did not arrive and count as lost, or all of
            them where none arrived.
        undated: boxes that arrived on a day that nobody recorded.
        valued: the values that make the losses.
        owed: None where nothing is missing or damaged.
        as_one: the same if the transport document names one package only; None where that is known.
        set_volumes: losses that are volumes of a set.
        falls: what the loss took from sets that have a value of their own.
        unweighed, on_arrival: boxes that nobody weighed, and those that were weighed on arrival only.
        half_unpacked: boxes that were begun and not finished, with how many of their copies were not taken out yet.
        doubted: copies whose stated mass contradicts their size and was not used, in the boxes that count.
        estimated: copies of which the catalog states no mass, in the weighed boxes of which a part counts, in grams.
        average: what a policy with average pays of the loss; None where no sum insured was given, nothing is valued, or
            more was lost by the volumes' own values than was at risk.
        average_by_sets: the same where it pays what lost volumes took from their sets.
        rates: the exchange rates by which values were converted, in words.
    """

    consignment: Consignment
    request: ClaimRequest
    terms: LiabilityTerms
    reconciled: Reconciled
    periods: tuple[tuple[Delivery, tuple[Period, ...]], ...]
    overdue: tuple[OverduePeriod, ...]
    never_came: tuple[str, ...]
    undated: tuple[str, ...]
    losses: tuple[Loss, ...]
    valued: tuple[LossValue, ...]
    owed: Liability | None
    as_one: Liability | None
    at_risk: AtRisk
    set_volumes: tuple[str, ...]
    falls: tuple[SetFall, ...]
    unweighed: tuple[str, ...]
    on_arrival: tuple[str, ...]
    half_unpacked: tuple[tuple[str, int], ...]
    doubted: tuple[DoubtedMass, ...]
    estimated: Mapping[str, float]
    average: AverageResult | None
    average_by_sets: AverageResult | None
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
    reconciled = reconcile(records, reference, delivered=request.delivered)
    deliveries, undated = deliveries_of(boxes, given=request.delivered)
    if not deliveries and (undated or not reconciled.awaited):
        why = "has no day of delivery" if undated else "has no boxes"
        remedy = "give the day of delivery, as 2026-05-04" if undated else "name the boxes that travelled with it"
        raise RefusedError(f"Consignment {reference}", why, remedy)
    rates_on = request.rates_on or today
    stated = {"given": request.delivered, "rates_on": rates_on, "rate_on": terms.rate_on}
    check_days(consignment, deliveries, today=today, **stated)
    contents = _contents(records, reference, reconciled)
    travelled_in = {copy.accession: copy.box for copy, _ in contents}
    travelled_in |= {line.number: line.box for line in reconciled.lines}
    of_copies = loss_values(records, travelled_in, deliveries, undated)
    recorded = {copy: one.value for copy, one in of_copies.items()}
    values = with_rates(records, recorded, currency=terms.currency, unit=terms.regime.unit, on=rates_on)
    terms = with_rate(terms, values)
    awaited = tuple(box.number for box in reconciled.awaited)
    losses = list_losses(reconciled.lines, contents, values, awaited=awaited if request.awaited_lost else ())
    never_came = awaited if request.awaited_lost or not deliveries else ()
    masses = _copy_masses(records, contents)
    carried = _box_masses(boxes, contents, masses)
    owed, as_one = _liabilities(records, losses, contents, carried, masses, terms)
    at_risk = value_at_risk(records, before_loss(contents), values)
    falls = falls_of_sets(records, contents, losses, values)
    average, by_sets = averages(owed, request.insured, at_risk, falls, losses, values)
    return Claim(
        consignment=consignment,
        request=request,
        terms=terms,
        reconciled=reconciled,
        periods=tuple(
            (delivery, notice_periods(terms.regime, delivery.day, today, terms.holidays)) for delivery in deliveries
        ),
        overdue=overdue_periods(terms.regime, terms.dispatched) if never_came else (),
        never_came=never_came,
        undated=undated,
        losses=losses,
        valued=tuple(of_copies[loss.copy] for loss in losses if loss.copy in of_copies),
        owed=owed,
        as_one=as_one,
        at_risk=at_risk,
        set_volumes=set_volumes(contents, losses),
        falls=falls,
        unweighed=_from(carried, MassSource.LIST),
        on_arrival=_from(carried, MassSource.ARRIVAL),
        half_unpacked=_half_unpacked(records, reconciled),
        doubted=_doubted(owed, contents, masses),
        estimated=_estimated(owed, contents, masses),
        average=average,
        average_by_sets=by_sets,
        rates=values.rates_used(one.part.value.currency for one in at_risk.sets),
    )


def _contents(records: LibraryReader, reference: str, reconciled: Reconciled) -> list[CopyPair]:
    """Return all copies that travelled, also those reported that were packed into another box since."""
    contents = consignment_contents(records, reference)
    here = {copy.accession for copy, _ in contents}
    moved = records.get_many(Copy, [line.number for line in reconciled.lines if line.number not in here])
    editions = records.get_many(Edition, {copy.edition_id for copy in moved.values()})
    return [*contents, *((copy, editions[copy.edition_id]) for copy in moved.values())]


def _checked(records: LibraryReader, reference: str, request: ClaimRequest) -> tuple[LiabilityTerms, Consignment]:
    """Return the terms with the day of dispatch, and the consignment, once all that is stated can be."""
    terms = replace(request.terms, currency=currency_code(request.terms.currency))
    sums = (
        ("declared", "The value declared", terms.declared),
        ("charges", "The charges", terms.charges),
        ("insured", "The sum insured", request.insured),
        ("per_kg", "The amount per kilogram", terms.per_kg),
    )
    for field, name, amount in sums:
        if amount is not None and not (amount.is_finite() and amount >= 0):
            raise UsageError(f"{name} of {amount}", "is not an amount from 0 on", "correct it", field=field)
    consignment = find_consignment(records, reference)
    check_scope(terms)
    return replace(terms, dispatched=consignment.dispatched), consignment


def _liabilities(
    records: LibraryReader,
    losses: Sequence[Loss],
    contents: Sequence[CopyPair],
    carried: Mapping[str, BoxMass],
    masses: Mapping[str, float],
    terms: LiabilityTerms,
) -> tuple[Liability | None, Liability | None]:
    """Return what could be owed, and what if the document names one package, where it does not say how many."""
    if not losses:
        return None, None
    lost = [LostCopy(copy=loss.copy, box=loss.box, mass_g=masses[loss.copy], value=loss.amount) for loss in losses]
    beside: tuple[str, ...] = ()
    if terms.regime.counts is Counted.PACKAGES:
        beside = boxes_of_incomplete_sets(records, contents, losses)

    def compute(packages: int | None) -> Liability:
        return compute_liability(
            lost,
            carried,
            replace(terms, packages=packages),
            shipment_mass=sum((shown_mass(mass.mass_g, terms.regime) for mass in carried.values()), Decimal(0)),
            shipment_boxes=len(carried),
            beside=beside,
        )

    asked = terms.regime.counts_packages() and terms.packages is None and len(carried) > 1
    return compute(terms.packages), compute(1) if asked else None


def _copy_masses(records: LibraryReader, contents: Iterable[CopyPair]) -> dict[str, float]:
    """Return the mass of each copy in grams."""
    learned = of_collection(records)
    return {copy.accession: learned.of(edition).mass_g.mean for copy, edition in contents}


def _box_masses(boxes: Sequence[Box], contents: Sequence[CopyPair], masses: Mapping[str, float]) -> dict[str, BoxMass]:
    listed: dict[str, float] = defaultdict(float)
    for copy, _ in contents:
        listed[copy.box or ""] += masses[copy.accession]
    carried = {box.number: carried_mass(box, listed[box.number]) for box in boxes}
    return {
        number: BoxMass(mass_g=mass.mass_g, source=mass.source, listed_g=listed[number])
        for number, mass in carried.items()
    }


def _from(carried: Mapping[str, BoxMass], source: MassSource) -> tuple[str, ...]:
    return tuple(number for number, mass in carried.items() if mass.source is source)


def _half_unpacked(records: LibraryReader, reconciled: Reconciled) -> tuple[tuple[str, int], ...]:
    """Return the boxes that were begun and not finished, each with how many copies of its list are still packed."""
    begun = [box.number for box in reconciled.unpacked if box.state is not BoxState.UNPACKED]
    counts = counts_per_box(records) if begun else {}
    return tuple((number, counts[number].listed.get(CopyState.PACKED, 0)) for number in begun if number in counts)


def _doubted(
    owed: Liability | None, contents: Iterable[CopyPair], masses: Mapping[str, float]
) -> tuple[DoubtedMass, ...]:
    """Return the copies whose stated mass was not used, of the boxes that count."""
    if owed is None:
        return ()
    concerned = {box.box for box in owed.counted}
    whole = owed.terms.regime.counts is Counted.SHIPMENT
    return tuple(
        DoubtedMass(copy=copy.accession, stated_g=edition.mass_g, counted_g=masses[copy.accession])
        for copy, edition in contents
        if (whole or copy.box in concerned) and edition.mass_g and contradicts(edition)
    )


def _estimated(owed: Liability | None, contents: Iterable[CopyPair], masses: Mapping[str, float]) -> dict[str, float]:
    """Return the copies of unknown mass on which it depends how much of a box that was weighed counts."""
    if owed is None or owed.terms.regime.counts is not Counted.SHARE:
        return {}
    concerned = {box.box for box in owed.counted if box.mass.source is not MassSource.LIST}
    return {
        copy.accession: masses[copy.accession]
        for copy, edition in contents
        if copy.box in concerned and not edition.mass_g
    }

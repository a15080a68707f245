"""A claim in words: the sums, periods and limits of the sender's own sheet."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from intake.carriage.counted_mass import BoxMass, mass_unit
from intake.carriage.liability import LimitLine
from intake.carriage.periods import Period, moved_day
from intake.flow.moving.claim_notes import counts_mass, notes_of
from intake.flow.moving.claims import Claim
from intake.flow.moving.deliveries import Delivery
from intake.flow.moving.losses import Loss
from intake.model.boxes import MassSource
from intake.model.carriage import Counted, Counting, LiabilityTerms, Per, PeriodRule
from intake.model.currencies import amount_text, figures_text
from intake.model.moving_papers import LimitsPaper, PeriodRow
from intake.units.convert import kg_text
from intake.units.counts import counted

UNIT_NAMES = {"XDR": "SDR"}
"""Units by the name that a convention calls them."""

PERIOD_HEADS = ("For", "Last day", "Counted", "If it is late", "Source")
LOSS_HEADS = ("Loss", "Basis", "Copies", "As recorded", "In these sums")
LIMIT_HEADS = ("Box", "Calculation", "Limit")
COUNTED_HEADS = ("Box", "What of it", "Mass counted")
"""Over the columns of the sheet where it is shown: its periods, losses, limits, and the masses that count."""

NOTHING_CAME = "Nothing of this consignment has been delivered."


def limits_paper(claim: Claim, *, today: date) -> LimitsPaper:
    """Return what the sender's own sheet says: periods, loss, limits, what was counted and what was left out."""
    return LimitsPaper(
        reference=claim.consignment.reference,
        on=today,
        carrier=claim.consignment.carrier,
        regime=claim.terms.regime.title,
        facts=tuple(claim_sums(claim)),
        deliveries=tuple(_delivery_words(delivery) for delivery, _ in claim.periods) or (NOTHING_CAME,),
        periods=(*period_rows(claim, today), *_overdue_rows(claim, today)),
        losses=tuple(_loss_rows(claim)),
        limits=tuple(_limit_row(line, claim) for line in claim.owed.lines) if claim.owed else (),
        counted=tuple(_counted_rows(claim)),
        notes=tuple((heading, tuple(lines)) for heading, lines in notes_of(claim) if lines),
    )


def claim_sums(claim: Claim) -> Sequence[tuple[str, str]]:
    """Return the sums of a claim as (name, text); an empty text is not printed."""
    owed, currency = claim.owed, claim.terms.currency
    if owed is None:
        if claim.never_came and claim.request.awaited_lost:
            return (("Loss", "no copy is missing or damaged, and the boxes that count as lost list none"),)
        if not claim.periods:
            return (("Loss", "no box has arrived; count them as lost to see what the carrier could owe"),)
        return (("Loss", "nothing is missing or damaged in what was unpacked"),)
    as_one = ""
    if claim.as_one is not None and claim.as_one.limit != owed.limit:
        as_one = f"{amount_text(claim.as_one.most, currency)}, limit {amount_text(claim.as_one.limit, currency)}"
    each = " (if the bill lists every box)" if claim.as_one is not None else ""
    charges = amount_text(owed.charges, currency) if owed.charges else ""
    return (
        ("Loss, as far as valued", amount_text(owed.loss, currency)),
        ("In none of these sums", "; ".join(_not_in_sums(claim.losses))),
        (f"The carrier would owe at most{each}", amount_text(owed.most, currency)),
        (f"Limit{each}", amount_text(owed.limit, currency)),
        ("It would owe at most, if the bill names one container or pallet only", as_one),
        ("Refunded of the charges besides", charges),
        ("Loss not covered by it", amount_text(owed.gap, currency)),
        ("Rate of the limit", _rate_words(claim)),
        ("Rates of values", "; ".join(claim.rates)),
    )


def period_rows(claim: Claim, today: date) -> Iterator[PeriodRow]:
    """Yield (for what, last day and what is left of it, how it is counted, what lateness costs, article).

    Where the boxes came on several days, the last day is a line for each of them.
    """
    if not claim.periods:
        return
    several = len(claim.periods) > 1
    for nth, rule in enumerate(claim.terms.regime.periods):
        lasts = [
            _left_words(periods[nth], today)
            + (f" (delivered {delivery.day.isoformat()})" if several else "")
            + _moved_words(periods[nth], claim.terms)
            for delivery, periods in claim.periods
        ]
        if rule.length is None:
            lasts = ["not known"]
        words = _rule_words(rule, holidays=bool(claim.terms.holidays))
        yield rule.occasion.value, "\n".join(lasts), words, rule.late.value, rule.source


def _overdue_rows(claim: Claim, today: date) -> Iterator[PeriodRow]:
    """Yield, for boxes that never came, from when they may be treated as lost and what runs without a delivery."""
    boxes = ", ".join(claim.never_came)
    for period in claim.overdue:
        rule, start = period.rule, period.start
        if rule is None:
            last = "not known" if period.last is None else _passed_words(period.last, today)
            yield f"may be treated as lost: {boxes}", last, start.words, "the carrier may still deliver", start.source
            continue
        length = _rule_words(replace(rule, note=""), holidays=False)
        counted_from = "; ".join(filter(None, (length.removesuffix(" from delivery"), start.words)))
        last = _left_words(Period(rule, period.last), today)
        if period.last is not None:
            last += " (if no time was agreed)"
        yield f"{rule.occasion.value}, never delivered: {boxes}", last, counted_from, rule.late.value, start.source


def _passed_words(day: date, today: date) -> str:
    state = "passed" if today > day else "not yet"
    return f"after {day}: {state} (if no time was agreed)"


def _left_words(period: Period, today: date) -> str:
    left = period.left(today)
    if period.last is None or left is None:
        return "not known"
    if left < 0:
        return f"{period.last}: over"
    if left == 0:
        return f"{period.last}: today"
    return f"{period.last}: {counted(left, 'day')} left"


def _moved_words(period: Period, terms: LiabilityTerms) -> str:
    """Write to which day a last day that is no working day arguably moves; empty where it does not."""
    law, last = terms.regime.last_day_law, period.last
    moved = last if last is None else moved_day(last, terms.holidays)
    return "" if not law or moved == last else f"; no working day, so arguably until {moved} ({law})"


def _rule_words(rule: PeriodRule, *, holidays: bool) -> str:
    """Write how a period is counted, and which holidays were left out."""
    if rule.length is None:
        return rule.note
    if rule.length == 0:
        length = "at the delivery"
    elif rule.counting is Counting.MONTHS:
        length = f"{counted(rule.length, 'month')} from delivery"
    else:
        length = f"{counted(rule.length, 'day')} from delivery"
    if rule.counting is Counting.WORKING_DAYS:
        left_out = "the holidays you named" if holidays else "public holidays: no list of holidays was used"
        length += f", not counting Sundays and {left_out}"
    return "; ".join(filter(None, (length, rule.note)))


def _delivery_words(delivery: Delivery) -> str:
    stated = f"; of {', '.join(delivery.stated)} the day is the one you stated" if delivery.stated else ""
    return f"Delivered on {delivery.day.isoformat()}: {', '.join(delivery.boxes)}{stated}"


def _loss_rows(claim: Claim) -> Iterator[tuple[str, str, str, str, str]]:
    """Yield a row for each kind of loss, basis and currency, so that no two bases are in one sum unseen."""
    groups: dict[tuple[str, str, str], list[Loss]] = {}
    for loss in claim.losses:
        groups.setdefault((loss.what, loss.basis.value if loss.basis else "", loss.currency), []).append(loss)
    for (what, basis, currency), losses in sorted(groups.items()):
        names = f"{counted(len(losses), 'copy', 'copies')}: {', '.join(loss.copy for loss in losses)}"
        if not currency:
            yield what, "no value recorded", names, "", "in no sum"
            continue
        recorded = sum((loss.recorded or Decimal(0) for loss in losses), Decimal(0))
        amounts = [loss.amount for loss in losses if loss.amount is not None]
        converted = f"in no sum: {losses[0].why}"
        if amounts:
            converted = amount_text(sum(amounts, Decimal(0)), claim.terms.currency)
        yield what, basis, names, amount_text(recorded, currency), converted


def _not_in_sums(losses: Sequence[Loss]) -> Iterator[str]:
    unvalued = [loss for loss in losses if loss.recorded is None]
    if unvalued:
        yield f"{counted(len(unvalued), 'copy', 'copies')} without a value"
    amounts: dict[tuple[str, str], list[Decimal]] = {}
    for loss in losses:
        if loss.recorded is not None and loss.amount is None:
            amounts.setdefault((loss.currency, loss.why), []).append(loss.recorded)
    for (currency, why), recorded in sorted(amounts.items()):
        copies = counted(len(recorded), "copy", "copies")
        yield f"{copies} worth {amount_text(sum(recorded, Decimal(0)), currency)}: {why}"


def _rate_words(claim: Claim) -> str:
    terms = claim.terms
    if terms.rate is None or terms.regime.unit in ("", terms.currency):
        return ""
    shown = f"1 {_unit(terms.regime.unit)} = {terms.rate:f} {terms.currency}"
    if terms.rate_recorded:
        return f"{shown}, from the rates on record: {terms.rate_source}"
    parts = (shown, f"on {terms.rate_on}" if terms.rate_on else "of no stated day", terms.rate_source)
    return ", ".join(filter(None, parts))


def _limit_row(line: LimitLine, claim: Claim) -> tuple[str, str, str]:
    currency = claim.terms.currency
    unit = claim.terms.regime.unit or currency
    if line.figure is None:
        words = f"declared value, {claim.terms.regime.declaration}"
    else:
        words = _product(line.figure.amount, unit, line.quantity, line.figure.per)
        words += f" = {figures_text(line.in_unit, unit)} {_unit(unit)}"
        for figure, quantity in line.lower:
            words += f"; {_product(figure.amount, unit, quantity, figure.per)} is less"
    words += f"; loss {amount_text(line.loss, currency)}"
    return line.box or "all", words, amount_text(line.amount, currency)


def _product(amount: Decimal, unit: str, quantity: Decimal, per: Per) -> str:
    plural = "s" if per is Per.PACKAGE and quantity != 1 else ""
    return f"{amount} {_unit(unit)} × {quantity:f} {per.value}{plural}"


def _counted_rows(claim: Claim) -> Iterator[tuple[str, str, str]]:
    """Yield what was counted, where a mass counts at all."""
    owed, regime = claim.owed, claim.terms.regime
    if owed is None or not (counts_mass(claim.terms) or owed.charges):
        return
    unit = mass_unit(regime).value
    if regime.counts is Counted.SHIPMENT:
        yield "all", "all boxes of the consignment, each as it was carried", f"{owed.shipment_mass} {unit}"
        return
    for box in owed.counted:
        words = f"missing or damaged copies of {kg_text(box.lost_g)}"
        if box.beside:
            words = "nothing of it is missing, but other volumes of a set that is incomplete now"
        yield box.box, f"{words}; {_carried_words(box.mass)}", f"{box.quantity} {unit}"


def _carried_words(mass: BoxMass) -> str:
    """Write what the whole box weighed, and how that is known."""
    if mass.source is MassSource.LIST:
        return f"the box was never weighed, the copies of its list make {kg_text(mass.mass_g)} without packing"
    return (
        f"the box was {mass.source.value}: {kg_text(mass.mass_g)}, the copies of its list make {kg_text(mass.listed_g)}"
    )


def _unit(unit: str) -> str:
    return UNIT_NAMES.get(unit, unit)

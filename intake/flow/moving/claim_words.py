"""A claim in words: the sums, periods and limits of the sender's own sheet."""

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal

from intake.carriage.counted_mass import BoxMass, mass_unit
from intake.carriage.liability import LimitLine
from intake.flow.moving.claim_notes import counts_mass, notes_of
from intake.flow.moving.claim_periods import delivered_words, overdue_rows, period_rows
from intake.flow.moving.claims import Claim
from intake.flow.moving.losses import Loss
from intake.model.boxes import MassSource
from intake.model.carriage import Counted, Per
from intake.model.currencies import amount_text, figures_text
from intake.model.moving_papers import LimitsPaper
from intake.units.convert import kg_text
from intake.units.counts import counted, noun
from intake.units.language import say, say_as, term
from intake.units.local_forms import day_text, exact_figures

UNIT_NAMES = {"XDR": term("SDR")}
"""Units by the name that a convention calls them."""

PERIOD_HEADS = ("For", "Last day", "Counted", "If it is late", "Source")
LOSS_HEADS = ("Loss", "Basis", "Copies", "As recorded", "In these sums")
LIMIT_HEADS = ("Box", "Calculation", "Limit")
COUNTED_HEADS = ("Box", "What of it", "Mass counted")
"""Over the columns of the sheet where it is shown: its periods, losses, limits, and the masses that count."""

NOTHING_CAME = term("Nothing of this consignment has been delivered.")


def limits_paper(claim: Claim, *, today: date) -> LimitsPaper:
    """Return what the sender's own sheet says: periods, loss, limits, what was counted and what was left out."""
    return LimitsPaper(
        reference=claim.consignment.reference,
        on=today,
        carrier=claim.consignment.carrier,
        regime=say(claim.terms.regime.title),
        facts=tuple(claim_sums(claim)),
        deliveries=tuple(delivered_words(delivery) for delivery, _ in claim.periods) or (say(NOTHING_CAME),),
        periods=(*period_rows(claim, today), *overdue_rows(claim, today)),
        losses=tuple(_loss_rows(claim)),
        limits=tuple(_limit_row(line, claim) for line in claim.owed.lines) if claim.owed else (),
        counted=tuple(_counted_rows(claim)),
        notes=tuple((heading, tuple(lines)) for heading, lines in notes_of(claim) if lines),
    )


def claim_sums(claim: Claim) -> Sequence[tuple[str, str]]:
    """Return the sums of a claim as (name, text); an empty text is not printed."""
    owed, currency = claim.owed, claim.terms.currency
    if owed is None:
        return ((say("Loss"), _no_loss(claim)),)
    as_one, most, limit = "", say("The carrier would owe at most"), say("Limit")
    if claim.as_one is not None:
        most = say("The carrier would owe at most (if the bill lists every box)")
        limit = say("Limit (if the bill lists every box)")
        if claim.as_one.limit != owed.limit:
            as_one = say(
                "{most}, limit {limit}",
                most=amount_text(claim.as_one.most, currency),
                limit=amount_text(claim.as_one.limit, currency),
            )
    return (
        (say("Loss, as far as valued"), amount_text(owed.loss, currency)),
        (say("In none of these sums"), "; ".join(_not_in_sums(claim.losses))),
        (most, amount_text(owed.most, currency)),
        (limit, amount_text(owed.limit, currency)),
        (say("It would owe at most, if the bill names one container or pallet only"), as_one),
        (say("Refunded of the charges besides"), amount_text(owed.charges, currency) if owed.charges else ""),
        (say("Loss not covered by it"), amount_text(owed.gap, currency)),
        (say("Rate of the limit"), _rate_words(claim)),
        (say("Rates of values"), "; ".join(claim.rates)),
    )


def _no_loss(claim: Claim) -> str:
    if claim.never_came and claim.request.awaited_lost:
        return say("no copy is missing or damaged, and the boxes that count as lost list none")
    if not claim.periods:
        return say("no box has arrived; count them as lost to see what the carrier could owe")
    return say("nothing is missing or damaged in what was unpacked")


def _loss_rows(claim: Claim) -> Iterator[tuple[str, str, str, str, str]]:
    """Yield a row for each kind of loss, basis and currency, so that no two bases are in one sum unseen."""
    groups: dict[tuple[str, str, str], list[Loss]] = {}
    for loss in claim.losses:
        groups.setdefault((loss.what, loss.basis.value if loss.basis else "", loss.currency), []).append(loss)
    for (what, basis, currency), losses in sorted(groups.items()):
        named = (f"{loss.copy} ({day_text(loss.valued_on)})" if loss.valued_on else loss.copy for loss in losses)
        names = f"{counted(len(losses), 'copy', 'copies')}: {', '.join(named)}"
        if not currency:
            yield say(what), say("no value recorded"), names, "", say("in no sum")
            continue
        recorded = sum((loss.recorded or Decimal(0) for loss in losses), Decimal(0))
        amounts = [loss.amount for loss in losses if loss.amount is not None]
        converted = say("in no sum: {why}", why=losses[0].why)
        if amounts:
            converted = amount_text(sum(amounts, Decimal(0)), claim.terms.currency)
        yield say(what), say(basis), names, amount_text(recorded, currency), converted


def _not_in_sums(losses: Sequence[Loss]) -> Iterator[str]:
    unvalued = [loss for loss in losses if loss.recorded is None]
    if unvalued:
        yield say("{copies} without a value", copies=counted(len(unvalued), "copy", "copies"))
    amounts: dict[tuple[str, str], list[Decimal]] = {}
    for loss in losses:
        if loss.recorded is not None and loss.amount is None:
            amounts.setdefault((loss.currency, loss.why), []).append(loss.recorded)
    for (currency, why), recorded in sorted(amounts.items()):
        copies = counted(len(recorded), "copy", "copies")
        worth = amount_text(sum(recorded, Decimal(0)), currency)
        yield say("{copies} worth {worth}: {why}", copies=copies, worth=worth, why=why)


def _rate_words(claim: Claim) -> str:
    terms = claim.terms
    if terms.rate is None or terms.regime.unit in ("", terms.currency):
        return ""
    shown = f"1 {_unit(terms.regime.unit)} = {exact_figures(terms.rate)} {terms.currency}"
    if terms.rate_recorded:
        return say("{rate}, from the rates on record: {source}", rate=shown, source=terms.rate_source)
    day = say("on {day}", day=day_text(terms.rate_on)) if terms.rate_on else say("of no stated day")
    return ", ".join(filter(None, (shown, day, terms.rate_source)))


def _limit_row(line: LimitLine, claim: Claim) -> tuple[str, str, str]:
    currency = claim.terms.currency
    unit = claim.terms.regime.unit or currency
    if line.figure is None:
        words = say("declared value, {rule}", rule=say(claim.terms.regime.declaration))
    else:
        words = _product(line.figure.amount, unit, line.quantity, line.figure.per)
        words += f" = {figures_text(line.in_unit, unit)} {_unit(unit)}"
        for figure, quantity in line.lower:
            words += "; " + say("{product} is less", product=_product(figure.amount, unit, quantity, figure.per))
    words += "; " + say("loss {amount}", amount=amount_text(line.loss, currency))
    return line.box or _all(), words, amount_text(line.amount, currency)


def _product(amount: Decimal, unit: str, quantity: Decimal, per: Per) -> str:
    of = noun(int(quantity), "package", "packages") if per is Per.PACKAGE else per.value
    return f"{exact_figures(amount)} {_unit(unit)} × {exact_figures(quantity)} {of}"


def _counted_rows(claim: Claim) -> Iterator[tuple[str, str, str]]:
    """Yield what was counted, where a mass counts at all."""
    owed, regime = claim.owed, claim.terms.regime
    if owed is None or not (counts_mass(claim.terms) or owed.charges):
        return
    unit = mass_unit(regime).value
    if regime.counts is Counted.SHIPMENT:
        what = say("all boxes of the consignment, each as it was carried")
        yield _all(), what, f"{exact_figures(owed.shipment_mass)} {unit}"
        return
    for box in owed.counted:
        words = say("missing or damaged copies of {mass}", mass=kg_text(box.lost_g))
        if box.beside:
            words = say("nothing of it is missing, but other volumes of a set that is incomplete now")
        yield box.box, f"{words}; {_carried_words(box.mass)}", f"{exact_figures(box.quantity)} {unit}"


def _carried_words(mass: BoxMass) -> str:
    """Write what the whole box weighed, and how that is known."""
    if mass.source is MassSource.LIST:
        never = term("the box was never weighed, the copies of its list make {mass} without packing")
        return say(never, mass=kg_text(mass.mass_g))
    return say(
        "the box was {weighed}: {mass}, the copies of its list make {listed}",
        weighed=say(mass.source.value),
        mass=kg_text(mass.mass_g),
        listed=kg_text(mass.listed_g),
    )


def _unit(unit: str) -> str:
    return say(UNIT_NAMES[unit]) if unit in UNIT_NAMES else unit


def _all() -> str:
    return say_as("boxes of a consignment", "all")

"""What a claim leaves out, in words: rules, what was stated and is not used, values, boxes."""

from collections.abc import Iterator

from intake.flow.moving.claims import Claim
from intake.model.carriage import Counting, LiabilityTerms, Per
from intake.model.currencies import amount_text
from intake.units.counts import counted
from intake.units.language import say, say_of
from intake.units.local_forms import day_text, exact_figures


def left_out_notes(claim: Claim) -> Iterator[str]:
    """Yield a sentence for each thing that is in no sum and no period."""
    yield from _rules_left_out(claim.terms)
    yield from _values_left_out(claim)
    yield from _boxes_left_out(claim)


def _rules_left_out(terms: LiabilityTerms) -> Iterator[str]:
    for text in map(say, terms.regime.left_out):
        yield f"{text[0].upper()}{text[1:]}."
    if terms.charges is not None and not terms.regime.charges:
        charges = amount_text(terms.charges, terms.currency)
        yield say(
            "The charges of {charges}: the articles of these rules in this tool refund none besides the limit.",
            charges=charges,
        )
    if terms.declared is not None and not terms.regime.declaration:
        declared = amount_text(terms.declared, terms.currency)
        yield say(
            "The declared value of {declared}: these rules, as far as they are in this tool, know no declaration.",
            declared=declared,
        )
    if terms.regime.last_day_law:
        known = say("the public holidays that you named") if terms.holidays else say("public holidays (you named none)")
        yield say(
            "Last days are not moved here. One that is a Saturday, a Sunday or one of {holidays} may move to the next "
            "working day ({law}); whether it does for these notices is arguable, so keep to the earlier day, and where "
            "that is over, write at once and ask a lawyer.",
            holidays=known,
            law=say(terms.regime.last_day_law),
        )
    unused = list(_unused(terms))
    if unused:
        yield say("Stated, but these rules do not use it: {unused}.", unused=", ".join(unused))


def _unused(terms: LiabilityTerms) -> Iterator[str]:
    """Yield what the person stated that the limit and the periods of these rules do not depend on."""
    regime = terms.regime
    if terms.volume_m3 is not None and all(figure.per is not Per.CUBIC_METRE for figure in regime.figures):
        yield say("{volume} m³ of loading space", volume=exact_figures(terms.volume_m3))
    if terms.packages is not None and not regime.counts_packages():
        yield counted(terms.packages, "package", "packages")
    if terms.per_kg is not None and regime.figures:
        yield say("{amount} per kilogram", amount=amount_text(terms.per_kg, terms.currency))
    in_days = any(rule.counting is Counting.WORKING_DAYS for rule in regime.periods)
    if terms.holidays and not in_days and not regime.last_day_law:
        yield counted(len(terms.holidays), "public holiday", "public holidays")
    if terms.rate is not None and regime.unit in ("", terms.currency):
        yield say("the rate of {rate}", rate=exact_figures(terms.rate))


def _values_left_out(claim: Claim) -> Iterator[str]:
    unvalued = [loss.copy for loss in claim.losses if loss.recorded is None]
    if unvalued:
        yield say("In no sum, as no value is recorded: {copies}.", copies=", ".join(unvalued))
    unconverted = [loss for loss in claim.losses if loss.why]
    if unconverted:
        copies = ", ".join(loss.copy for loss in unconverted)
        yield say("In no sum, as a rate is missing: {copies}. Record the rate.", copies=copies)


def _boxes_left_out(claim: Claim) -> Iterator[str]:
    reconciled = claim.reconciled
    found = [f"{line.number} ({line.since})" for line in reconciled.found_since]
    if found:
        yield say("Found since they were reported missing, and not claimed: {copies}.", copies=", ".join(found))
    if claim.undated:
        boxes = ", ".join(claim.undated)
        yield say("The periods of what was delivered on a day that nobody recorded: {boxes}.", boxes=boxes)
    given = claim.request.delivered
    if given is not None and not any(delivery.stated for delivery, _ in claim.periods):
        yield say(
            "The day of delivery that you stated, {day}: no box arrived without a day of its own.", day=day_text(given)
        )
    yield from _awaited_notes(claim)
    if claim.half_unpacked:
        each = ", ".join(
            say_of(left, "{box} ({count} copy not taken out)", "{box} ({count} copies not taken out)", box=box)
            for box, left in claim.half_unpacked
        )
        yield say("Not unpacked to the end, so that more may be missing or damaged: {boxes}.", boxes=each)
    if reconciled.still_closed:
        numbers = ", ".join(box.number for box in reconciled.still_closed)
        yield say("Not opened, so that more may be missing or damaged: {boxes}.", boxes=numbers)
    if reconciled.undecided:
        yield reconciled.undecided


def _awaited_notes(claim: Claim) -> Iterator[str]:
    """Yield what is known of boxes that did not arrive."""
    if not claim.reconciled.awaited:
        return
    numbers = ", ".join(box.number for box in claim.reconciled.awaited)
    overdue = claim.terms.regime.overdue
    when = say("The contract or the law says when goods may be treated as lost.")
    if overdue is not None:
        when = say(
            "What has not arrived may be treated as lost {when} ({source}).",
            when=say(overdue.words),
            source=say(overdue.source),
        )
    if claim.request.awaited_lost:
        yield say("Not arrived, and counted as lost here: {boxes}. {when}", boxes=numbers, when=when)
    else:
        yield say("Not arrived, and in no sum: {boxes}. {when}", boxes=numbers, when=when)
    if claim.never_came:
        yield say(
            "Periods of notice count from a delivery, so none is shown for boxes that were never delivered; write to "
            "the carrier now all the same, and ask for a written answer."
        )

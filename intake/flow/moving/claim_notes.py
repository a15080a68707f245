"""What a claim rests on, in words: the rules and what has to be so, what was counted, what was left out, insurance."""

from collections.abc import Iterator
from decimal import Decimal

from intake.carriage.liability import Liability
from intake.documents import disclaimers
from intake.flow.moving.claim_insurance import insurance_notes
from intake.flow.moving.claim_left_out import left_out_notes
from intake.flow.moving.claimed_sets import SetFall
from intake.flow.moving.claims import Claim
from intake.flow.moving.loss_values import doubt_words, newer_words
from intake.flow.moving.losses import DAMAGED
from intake.flow.values.exchange_rates import how_old
from intake.model.carriage import Counted, Goods, LiabilityTerms, Packer, Per
from intake.model.currencies import amount_text, figures_text
from intake.units.convert import kg_text
from intake.units.counts import counted, some_of
from intake.units.language import say, say_of
from intake.units.local_forms import day_text, exact_figures

NAMED = 5
"""Copies of estimated mass that are named; further ones are counted."""


def counts_mass(terms: LiabilityTerms) -> bool:
    """Return whether the limit depends on a mass."""
    figures = terms.regime.figures
    return not figures or any(figure.per in (Per.KILOGRAM, Per.POUND) for figure in figures)


def notes_of(claim: Claim) -> Iterator[tuple[str, list[str]]]:
    """Yield the paragraphs under each heading; a heading may have none."""
    yield say("What these rules are, and what has to be so"), list(_scope_notes(claim))
    yield say("What was counted"), list(_counting_notes(claim))
    yield say("What was left out"), list(left_out_notes(claim))
    yield say("Insurance"), list(insurance_notes(claim))


def _scope_notes(claim: Claim) -> Iterator[str]:
    terms, regime = claim.terms, claim.terms.regime
    yield say(
        "{source}. You named these rules; whether they apply is for the contract and the law to say.",
        source=say(regime.limit_source),
    )
    for condition in regime.requires:
        yield say("They apply only if {condition}.", condition=say(condition))
    if terms.goods is Goods.HOUSEHOLD:
        yield say("You stated that it is a household that moved.")
    elif terms.goods is Goods.FREIGHT:
        yield say("You stated that it is boxes sent as freight.")
    if regime.owner_packed and terms.packed_by is Packer.OWNER:
        yield say("You packed the boxes: {rule}.", rule=say(regime.owner_packed))
    elif regime.owner_packed and terms.packed_by is None:
        yield say("If you packed the boxes yourself: {rule}.", rule=say(regime.owner_packed))
    yield say(disclaimers.NOT_LEGAL_ADVICE)


def _counting_notes(claim: Claim) -> Iterator[str]:
    owed = claim.owed
    if owed is None:
        return
    yield from _mass_notes(claim, owed)
    yield from _value_notes(claim)
    yield from _package_notes(claim, owed)
    yield from _amount_notes(claim, owed)


def _mass_notes(claim: Claim, owed: Liability) -> Iterator[str]:
    regime = claim.terms.regime
    counts_share = regime.counts is Counted.SHARE
    if counts_share and not counts_mass(claim.terms):
        yield say("The limit counts packages, whatever they weigh.")
    else:
        yield say("The limit counts the {mass}.", mass=say(regime.counts.value))
    if counts_share and (counts_mass(claim.terms) or owed.charges):
        yield say(
            "Of a box that is concerned in part, that is the part of its gross mass that those copies take up on its "
            "list."
        )
    if counts_mass(claim.terms) or owed.charges:
        yield from _carried_notes(claim, owed)
        yield from _doubted_notes(claim)
        yield from _estimated_notes(claim)
    if regime.counts is Counted.PACKAGES:
        if any(box.beside for box in owed.counted):
            yield say(
                "Boxes with other volumes of an incomplete set are counted, as their value is affected (Montreal "
                "Convention 1999, article 22(4)); the carrier may dispute it."
            )
        damaged = [loss.copy for loss in claim.losses if loss.what == DAMAGED and loss.copy in claim.set_volumes]
        if damaged:
            yield say(
                "Damaged volumes of a set: {copies}. Boxes with the rest of the set are not counted for these; where "
                "the damage lowers the value of what is in them, they count too (article 22(4)).",
                copies=", ".join(damaged),
            )


def _carried_notes(claim: Claim, owed: Liability) -> Iterator[str]:
    """Yield how the masses of the boxes are known that are not as weighed at packing."""
    whole = claim.terms.regime.counts is Counted.SHIPMENT or bool(owed.charges)
    concerned = {box.box for box in owed.counted}
    yield say("A box counts as weighed at packing, else as weighed on arrival, else as what is on its list.")
    on_arrival = [box for box in claim.on_arrival if whole or box in concerned]
    if on_arrival:
        yield say(
            "Weighed on arrival only: {boxes}. What was gone by then is not in that mass, so the limit may be higher.",
            boxes=", ".join(on_arrival),
        )
    unweighed = [box for box in claim.unweighed if whole or box in concerned]
    if unweighed:
        yield say(
            "Never weighed: {boxes}. The copies of the list count, without carton and padding, as the catalog has them "
            "or as estimated.",
            boxes=", ".join(unweighed),
        )


def _doubted_notes(claim: Claim) -> Iterator[str]:
    if not claim.doubted:
        return
    each = "; ".join(
        say(
            "{copy} {stated}, counted as {mass}",
            copy=one.copy,
            stated=kg_text(one.stated_g),
            mass=kg_text(one.counted_g),
        )
        for one in claim.doubted
    )
    yield say(
        "Masses of the catalog that cannot be right, as mass, size and extent contradict each other: {copies}. A "
        "packing list shows the carrier what the catalog states: weigh a like copy or correct the catalog, and print "
        "the list again.",
        copies=each,
    )


def _estimated_notes(claim: Claim) -> Iterator[str]:
    if claim.estimated:
        each = [f"{copy} {kg_text(mass_g)}" for copy, mass_g in claim.estimated.items()]
        yield say(
            "Estimated, as the catalog states no mass, and so is the part of the box: {copies}. Weigh a like copy and "
            "write its mass into the catalog.",
            copies=some_of(each, NAMED, "; "),
        )


def _value_notes(claim: Claim) -> Iterator[str]:
    yield say(
        "A damaged copy counts with its whole value, which is the most that it can be; repair or the rest of its "
        "value may make it less."
    )
    source = claim.terms.regime.value_source
    if source:
        yield say("The rules count {value}.", value=say(source))
    yield say(
        "Here a copy counts with the value that counted on the day of delivery of its box: the latest valuation of "
        "that day or before it, on its own basis, or what was paid where there is none. The day of each value stands "
        "behind its copy."
    )
    yield from doubt_words(claim.valued)
    yield from newer_words(claim.valued)
    if claim.rates:
        on = claim.request.rates_on
        day = say("the day of this sheet") if on is None else day_text(on)
        converted = say("Values in other currencies are converted at the rates of {day}.", day=day)
        yield f"{converted} {how_old()}"
    yield from _set_notes(claim)


def _set_notes(claim: Claim) -> Iterator[str]:
    """Yield what counts of lost volumes of sets, and beside it what the loss took from each set."""
    if claim.set_volumes:
        yield say(
            "Volumes of a set: {copies}. Each counts in these sums with its own value.",
            copies=", ".join(claim.set_volumes),
        )
    for fall in claim.falls:
        currency = fall.before.currency
        worth = {
            "set": say("Set {number}, “{title}”", number=fall.set_id, title=fall.title),
            "before": amount_text(fall.before.amount, currency),
            "volumes": ", ".join(fall.volumes),
        }
        if fall.after is None or fall.fall is None:
            yield say(
                "{set}, was worth {before} before the loss of {volumes}; {why}, so what the loss took from the set is "
                "not known.",
                why=_unknown_fall(fall),
                **worth,
            )
            continue
        yield say(
            "{set}, was worth {before} before the loss of {volumes} and is worth {after} now, {known}: the "
            "pair-and-set amount is {fall}. It is in no sum here; a policy may pay it, and the carrier may be asked "
            "for it, instead of the volumes' own value.",
            after=amount_text(fall.after, currency),
            known=_how_known(fall),
            fall=amount_text(fall.fall, currency),
            **worth,
        )


def _unknown_fall(fall: SetFall) -> str:
    """Write why it is not known what the loss took from a set."""
    stated = fall.stated
    if stated is None:
        return say(
            "it was not valued without just what is missing now, and not every volume that is left has a value that "
            "is known in {currency}",
            currency=fall.before.currency,
        )
    now = {"value": amount_text(stated.amount, stated.currency), "basis": say(stated.basis.value)}
    if fall.why:
        return say(
            "as it is now it was valued at {value}, {basis}, which cannot be converted into {currency}: {why}",
            currency=fall.before.currency,
            why=fall.why,
            **now,
        )
    return say(
        "as it is now it was valued at {value}, {basis}, which is another basis than {earlier} before the loss",
        earlier=say(fall.before.basis.value),
        **now,
    )


def _how_known(fall: SetFall) -> str:
    """Write how it is known what a set is worth after a loss."""
    if fall.stated is None:
        return say("by the sum of the individual values of the volumes that are left, at most its value before")
    if fall.stated.currency == fall.before.currency:
        return say("as valued")
    return say("as valued at {value}", value=amount_text(fall.stated.amount, fall.stated.currency))


def _amount_notes(claim: Claim, owed: Liability) -> Iterator[str]:
    terms = claim.terms
    charges = terms.charges or Decimal(0)
    if owed.charges:
        counted_kg, shipment_kg = exact_figures(owed.counted_mass), exact_figures(owed.shipment_mass)
        product = f"{figures_text(charges, terms.currency)} × {counted_kg} kg ÷ {shipment_kg} kg"
        yield say(
            "Charges of {charges} are refunded by mass ({source}): {working}. That is right where a kilogram of all "
            "goods is worth the same; else by value.",
            charges=amount_text(charges, terms.currency),
            source=say(terms.regime.charges),
            working=f"{product} = {amount_text(owed.charges, terms.currency)}",
        )
    if terms.declared is not None and terms.regime.declaration:
        declared = amount_text(terms.declared, terms.currency)
        if owed.lines[0].figure is None:
            used = say("The declared value of {declared} replaces the limit", declared=declared)
        else:
            used = say("The declared value of {declared} is not above the limit and changes nothing", declared=declared)
        rule = say(terms.regime.declaration)
        yield say("{used}; it counts only as the article says: {rule}.", used=used, rule=rule)
    if terms.regime.figures and terms.dispatched is None and len({f.since for f in terms.regime.figures}) > 1:
        latest = max(terms.regime.figures, key=lambda figure: figure.since)
        yield say(
            "The day of dispatch is not known, so the figure in force since {day} is used: {figure}.",
            day=day_text(latest.since),
            figure=exact_figures(latest.amount),
        )
    if owed.to_name:
        names = ", ".join(owed.to_name)
        yield say(
            "Worth over 100 USD a pound, of which a mover has to be informed in writing beforehand: {copies}.",
            copies=names,
        )


def _package_notes(claim: Claim, owed: Liability) -> Iterator[str]:
    terms = claim.terms
    if not terms.regime.counts_packages():
        return
    if terms.packages is None:
        yield say(
            "How many packages the transport document enumerates is not stated. Each box counts as one here; where it "
            "names only a container or pallet, that is the one package. Look it up and state the number."
        )
    else:
        yield say_of(
            owed.packages,
            "The transport document enumerates {packages}, as you stated; of these {count} counts at most, with "
            "{boxes} concerned.",
            "The transport document enumerates {packages}, as you stated; of these {count} count at most, with "
            "{boxes} concerned.",
            packages=terms.packages,
            boxes=counted(len(owed.counted), "box", "boxes"),
        )
        if terms.packages > owed.shipment_boxes:
            yield say(
                "It enumerates more than there are boxes: pieces in a box that count as units would raise the limit; "
                "that is not computed here."
            )

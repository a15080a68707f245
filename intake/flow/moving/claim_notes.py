"""What a claim rests on, in words: the rules and what has to be so, what was counted, what was left out, insurance."""

from collections.abc import Iterator
from decimal import Decimal

from intake.carriage.liability import Liability
from intake.documents import disclaimers
from intake.flow.moving.claim_left_out import left_out_notes
from intake.flow.moving.claimed_sets import SetFall
from intake.flow.moving.claims import Claim
from intake.flow.moving.losses import DAMAGED
from intake.flow.values.exchange_rates import how_old
from intake.flow.values.value_words import singly_words
from intake.model.carriage import Counted, Goods, LiabilityTerms, Packer, Per
from intake.model.currencies import amount_text, figures_text
from intake.units.convert import kg_text
from intake.units.counts import counted


def counts_mass(terms: LiabilityTerms) -> bool:
    """Return whether the limit depends on a mass."""
    figures = terms.regime.figures
    return not figures or any(figure.per in (Per.KILOGRAM, Per.POUND) for figure in figures)


def notes_of(claim: Claim) -> Iterator[tuple[str, list[str]]]:
    """Yield the paragraphs under each heading; a heading may have none."""
    yield "What these rules are, and what has to be so", list(_scope_notes(claim))
    yield "What was counted", list(_counting_notes(claim))
    yield "What was left out", list(left_out_notes(claim))
    yield "Insurance", list(_insurance_notes(claim))


def _scope_notes(claim: Claim) -> Iterator[str]:
    terms, regime = claim.terms, claim.terms.regime
    yield f"{regime.limit_source}. You named these rules; whether they apply is for the contract and the law to say."
    for condition in regime.requires:
        yield f"They apply only if {condition}."
    if terms.goods is not None:
        what = "a household that moved" if terms.goods is Goods.HOUSEHOLD else "boxes sent as freight"
        yield f"You stated that it is {what}."
    if regime.owner_packed and terms.packed_by is not Packer.CARRIER:
        known = "You packed the boxes" if terms.packed_by is Packer.OWNER else "If you packed the boxes yourself"
        yield f"{known}: {regime.owner_packed}."
    yield disclaimers.NOT_LEGAL_ADVICE


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
        yield "The limit counts packages, whatever they weigh."
    else:
        yield f"The limit counts the {regime.counts.value}."
    if counts_share and (counts_mass(claim.terms) or owed.charges):
        yield (
            "Of a box that is concerned in part, that is the part of its gross mass that those copies take up on its "
            "list."
        )
    if counts_mass(claim.terms) or owed.charges:
        yield from _carried_notes(claim, owed)
        yield from _doubted_notes(claim)
    if regime.counts is Counted.PACKAGES:
        if any(box.beside for box in owed.counted):
            yield (
                "Boxes with other volumes of an incomplete set are counted, as their value is affected (Montreal "
                "Convention 1999, article 22(4)); the carrier may dispute it."
            )
        damaged = [loss.copy for loss in claim.losses if loss.what == DAMAGED and loss.copy in claim.set_volumes]
        if damaged:
            yield (
                f"Damaged volumes of a set: {', '.join(damaged)}. Boxes with the rest of the set are not counted for "
                "these; where the damage lowers the value of what is in them, they count too (article 22(4))."
            )


def _carried_notes(claim: Claim, owed: Liability) -> Iterator[str]:
    """Yield how the masses of the boxes are known that are not as weighed at packing."""
    whole = claim.terms.regime.counts is Counted.SHIPMENT or bool(owed.charges)
    concerned = {box.box for box in owed.counted}
    yield "A box counts as weighed at packing, else as weighed on arrival, else as what is on its list."
    on_arrival = [box for box in claim.on_arrival if whole or box in concerned]
    if on_arrival:
        yield (
            f"Weighed on arrival only: {', '.join(on_arrival)}. What was gone by then is not in that mass, so the "
            "limit may be higher."
        )
    unweighed = [box for box in claim.unweighed if whole or box in concerned]
    if unweighed:
        yield (
            f"Never weighed: {', '.join(unweighed)}. The copies of the list count, without carton and padding, as the "
            "catalog has them or as estimated."
        )


def _doubted_notes(claim: Claim) -> Iterator[str]:
    if not claim.doubted:
        return
    each = "; ".join(
        f"{one.copy} {kg_text(one.stated_g)}, counted as {kg_text(one.counted_g)}" for one in claim.doubted
    )
    yield (
        f"Masses of the catalog that cannot be right, as mass, size and extent contradict each other: {each}. A "
        "packing list shows the carrier what the catalog states: weigh a like copy or correct the catalog, and print "
        "the list again."
    )


def _value_notes(claim: Claim) -> Iterator[str]:
    yield (
        "A damaged copy counts with its whole value, which is the most that it can be; repair or the rest of its "
        "value may make it less."
    )
    source = claim.terms.regime.value_source
    if source:
        which = "the latest valuation, on its own basis, or what was paid where there is none"
        yield f"The rules count {source}; here it is {which}."
    if claim.rates:
        day = "the day of this sheet" if claim.request.rates_on is None else claim.request.rates_on.isoformat()
        yield f"Values in other currencies are converted at the rates of {day}. {how_old()}"
    yield from _set_notes(claim)


def _set_notes(claim: Claim) -> Iterator[str]:
    """Yield what counts of lost volumes of sets, and beside it what the loss took from each set."""
    if claim.set_volumes:
        yield f"Volumes of a set: {', '.join(claim.set_volumes)}. Each counts in these sums with its own value."
    for fall in claim.falls:
        volumes = ", ".join(fall.volumes)
        before, currency = fall.before, fall.before.currency
        worth = (
            f"Set {fall.set_id}, “{fall.title}”, was worth {amount_text(before.amount, currency)} before the loss of "
        )
        if fall.after is None or fall.fall is None:
            yield f"{worth}{volumes}; {_unknown_fall(fall)}, so what the loss took from the set is not known."
            continue
        yield (
            f"{worth}{volumes} and is worth {amount_text(fall.after, currency)} now, {_how_known(fall)}: the "
            f"pair-and-set amount is {amount_text(fall.fall, currency)}. It is in no sum here; a policy may pay it, "
            "and the carrier may be asked for it, instead of the volumes' own value."
        )


def _unknown_fall(fall: SetFall) -> str:
    """Write why it is not known what the loss took from a set."""
    stated = fall.stated
    if stated is None:
        return (
            "it was not valued without just what is missing now, and not every volume that is left has a value that "
            f"is known in {fall.before.currency}"
        )
    now = f"as it is now it was valued at {amount_text(stated.amount, stated.currency)}, {stated.basis.value}"
    if fall.why:
        return f"{now}, which cannot be converted into {fall.before.currency}: {fall.why}"
    return f"{now}, which is another basis than {fall.before.basis.value} before the loss"


def _how_known(fall: SetFall) -> str:
    """Write how it is known what a set is worth after a loss."""
    if fall.stated is None:
        return "by the sum of the individual values of the volumes that are left, at most its value before"
    if fall.stated.currency == fall.before.currency:
        return "as valued"
    return f"as valued at {amount_text(fall.stated.amount, fall.stated.currency)}"


def _amount_notes(claim: Claim, owed: Liability) -> Iterator[str]:
    terms = claim.terms
    charges = terms.charges or Decimal(0)
    if owed.charges:
        yield (
            f"Charges of {amount_text(charges, terms.currency)} are refunded by mass ({terms.regime.charges}): "
            f"{figures_text(charges, terms.currency)} × {owed.counted_mass} kg ÷ "
            f"{owed.shipment_mass} kg = {amount_text(owed.charges, terms.currency)}. That is right where a kilogram of "
            "all goods is worth the same; else by value."
        )
    if terms.declared is not None and terms.regime.declaration:
        used = "replaces the limit" if owed.lines[0].figure is None else "is not above the limit and changes nothing"
        declared = amount_text(terms.declared, terms.currency)
        yield (
            f"The declared value of {declared} {used}; it counts only as the article says: {terms.regime.declaration}."
        )
    if terms.regime.figures and terms.dispatched is None and len({f.since for f in terms.regime.figures}) > 1:
        latest = max(terms.regime.figures, key=lambda figure: figure.since)
        yield f"The day of dispatch is not known, so the figure in force since {latest.since} is used: {latest.amount}."
    if owed.to_name:
        names = ", ".join(owed.to_name)
        yield f"Worth over 100 USD a pound, of which a mover has to be informed in writing beforehand: {names}."


def _package_notes(claim: Claim, owed: Liability) -> Iterator[str]:
    terms = claim.terms
    if not terms.regime.counts_packages():
        return
    if terms.packages is None:
        yield (
            "How many packages the transport document enumerates is not stated. Each box counts as one here; where it "
            "names only a container or pallet, that is the one package. Look it up and state the number."
        )
    else:
        boxes = len(owed.counted)
        yield (
            f"The transport document enumerates {terms.packages}, as you stated; of these "
            f"{counted(owed.packages, 'counts', 'count')} at most, with {counted(boxes, 'box', 'boxes')} concerned."
        )
        if terms.packages > owed.shipment_boxes:
            yield (
                "It enumerates more than there are boxes: pieces in a box that count as units would raise the limit; "
                "that is not computed here."
            )


def _insurance_notes(claim: Claim) -> Iterator[str]:
    insured, at_risk, currency = claim.request.insured, claim.at_risk, claim.terms.currency
    if insured is None:
        return
    if claim.owed is None or not at_risk.amount:
        yield f"{amount_text(insured, currency)} are insured; there is no valued loss to compare it with."
        return
    worth = amount_text(at_risk.amount, currency)
    copies = counted(at_risk.copies, "copy", "copies")
    yield f"At risk were the {copies} of this consignment, worth {worth} as far as valued."
    yield from _sets_at_risk(claim)
    yield from _average_notes(claim)
    if at_risk.unknown:
        unknown = counted(at_risk.unknown, "copy", "copies")
        yield (
            f"{unknown} at risk without a value in {currency}: the value at risk is higher, "
            "and what is paid may be less."
        )


def _sets_at_risk(claim: Claim) -> Iterator[str]:
    """Yield which sets count at risk with their own value, and which could not."""
    for one in claim.at_risk.sets:
        counted_set, value = one.part.counted, one.part.value
        own = amount_text(value.amount, value.currency)
        amount = "not converted" if one.amount is None else amount_text(one.amount, claim.terms.currency)
        worth = own if amount == own else f"{own} ({amount})"
        yield (
            f"Set {one.set_id}, “{counted_set.book_set.title}”, counts in it once, with its own value of {worth}, in "
            f"place of {', '.join(one.part.copies)}."
        )
    for counted_set in claim.at_risk.singly:
        yield singly_words(counted_set)


def _average_notes(claim: Claim) -> Iterator[str]:
    if claim.average is None and claim.average_by_sets is None:
        yield "More was lost, by each copy's own value, than was at risk with sets counted once: the policy decides."
        return
    if claim.average is not None:
        yield "If the policy applies average, insures just these, and pays each copy's own value:"
        yield from claim.average.working
    if claim.average_by_sets is not None:
        yield "If it pays what the lost volumes took from their sets (a pair-and-set clause):"
        yield from claim.average_by_sets.working

"""What a claim rests on, in words: the rules and what has to be so, what was counted, what was left out, insurance."""

from collections.abc import Iterator
from decimal import Decimal

from intake.carriage.liability import Liability
from intake.documents import disclaimers
from intake.flow.moving.claims import Claim
from intake.model.carriage import Counted, Goods, LiabilityTerms, Packer, Per
from intake.model.currencies import amount_text
from intake.units.counts import counted


def counts_mass(terms: LiabilityTerms) -> bool:
    """Return whether the limit depends on a mass."""
    figures = terms.regime.figures
    return not figures or any(figure.per in (Per.KILOGRAM, Per.POUND) for figure in figures)


def notes_of(claim: Claim) -> Iterator[tuple[str, list[str]]]:
    """Yield the paragraphs under each heading; a heading may have none."""
    yield "What these rules are, and what has to be so", list(_scope_notes(claim))
    yield "What was counted", list(_counting_notes(claim))
    yield "What was left out", list(_left_out_notes(claim))
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
    if regime.counts is Counted.PACKAGES and any(box.beside for box in owed.counted):
        yield (
            "Boxes with other volumes of an incomplete set are counted, as their value is affected (Montreal "
            "Convention 1999, article 22(4)); the carrier may dispute it."
        )


def _value_notes(claim: Claim) -> Iterator[str]:
    yield (
        "A damaged copy counts with its whole value, which is the most that it can be; repair or the rest of its "
        "value may make it less."
    )
    source = claim.terms.regime.value_source
    if source:
        yield f"The rules count {source}; here it is the latest value recorded, on its own basis."
    if claim.set_volumes:
        yield (
            f"Volumes of a set: {', '.join(claim.set_volumes)}. Each counts with its own value; what is lost may be "
            "what the whole set is worth less, which the overview of sets shows where the set has a value."
        )


def _amount_notes(claim: Claim, owed: Liability) -> Iterator[str]:
    terms = claim.terms
    if owed.charges:
        yield (
            f"Charges of {amount_text(terms.charges or Decimal(0), terms.currency)} are refunded by mass, "
            f"{100 * owed.share:.1f} % of the shipment ({terms.regime.charges}): that is right where a kilogram of "
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
            f"The transport document enumerates {terms.packages}, as you stated; of these {owed.packages} "
            f"{'counts' if owed.packages == 1 else 'count'} at most, with {boxes} {'box' if boxes == 1 else 'boxes'} "
            "concerned."
        )
        if terms.packages > owed.shipment_boxes:
            yield (
                "It enumerates more than there are boxes: pieces in a box that count as units would raise the limit; "
                "that is not computed here."
            )


def _left_out_notes(claim: Claim) -> Iterator[str]:
    yield from _rules_left_out(claim.terms)
    yield from _values_left_out(claim)
    yield from _boxes_left_out(claim)


def _rules_left_out(terms: LiabilityTerms) -> Iterator[str]:
    for text in terms.regime.left_out:
        yield f"{text[0].upper()}{text[1:]}."
    if terms.charges is not None and not terms.regime.charges:
        charges = amount_text(terms.charges, terms.currency)
        yield f"The charges of {charges}: the articles of these rules in this tool refund none besides the limit."
    if terms.declared is not None and not terms.regime.declaration:
        declared = amount_text(terms.declared, terms.currency)
        yield f"The declared value of {declared}: these rules, as far as they are in this tool, know no declaration."


def _values_left_out(claim: Claim) -> Iterator[str]:
    unvalued = [loss.copy for loss in claim.losses if loss.recorded is None]
    if unvalued:
        yield f"In no sum, as no value is recorded: {', '.join(unvalued)}."
    unconverted = [loss for loss in claim.losses if loss.why]
    if unconverted:
        yield f"In no sum, as a rate is missing: {', '.join(loss.copy for loss in unconverted)}. Record the rate."


def _boxes_left_out(claim: Claim) -> Iterator[str]:
    reconciled = claim.reconciled
    found = [f"{line.number} ({line.since})" for line in reconciled.found_since]
    if found:
        yield f"Found since they were reported missing, and not claimed: {', '.join(found)}."
    if claim.undated:
        yield f"Periods of boxes whose day of delivery nobody recorded: {', '.join(claim.undated)}."
    if reconciled.awaited:
        numbers = ", ".join(box.number for box in reconciled.awaited)
        overdue = claim.terms.regime.overdue or "The contract or the law says when goods may be treated as lost"
        counted = "They count as lost here" if claim.request.awaited_lost else "They are in no sum"
        yield f"Boxes that have not arrived: {numbers}. {counted}. {overdue}."
    if reconciled.still_closed:
        numbers = ", ".join(box.number for box in reconciled.still_closed)
        yield f"Boxes that are not opened, in which more may be missing or damaged: {numbers}."
    if reconciled.undecided:
        yield reconciled.undecided


def _insurance_notes(claim: Claim) -> Iterator[str]:
    insured, at_risk, currency = claim.request.insured, claim.at_risk, claim.terms.currency
    if insured is None:
        return
    if claim.average is None:
        yield f"{amount_text(insured, currency)} are insured; there is no valued loss to compare it with."
        return
    worth = amount_text(at_risk.amount, currency)
    copies = counted(at_risk.copies, "copy", "copies")
    yield (
        f"At risk were the {copies} of this consignment, worth {worth} as far as valued. "
        "If the policy applies average, and insures just these:"
    )
    yield from claim.average.working
    if at_risk.unknown:
        unknown = counted(at_risk.unknown, "copy", "copies")
        yield (
            f"{unknown} at risk without a value in {currency}: the value at risk is higher, "
            "and what is paid may be less."
        )

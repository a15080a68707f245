"""What a policy makes of the loss of a claim, in words: what was at risk, and what is paid where it applies average."""

from collections.abc import Iterator

from intake.flow.moving.claims import Claim
from intake.flow.values.value_words import singly_words
from intake.model.currencies import amount_text
from intake.units.counts import counted
from intake.units.language import say


def insurance_notes(claim: Claim) -> Iterator[str]:
    """Yield a paragraph for each thing that a policy would look at; none where no sum insured was stated."""
    insured, at_risk, currency = claim.request.insured, claim.at_risk, claim.terms.currency
    if insured is None:
        return
    if claim.owed is None or not at_risk.amount:
        yield say(
            "{amount} are insured; there is no valued loss to compare it with.", amount=amount_text(insured, currency)
        )
        return
    yield say(
        "At risk were the {copies} of this consignment, worth {worth} as far as valued.",
        copies=counted(at_risk.copies, "copy", "copies"),
        worth=amount_text(at_risk.amount, currency),
    )
    yield from _sets_at_risk(claim)
    yield from _average_notes(claim)
    if at_risk.unknown:
        yield say(
            "{copies} at risk without a value in {currency}: the value at risk is higher, and what is paid may be "
            "less.",
            copies=counted(at_risk.unknown, "copy", "copies"),
            currency=currency,
        )


def _sets_at_risk(claim: Claim) -> Iterator[str]:
    """Yield which sets count at risk with their own value, and which could not."""
    for one in claim.at_risk.sets:
        counted_set, value = one.part.counted, one.part.value
        own = amount_text(value.amount, value.currency)
        amount = say("not converted") if one.amount is None else amount_text(one.amount, claim.terms.currency)
        yield say(
            "{set}, counts in it once, with its own value of {worth}, in place of {copies}.",
            set=say("Set {number}, “{title}”", number=one.set_id, title=counted_set.book_set.title),
            worth=own if amount == own else f"{own} ({amount})",
            copies=", ".join(one.part.copies),
        )
    for counted_set in claim.at_risk.singly:
        yield singly_words(counted_set)


def _average_notes(claim: Claim) -> Iterator[str]:
    if claim.average is None and claim.average_by_sets is None:
        yield say(
            "More was lost, by each copy's own value, than was at risk with sets counted once: the policy decides."
        )
        return
    if claim.average is not None:
        yield say("If the policy applies average, insures just these, and pays each copy's own value:")
        yield from claim.average.working
    if claim.average_by_sets is not None:
        yield say("If it pays what the lost volumes took from their sets (a pair-and-set clause):")
        yield from claim.average_by_sets.working

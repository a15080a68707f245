"""Underinsurance and single-article limits, with the arithmetic shown.

The condition of average: where the sum insured is less than the value at risk, a loss is paid in the proportion of the
two, and never more than the sum insured or the loss. Some policies waive average above a certain share of the value
(three quarters, for example). A single-article limit caps what is paid for one article that is not listed individually.
Which of these apply, and with what figures, depends on the policy.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.errors import UsageError
from intake.model.currencies import amount_text, figures_text, rounded
from intake.model.valuations import Valuation
from intake.units.language import say, term
from intake.valuing.totals import Worth


@dataclass(frozen=True, slots=True, kw_only=True)
class AverageResult:
    """What a policy pays for a loss under the condition of average.

    Attributes:
        paid, short: what is paid of the loss, and what is not.
        working: the arithmetic, one line per step.
    """

    paid: Decimal
    short: Decimal
    underinsured: bool
    working: tuple[str, ...]


def apply_average(
    *, loss: Decimal, insured: Decimal, at_risk: Decimal, currency: str, waived_from: Decimal | None = None
) -> AverageResult:
    """Compute what a policy with average pays for a loss.

    Args:
        loss: what is lost.
        insured: the sum insured.
        at_risk: the value of all that is insured, just before the loss.
        currency: of all amounts.
        waived_from: share of the value (0.75) from which the policy waives average; None if it never does.

    Raises:
        UsageError: an amount is negative, nothing is at risk, or more is lost than was at risk.
    """
    if min(loss, insured, at_risk) < 0:
        raise UsageError("An amount of the calculation", "is negative", "give what was lost, insured and at risk")
    if at_risk == 0 or loss > at_risk:
        why = "is zero" if at_risk == 0 else f"is less than the loss of {amount_text(loss, currency)}"
        raise UsageError("The value at risk", why, "give the value of everything insured, before the loss")
    sums = {"insured": amount_text(insured, currency), "value": amount_text(at_risk, currency)}
    steps = [say("Sum insured {insured}, value at risk {value}", **sums)]
    if insured >= at_risk:
        steps.append(say("The sum insured covers the value: no average"))
        paid = loss
    elif waived_from is not None and insured >= waived_from * at_risk:
        waived = term("The sum insured is at least {share} of the value: average is waived")
        steps.append(say(waived, share=f"{waived_from:.0%}"))
        paid = min(loss, insured)
    else:
        paid = min(rounded(loss * insured / at_risk, currency), insured)
        lost, covered, value = (figures_text(amount, currency) for amount in (loss, insured, at_risk))
        steps.append(f"{lost} × {covered} ÷ {value} = {amount_text(paid, currency)}")
    whole = {"paid": amount_text(paid, currency), "loss": amount_text(loss, currency)}
    steps.append(say("Paid {paid} of a loss of {loss}", **whole))
    return AverageResult(paid=paid, short=loss - paid, underinsured=insured < at_risk, working=tuple(steps))


def above_single_limit(worths: Iterable[Worth], limit: Decimal) -> tuple[Worth, ...]:
    """Return the copies worth more than the single-article limit, most valuable first."""
    over = [worth for worth in worths if worth.amount is not None and worth.amount > limit]
    return tuple(sorted(over, key=lambda worth: -(worth.amount or 0)))


def valuations_older_than(valuations: Iterable[Valuation], *, years: int, on: date) -> tuple[Valuation, ...]:
    """Return the valuations made more than a number of years before a day, oldest first.

    A valuation of 29 February is a year old on 1 March.
    """
    try:
        limit = on.replace(year=on.year - years)
    except ValueError:
        limit = on.replace(year=on.year - years, day=28)
    old = [valuation for valuation in valuations if valuation.on < limit]
    return tuple(sorted(old, key=lambda valuation: (valuation.on, valuation.id)))
